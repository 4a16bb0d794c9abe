// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/Csv.h"

#include <algorithm>
#include <array>
#include <fstream>
#include <iterator>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

Error atPlace(const std::string& name, int line, std::size_t character, const std::string& what)
{
    return {ErrorCode::BadInput, name + ", line " + std::to_string(line) + ", character " +
                                     std::to_string(character) + ": " + what};
}

const std::string TooLong = "a line of more than " + std::to_string(LongestCsvRowBytes >> 20U) +
                            " MiB; line ends are missing, or this is no CSV";

/// Walks through the text once, field by field.
class CsvWalk {
public:
    CsvWalk(std::string_view text, const std::string& name, char separator)
        : m_text(text), m_name(name), m_separator(separator)
    {
    }

    Result<std::vector<CsvRow>> rows()
    {
        std::vector<CsvRow> rows;
        while (m_at < m_text.size()) {
            CsvRow row{m_line, {}};
            m_rowStart = m_at;
            if (auto read = readRow(row); !read)
                return read.error();
            if (row.fields.size() > 1 || !trimmed(row.fields.front()).empty())
                rows.push_back(std::move(row));
        }
        return rows;
    }

private:
    bool atLineEnd() const { return m_at >= m_text.size() || m_text[m_at] == '\n' || m_text[m_at] == '\r'; }

    void passLineEnd()
    {
        if (m_at < m_text.size() && m_text[m_at] == '\r')
            ++m_at;
        if (m_at < m_text.size() && m_text[m_at] == '\n')
            ++m_at;
        startLine();
    }

    void startLine()
    {
        ++m_line;
        m_lineStart = m_at;
    }

    /// An error at a byte of the present line; characters are counted, not bytes.
    Error errorAt(std::size_t byte, const std::string& what) const
    {
        const std::string_view before = m_text.substr(m_lineStart, byte - m_lineStart);
        const auto characters =
            std::count_if(before.begin(), before.end(), [](char c) { return (c & '\xC0') != '\x80'; });
        return atPlace(m_name, m_line, static_cast<std::size_t>(characters) + 1, what);
    }

    Result<void> readRow(CsvRow& row)
    {
        for (;;) {
            std::string field;
            if (auto read = readField(field); !read)
                return read;
            row.fields.push_back(std::move(field));
            if (m_at - m_rowStart > LongestCsvRowBytes)
                return atPlace(m_name, row.line, 1, TooLong);
            if (atLineEnd()) {
                if (m_at < m_text.size())
                    passLineEnd();
                return {};
            }
            ++m_at; // the separator
        }
    }

    Result<void> readField(std::string& field)
    {
        if (m_at < m_text.size() && m_text[m_at] == '"')
            return readQuoted(field);
        const std::size_t from = m_at;
        while (!atLineEnd() && m_text[m_at] != m_separator) {
            if (m_text[m_at] == '"')
                return errorAt(m_at,
                               "a quote within a field that is not quoted; put the whole field in quotes "
                               "and write the quote twice");
            ++m_at;
        }
        field = m_text.substr(from, m_at - from);
        return {};
    }

    Result<void> readQuoted(std::string& field)
    {
        const Error leftOpen = errorAt(m_at, "a quote is opened and never closed");
        for (++m_at; m_at < m_text.size() && m_at - m_rowStart <= LongestCsvRowBytes;) {
            const char c = m_text[m_at++];
            const bool doubled = c == '"' && m_at < m_text.size() && m_text[m_at] == '"';
            if (c == '"' && !doubled) {
                if (atLineEnd() || m_text[m_at] == m_separator)
                    return {};
                return errorAt(
                    m_at, "text follows a closing quote; a quote inside a quoted field is written twice");
            }
            field += c;
            if (doubled)
                ++m_at;
            if (c == '\n' || (c == '\r' && !(m_at < m_text.size() && m_text[m_at] == '\n')))
                startLine();
        }
        return leftOpen;
    }

    std::string_view m_text;
    const std::string& m_name;
    char m_separator;
    std::size_t m_at = 0;
    std::size_t m_rowStart = 0;
    std::size_t m_lineStart = 0;
    int m_line = 1;
};

/// Line and character of a byte, both counted from 1.
std::pair<int, std::size_t> placeOf(std::string_view text, std::size_t byte)
{
    int line = 1;
    std::size_t start = 0;
    for (std::size_t i = 0; i < byte; ++i)
        if (text[i] == '\n' || (text[i] == '\r' && i + 1 < text.size() && text[i + 1] != '\n')) {
            ++line;
            start = i + 1;
        }
    return {line, byte - start + 1};
}

void appendUtf8(std::string& text, unsigned code)
{
    if (code < 0x80)
        text += static_cast<char>(code);
    else if (code < 0x800)
        text.append({static_cast<char>(0xC0U | code >> 6U), static_cast<char>(0x80U | (code & 0x3FU))});
    else
        text.append({static_cast<char>(0xE0U | code >> 12U),
                     static_cast<char>(0x80U | (code >> 6U & 0x3FU)),
                     static_cast<char>(0x80U | (code & 0x3FU))});
}

/// Source: Unicode Consortium, cp1252 to Unicode mapping table 2.0 (bytes 80 to 9F; 0 = not assigned).
constexpr std::array<unsigned, 32> Windows1252 = {
    0x20AC, 0,      0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0,      0x017D, 0,      0,      0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0,      0x017E, 0x0178};

Result<std::string> utf8FromWindows1252(std::string_view text, const std::string& name)
{
    std::string utf8;
    utf8.reserve(text.size() + text.size() / 8);
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto byte = static_cast<unsigned char>(text[i]);
        const unsigned code = byte >= 0x80 && byte < 0xA0 ? Windows1252[byte - 0x80U] : byte;
        if (code == 0) {
            const auto [line, character] = placeOf(text, i);
            return atPlace(name, line, character,
                           "is neither UTF-8 nor Windows-1252 text; save it as CSV in UTF-8");
        }
        appendUtf8(utf8, code);
    }
    return utf8;
}

/// The comma, or the semicolon where the first line that is not blank has more of them outside quotes.
char separatorOf(std::string_view text)
{
    std::size_t commas = 0;
    std::size_t semicolons = 0;
    bool quoted = false;
    for (const char c : text) {
        if (c == '"')
            quoted = !quoted;
        if (quoted)
            continue;
        commas += c == ',' ? 1U : 0U;
        semicolons += c == ';' ? 1U : 0U;
        if ((c == '\n' || c == '\r') && commas + semicolons > 0)
            break;
    }
    return semicolons > commas ? ';' : ',';
}

/// Quotes and line ends that never come show here, before anything is taken apart.
Result<void> checkBytes(std::string_view text, const std::string& name)
{
    if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF"))
        return Error{ErrorCode::BadInput, name + ": is UTF-16 text; save it as CSV in UTF-8"};
    if (const std::size_t nul = text.find('\0'); nul != std::string_view::npos) {
        const auto [line, character] = placeOf(text, nul);
        return atPlace(name, line, character,
                       "a NUL byte; this is no text, or it is UTF-16: save it as CSV in UTF-8");
    }
    return {};
}

bool isFormulaLead(char c)
{
    return c == '=' || c == '+' || c == '-' || c == '@' || c == '\t' || c == '\r';
}

/// True if `cell` is apostrophes, `atLeast` or more, before what a spreadsheet would run.
bool runsAfterApostrophes(std::string_view cell, std::size_t atLeast)
{
    const std::size_t from = cell.find_first_not_of('\'');
    return from != std::string_view::npos && from >= atLeast && isFormulaLead(cell[from]) &&
           !parseNumber(cell.substr(from));
}

} // namespace

std::string CsvReading::words() const
{
    return encoding + ", " + (separator == ';' ? "semicolon" : "comma") + " between the fields";
}

std::optional<std::size_t> CsvTable::column(std::string_view name) const
{
    const auto found = std::find(columns.begin(), columns.end(), name);
    if (found == columns.end())
        return std::nullopt;
    return static_cast<std::size_t>(found - columns.begin());
}

Result<std::vector<CsvRow>> readCsvRows(std::string_view text, const std::string& name, CsvReading* reading)
{
    if (const auto checked = checkBytes(text, name); !checked)
        return checked.error();
    CsvReading found;
    std::string converted;
    if (text.starts_with("\xEF\xBB\xBF"))
        text.remove_prefix(3);
    if (!isUtf8(text)) {
        Result<std::string> utf8 = utf8FromWindows1252(text, name);
        if (!utf8)
            return utf8.error();
        converted = std::move(*utf8);
        text = converted;
        found.encoding = "Windows-1252";
    }
    found.separator = separatorOf(text);
    if (reading)
        *reading = found;
    return CsvWalk(text, name, found.separator).rows();
}

Result<CsvTable> readCsv(std::string_view text, const std::string& name, UnevenRows uneven)
{
    CsvTable table;
    Result<std::vector<CsvRow>> rows = readCsvRows(text, name, &table.reading);
    if (!rows)
        return rows.error();
    if (rows->empty())
        return Error{ErrorCode::BadInput, name + ": empty; the first line must name the columns"};
    for (const std::string& field : rows->front().fields) {
        std::string column = lowerAscii(trimmed(field));
        if (!column.empty() && table.column(column))
            return Error{ErrorCode::BadInput, name + ", line " + std::to_string(rows->front().line) +
                                                  ": column \"" + column + "\" is there twice"};
        table.columns.push_back(std::move(column));
    }
    table.rows.assign(std::make_move_iterator(rows->begin() + 1), std::make_move_iterator(rows->end()));
    std::erase_if(table.rows, [](const CsvRow& row) {
        return std::all_of(row.fields.begin(), row.fields.end(),
                           [](const std::string& field) { return trimmed(field).empty(); });
    });
    for (const CsvRow& row : table.rows)
        if (uneven == UnevenRows::Refused && row.fields.size() != table.columns.size())
            return Error{ErrorCode::BadInput, name + ", line " + std::to_string(row.line) + ": " +
                                                  std::to_string(row.fields.size()) +
                                                  " fields, the header has " +
                                                  std::to_string(table.columns.size())};
    return table;
}

Result<CsvTable> readCsvFile(const std::filesystem::path& file, UnevenRows uneven)
{
    const std::string name = file.string();
    std::error_code code;
    if (std::filesystem::is_directory(file, code))
        return Error{ErrorCode::BadInput, name + ": is a folder, not a CSV file"};
    std::ifstream stream(file, std::ios::binary);
    if (!stream)
        return Error{ErrorCode::NotFound, name + ": cannot be opened for reading"};
    std::string text;
    std::vector<char> block(1U << 20U);
    std::size_t sinceLineEnd = 0;
    while (stream) {
        stream.read(block.data(), static_cast<std::streamsize>(block.size()));
        const std::string_view got(block.data(), static_cast<std::size_t>(stream.gcount()));
        const std::size_t lineEnd = got.find_last_of("\r\n");
        sinceLineEnd =
            lineEnd == std::string_view::npos ? sinceLineEnd + got.size() : got.size() - lineEnd - 1;
        text += got;
        if (sinceLineEnd > LongestCsvRowBytes)
            return atPlace(name, placeOf(text, text.size() - 1).first, 1, TooLong);
        if (text.size() > LargestCsvFileBytes)
            return Error{ErrorCode::BadInput, name + ": is larger than 1 GiB; split it into several files"};
    }
    if (!stream.eof())
        return Error{ErrorCode::System, name + ": reading stopped before the end of the file"};
    return readCsv(text, name, uneven);
}

std::string csvField(std::string_view text, char separator)
{
    std::string field(runsAfterApostrophes(text, 0) ? "'" : "");
    field += text;
    const std::string special = std::string("\"\r\n") + separator;
    if (field.find_first_of(special) == std::string::npos)
        return field;
    std::string quotedField = "\"";
    for (const char c : field)
        quotedField.append(c == '"' ? 2U : 1U, c);
    return quotedField + '"';
}

std::string cellAsMeant(std::string_view cell)
{
    return std::string(runsAfterApostrophes(cell, 1) ? cell.substr(1) : cell);
}

std::string csvLine(const std::vector<std::string>& fields, char separator)
{
    std::string line;
    for (std::size_t i = 0; i < fields.size(); ++i) {
        if (i > 0)
            line += separator;
        line += csvField(fields[i], separator);
    }
    return line + "\r\n";
}

} // namespace inkpeg
