// SPDX-License-Identifier: GPL-3.0-or-later
// Comma-separated text, read into rows of fields that remember their line.
//
//   const Result<CsvTable> table = readCsv(text, "levels.csv");
//   const std::optional<std::size_t> point = table->column("point");
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/Result.h"

namespace inkpeg {

struct CsvRow {
    int line = 0; ///< first line of the row in the file, counted from 1
    std::vector<std::string> fields;
    bool operator==(const CsvRow&) const = default;
};

/// Column names are trimmed and in lower case; every row has as many fields as there are columns; blank
/// lines are left out.
struct CsvTable {
    std::vector<std::string> columns;
    std::vector<CsvRow> rows;

    std::optional<std::size_t> column(std::string_view name) const;
};

/// The rows of `text` as they stand, header and all; quotes undone, a byte order mark dropped, blank lines
/// left out. Errors: BadInput naming `name` and the line: not UTF-8, a quote left open, text after a
/// closing quote. Source: RFC 4180, section 2 (and LF or CR alone as line end).
Result<std::vector<CsvRow>> readCsvRows(std::string_view text, const std::string& name);

/// The same with the first row taken as column names.
/// Errors: as readCsvRows; no header; a column named twice; a row with another number of fields.
Result<CsvTable> readCsv(std::string_view text, const std::string& name);

} // namespace inkpeg
