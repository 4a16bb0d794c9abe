// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/Registers.h"

#include <algorithm>
#include <numeric>

#include "core/base/Text.h"
#include "core/records/RegisterFields.h"

namespace inkpeg {

namespace {

template<typename Line>
std::vector<RegisterColumn> columnsOf()
{
    std::vector<RegisterColumn> columns;
    for (const RegisterField<Line>& field : registerFields<Line>())
        columns.push_back(field.column);
    return columns;
}

/// Fewest letters changed, put in or left out to make `b` of `a` (Levenshtein distance).
std::size_t lettersApart(std::string_view a, std::string_view b)
{
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    for (std::size_t i = 1; i <= a.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t changed = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
            diagonal = row[j];
            row[j] = std::min({changed, row[j] + 1, row[j - 1] + 1});
        }
    }
    return row[b.size()];
}

/// ` The nearest is "number".`, where one of `names` is near enough to be meant.
std::string nearest(std::string_view name, const std::vector<std::string>& names)
{
    const std::string* best = nullptr;
    std::size_t apart = 0;
    for (const std::string& candidate : names)
        if (const std::size_t d = lettersApart(name, candidate); !best || d < apart) {
            best = &candidate;
            apart = d;
        }
    return best && apart <= std::max<std::size_t>(2, name.size() / 3) ? " The nearest is \"" + *best + "\"."
                                                                      : std::string();
}

std::string joined(const std::vector<std::string>& names)
{
    std::string text;
    for (const std::string& name : names)
        text += (text.empty() ? "" : ", ") + name;
    return text;
}

/// Register columns by the file's own names for them, in lower case.
std::vector<std::string> wantedNames(const std::vector<RegisterColumn>& columns,
                                     const HeaderMapping& mapping)
{
    std::vector<std::string> names;
    for (const RegisterColumn& column : columns) {
        const auto own = mapping.columns.find(column.name);
        names.push_back(lowerAscii(trimmed(own == mapping.columns.end() ? column.name : own->second)));
    }
    return names;
}

Result<void> checkMapping(const std::vector<RegisterColumn>& columns, const HeaderMapping& mapping,
                          const std::string& file)
{
    std::vector<std::string> names;
    for (const RegisterColumn& column : columns)
        names.push_back(column.name);
    for (const auto& [column, own] : mapping.columns)
        if (std::find(names.begin(), names.end(), column) == names.end())
            return Error{ErrorCode::BadInput, file + ": the mapping names a column \"" + column +
                                                  "\" that the register has not; it has " + joined(names) +
                                                  "." + nearest(column, names)};
    return {};
}

} // namespace

const std::vector<RegisterKind>& allRegisters()
{
    using enum RegisterKind;
    static const std::vector<RegisterKind> All = {People,   Trenches,    Pegs,  Sheets,
                                                  Drawings, Contexts,    Finds, Samples,
                                                  Timbers,  Photographs, Pins,  Levels};
    return All;
}

std::string registerName(RegisterKind kind)
{
    static constexpr const char* Names[] = {"people",   "trenches",    "pegs",  "sheets",
                                            "drawings", "contexts",    "finds", "samples",
                                            "timbers",  "photographs", "pins",  "levels"};
    return Names[static_cast<std::size_t>(kind)];
}

std::optional<RegisterKind> registerOfFileName(const std::filesystem::path& csv)
{
    const std::string stem = lowerAscii(csv.stem().string());
    for (const RegisterKind kind : allRegisters())
        if (registerName(kind) == stem)
            return kind;
    return std::nullopt;
}

std::vector<RegisterColumn> registerColumns(RegisterKind kind)
{
    switch (kind) {
    case RegisterKind::People:
        return columnsOf<Person>();
    case RegisterKind::Trenches:
        return columnsOf<Trench>();
    case RegisterKind::Pegs:
        return columnsOf<Peg>();
    case RegisterKind::Sheets:
        return columnsOf<SheetLine>();
    case RegisterKind::Drawings:
        return columnsOf<Drawing>();
    case RegisterKind::Contexts:
        return columnsOf<ContextLine>();
    case RegisterKind::Finds:
        return columnsOf<Find>();
    case RegisterKind::Samples:
        return columnsOf<Sample>();
    case RegisterKind::Timbers:
        return columnsOf<Timber>();
    case RegisterKind::Photographs:
        return columnsOf<Photograph>();
    case RegisterKind::Pins:
        return columnsOf<PinLine>();
    case RegisterKind::Levels:
        return columnsOf<LevelReading>();
    }
    return {};
}

Result<std::vector<std::optional<std::size_t>>>
matchHeader(RegisterKind kind, const CsvTable& table, const std::string& file, const HeaderMapping& mapping)
{
    const std::vector<RegisterColumn> columns = registerColumns(kind);
    if (const auto checked = checkMapping(columns, mapping, file); !checked)
        return checked.error();
    const std::vector<std::string> wanted = wantedNames(columns, mapping);
    std::set<std::string> passOver;
    for (const std::string& name : mapping.passOver)
        passOver.insert(lowerAscii(trimmed(name)));
    std::vector<std::optional<std::size_t>> places;
    for (std::size_t i = 0; i < columns.size(); ++i) {
        places.push_back(table.column(wanted[i]));
        const bool mapped = mapping.columns.contains(columns[i].name);
        if (!places.back() && (columns[i].required || mapped))
            return Error{ErrorCode::BadInput,
                         file + ": the column \"" + wanted[i] + "\" is missing. The register of " +
                             registerName(kind) + " has " + joined(wanted) + "; this file has " +
                             joined(table.columns) + "." + nearest(wanted[i], table.columns)};
    }
    for (const std::string& column : table.columns)
        if (!column.empty() && !passOver.contains(column) &&
            std::find(wanted.begin(), wanted.end(), column) == wanted.end())
            return Error{ErrorCode::BadInput, file + ": the column \"" + column +
                                                  "\" is not known. The register of " + registerName(kind) +
                                                  " has " + joined(wanted) + "." + nearest(column, wanted) +
                                                  " Rename it, map it, or let it be passed over"};
    return places;
}

} // namespace inkpeg
