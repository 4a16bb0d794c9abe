// SPDX-License-Identifier: GPL-3.0-or-later
// A register as a table of text that is searched as one types: no letter waits for 100,000 records.
//
//   RegisterTable table({"number", "context", "material"});
//   table.add({"SF-093", "1012", "pottery"});
//   for (std::size_t row : table.matching("pot context:1012"))
//       show(table.cell(row, 0));
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace inkpeg {

class RegisterTable {
public:
    explicit RegisterTable(std::vector<std::string> columns);

    /// A row of as many cells as there are columns.
    void add(const std::vector<std::string>& cells);

    const std::vector<std::string>& columns() const { return m_columns; }
    std::size_t rows() const { return m_foldedStarts.size() - 1; }
    std::string_view cell(std::size_t row, std::size_t column) const;

    /// The rows that hold every word of `query`, in their order. Words are parted by blanks; "two words" in
    /// double quotes are one; column:word looks in that column alone. Case is nothing (letters of Latin,
    /// Greek and Cyrillic). An empty query matches every row.
    /// Cost: one pass over the text for the longest word; the others are looked for in the rows it is in.
    std::vector<std::uint32_t> matching(std::string_view query) const;

    /// Rows in the order of a column, numbers by their value (numberBefore), equal ones as they came.
    std::vector<std::uint32_t> sortedBy(std::size_t column) const;

private:
    std::vector<std::string> m_columns;
    std::string m_cells;                   ///< one after the other
    std::vector<std::size_t> m_cellStarts; ///< of each cell in m_cells, and the end
    std::string m_folded;                  ///< the same without case, with signs between that nobody types
    std::vector<std::size_t> m_foldedStarts; ///< of each row in m_folded, and the end
};

/// `text` without difference of case: ASCII, Latin-1, Latin Extended-A, Greek, Cyrillic (Unicode 15, simple
/// case folding within those blocks); every letter keeps its length in bytes, what is not UTF-8 stays.
std::string foldedCase(std::string_view text);

} // namespace inkpeg
