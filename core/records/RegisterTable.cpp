// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/RegisterTable.h"

#include <algorithm>
#include <cassert>
#include <cstring>
#include <numeric>
#include <optional>

#include "core/base/Text.h"
#include "core/records/Numbers.h"

namespace inkpeg {

namespace {

constexpr char BetweenCells = '\x1f';
constexpr char BetweenRows = '\x1e';

/// The small letter of a letter of two bytes in UTF-8 (U+0080 to U+07FF), or the letter itself.
std::uint32_t folded(std::uint32_t letter)
{
    const auto in = [&](std::uint32_t first, std::uint32_t last) {
        return letter >= first && letter <= last;
    };
    if ((in(0xC0, 0xDE) && letter != 0xD7) || (in(0x391, 0x3AB) && letter != 0x3A2) || in(0x410, 0x42F))
        return letter + 0x20;
    // Pairs of a capital and its small letter: even first, or odd first.
    if (in(0x100, 0x137) && letter != 0x130 && letter != 0x131)
        return letter | 1U;
    if (in(0x14A, 0x177))
        return letter | 1U;
    if (in(0x139, 0x148) || in(0x179, 0x17E))
        return letter % 2 == 1 ? letter + 1 : letter;
    if (letter == 0x178)
        return 0xFF;
    if (in(0x400, 0x40F))
        return letter + 0x50;
    return letter;
}

struct Word {
    std::string text;
    std::optional<std::size_t> column;
};

/// The words of a query: quotes keep blanks together; a column's name and a colon before them bind them.
std::vector<Word> wordsOf(std::string_view query, const std::vector<std::string>& columns)
{
    std::vector<Word> words;
    std::size_t at = 0;
    while (at < query.size()) {
        if (query[at] == ' ' || query[at] == '\t') {
            ++at;
            continue;
        }
        Word word;
        bool quoted = false;
        for (; at < query.size() && (quoted || (query[at] != ' ' && query[at] != '\t')); ++at) {
            if (query[at] == '"') {
                quoted = !quoted;
                continue;
            }
            if (query[at] == ':' && !quoted && !word.column) {
                const std::string name = lowerAscii(word.text);
                const auto column = std::find(columns.begin(), columns.end(), name);
                if (column != columns.end()) {
                    word.column = static_cast<std::size_t>(column - columns.begin());
                    word.text.clear();
                    continue;
                }
            }
            word.text += query[at];
        }
        word.text = foldedCase(word.text);
        if (!word.text.empty())
            words.push_back(std::move(word));
    }
    return words;
}

/// One row's folded text, cells with signs between.
bool holds(std::string_view row, const Word& word)
{
    if (!word.column)
        return row.find(word.text) != std::string_view::npos;
    std::size_t from = 0;
    for (std::size_t skipped = 0; skipped < *word.column; ++skipped)
        from = row.find(BetweenCells, from) + 1;
    return row.substr(from, row.find(BetweenCells, from) - from).find(word.text) != std::string_view::npos;
}

} // namespace

std::string foldedCase(std::string_view text)
{
    std::string result(text);
    for (std::size_t i = 0; i < result.size(); ++i) {
        const auto first = static_cast<unsigned char>(result[i]);
        if (first >= 'A' && first <= 'Z') {
            result[i] = static_cast<char>(first + ('a' - 'A'));
        } else if (first >= 0xC2 && first <= 0xDF && i + 1 < result.size() &&
                   (static_cast<unsigned char>(result[i + 1]) & 0xC0U) == 0x80U) {
            const std::uint32_t letter =
                ((first & 0x1FU) << 6U) | (static_cast<unsigned char>(result[i + 1]) & 0x3FU);
            const std::uint32_t small = folded(letter);
            result[i] = static_cast<char>(0xC0U | (small >> 6U));
            result[++i] = static_cast<char>(0x80U | (small & 0x3FU));
        }
    }
    return result;
}

RegisterTable::RegisterTable(std::vector<std::string> columns)
    : m_columns(std::move(columns)), m_cellStarts{0}, m_foldedStarts{0}
{
}

void RegisterTable::add(const std::vector<std::string>& cells)
{
    assert(cells.size() == m_columns.size());
    for (std::size_t i = 0; i < cells.size(); ++i) {
        m_cells += cells[i];
        m_cellStarts.push_back(m_cells.size());
        if (i > 0)
            m_folded += BetweenCells;
        std::string text = foldedCase(cells[i]);
        std::replace(text.begin(), text.end(), BetweenCells, ' ');
        std::replace(text.begin(), text.end(), BetweenRows, ' ');
        m_folded += text;
    }
    m_folded += BetweenRows;
    m_foldedStarts.push_back(m_folded.size());
}

std::string_view RegisterTable::cell(std::size_t row, std::size_t column) const
{
    const std::size_t index = row * m_columns.size() + column;
    return std::string_view(m_cells).substr(m_cellStarts[index],
                                            m_cellStarts[index + 1] - m_cellStarts[index]);
}

std::vector<std::uint32_t> RegisterTable::matching(std::string_view query) const
{
    std::vector<Word> words = wordsOf(query, m_columns);
    std::vector<std::uint32_t> rows_;
    if (words.empty()) {
        rows_.resize(rows());
        std::iota(rows_.begin(), rows_.end(), std::uint32_t{0});
        return rows_;
    }
    // The longest word is in the fewest rows.
    std::stable_sort(words.begin(), words.end(),
                     [](const Word& a, const Word& b) { return a.text.size() > b.text.size(); });
    const Word& first = words.front();
    std::size_t from = 0, row = 0;
    while (from < m_folded.size()) {
        const void* hit =
            ::memmem(m_folded.data() + from, m_folded.size() - from, first.text.data(), first.text.size());
        if (!hit)
            break;
        const auto at = static_cast<std::size_t>(static_cast<const char*>(hit) - m_folded.data());
        row = static_cast<std::size_t>(
            std::upper_bound(m_foldedStarts.begin() + static_cast<std::ptrdiff_t>(row),
                             m_foldedStarts.end(), at) -
            m_foldedStarts.begin() - 1);
        const std::string_view text = std::string_view(m_folded).substr(
            m_foldedStarts[row], m_foldedStarts[row + 1] - m_foldedStarts[row] - 1);
        const bool all = std::all_of(words.begin() + (first.column ? 0 : 1), words.end(),
                                     [&](const Word& word) { return holds(text, word); });
        if (all)
            rows_.push_back(static_cast<std::uint32_t>(row));
        from = m_foldedStarts[row + 1];
    }
    return rows_;
}

std::vector<std::uint32_t> RegisterTable::sortedBy(std::size_t column) const
{
    std::vector<std::uint32_t> order(rows());
    std::iota(order.begin(), order.end(), std::uint32_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::uint32_t a, std::uint32_t b) {
        return numberBefore(cell(a, column), cell(b, column));
    });
    return order;
}

} // namespace inkpeg
