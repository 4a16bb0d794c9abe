// SPDX-License-Identifier: GPL-3.0-or-later
// Reads a level book from CSV.
#include "core/survey/LevelBook.h"

#include <array>

#include "core/base/Csv.h"
#include "core/base/Text.h"

namespace inkpeg {

namespace {

std::optional<std::size_t> columnOf(const CsvTable& table, std::initializer_list<std::string_view> names)
{
    for (const std::string_view name : names)
        if (const auto column = table.column(name))
            return column;
    return std::nullopt;
}

/// The number in a field, nothing for an empty one.
Result<std::optional<double>> numberIn(const CsvTable& table, const CsvRow& row,
                                       std::optional<std::size_t> column, const std::string& name)
{
    if (!column || trimmed(row.fields[*column]).empty())
        return std::optional<double>();
    if (const auto number = parseNumber(row.fields[*column]))
        return number;
    return Error{ErrorCode::BadInput, name + ", line " + std::to_string(row.line) + ", " +
                                          table.columns[*column] + ": \"" + row.fields[*column] +
                                          "\" is no number; give metres with a point, e.g. 1.216"};
}

} // namespace

Result<std::vector<LevelRow>> readLevelBook(std::string_view text, const std::string& name)
{
    const Result<CsvTable> table = readCsv(text, name);
    if (!table)
        return table.error();
    const auto point = columnOf(*table, {"point", "station"});
    const auto back = columnOf(*table, {"bs", "backsight"});
    const auto intermediate = columnOf(*table, {"is", "intermediate"});
    const auto fore = columnOf(*table, {"fs", "foresight"});
    if (!point || !back || !fore)
        return Error{ErrorCode::BadInput,
                     name + ", line 1: a level book needs the columns point, bs, is, fs"};
    const auto benchmark = columnOf(*table, {"benchmark", "known"});
    const auto booked = columnOf(*table, {"booked", "rl"});
    const auto note = columnOf(*table, {"note"});

    std::vector<LevelRow> rows;
    for (const CsvRow& row : table->rows) {
        LevelRow level;
        level.line = row.line;
        level.point = std::string(trimmed(row.fields[*point]));
        level.note = note ? row.fields[*note] : "";
        const std::array targets = {
            std::pair{back, &level.backsightM}, std::pair{intermediate, &level.intermediateM},
            std::pair{fore, &level.foresightM}, std::pair{benchmark, &level.benchmarkM},
            std::pair{booked, &level.bookedM}};
        for (const auto& [column, target] : targets) {
            const auto number = numberIn(*table, row, column, name);
            if (!number)
                return number.error();
            *target = *number;
        }
        rows.push_back(std::move(level));
    }
    return rows;
}

} // namespace inkpeg
