// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/Csv.h"

#include <algorithm>
#include <iterator>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

/// Walks through the text once, field by field.
class CsvWalk {
public:
    CsvWalk(std::string_view text, const std::string& name) : m_text(text), m_name(name) {}

    Result<std::vector<CsvRow>> rows()
    {
        std::vector<CsvRow> rows;
        while (m_at < m_text.size()) {
            CsvRow row{m_line, {}};
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
        ++m_line;
    }

    Result<void> readRow(CsvRow& row)
    {
        for (;;) {
            std::string field;
            if (auto read = readField(field); !read)
                return read;
            row.fields.push_back(std::move(field));
            if (atLineEnd()) {
                if (m_at < m_text.size())
                    passLineEnd();
                return {};
            }
            ++m_at; // the comma
        }
    }

    Result<void> readField(std::string& field)
    {
        if (m_at < m_text.size() && m_text[m_at] == '"')
            return readQuoted(field);
        while (!atLineEnd() && m_text[m_at] != ',')
            field += m_text[m_at++];
        return {};
    }

    Result<void> readQuoted(std::string& field)
    {
        const int openedOn = m_line;
        for (++m_at; m_at < m_text.size(); ++m_at) {
            if (m_text[m_at] != '"') {
                m_line += m_text[m_at] == '\n' ? 1 : 0;
                field += m_text[m_at];
            } else if (m_at + 1 < m_text.size() && m_text[m_at + 1] == '"') {
                field += m_text[m_at++];
            } else {
                ++m_at;
                if (atLineEnd() || m_text[m_at] == ',')
                    return {};
                return Error{ErrorCode::BadInput,
                             m_name + ", line " + std::to_string(m_line) +
                                 ": text follows a closing quote; a quote inside a quoted "
                                 "field is written twice"};
            }
        }
        return Error{ErrorCode::BadInput, m_name + ", line " + std::to_string(openedOn) +
                                              ": a quote is opened and never closed"};
    }

    std::string_view m_text;
    const std::string& m_name;
    std::size_t m_at = 0;
    int m_line = 1;
};

} // namespace

std::optional<std::size_t> CsvTable::column(std::string_view name) const
{
    const auto found = std::find(columns.begin(), columns.end(), name);
    if (found == columns.end())
        return std::nullopt;
    return static_cast<std::size_t>(found - columns.begin());
}

Result<std::vector<CsvRow>> readCsvRows(std::string_view text, const std::string& name)
{
    if (!isUtf8(text))
        return Error{ErrorCode::BadInput, name + ": not UTF-8 text; save it as CSV in UTF-8"};
    if (text.starts_with("\xEF\xBB\xBF"))
        text.remove_prefix(3);
    return CsvWalk(text, name).rows();
}

Result<CsvTable> readCsv(std::string_view text, const std::string& name)
{
    Result<std::vector<CsvRow>> rows = readCsvRows(text, name);
    if (!rows)
        return rows.error();
    if (rows->empty())
        return Error{ErrorCode::BadInput, name + ": empty; the first line must name the columns"};
    CsvTable table;
    for (const std::string& field : rows->front().fields) {
        std::string column = lowerAscii(trimmed(field));
        if (!column.empty() && table.column(column))
            return Error{ErrorCode::BadInput, name + ", line " + std::to_string(rows->front().line) +
                                                  ": column \"" + column + "\" is there twice"};
        table.columns.push_back(std::move(column));
    }
    table.rows.assign(std::make_move_iterator(rows->begin() + 1), std::make_move_iterator(rows->end()));
    for (const CsvRow& row : table.rows)
        if (row.fields.size() != table.columns.size())
            return Error{ErrorCode::BadInput, name + ", line " + std::to_string(row.line) + ": " +
                                                  std::to_string(row.fields.size()) +
                                                  " fields, the header has " +
                                                  std::to_string(table.columns.size())};
    return table;
}

} // namespace inkpeg
