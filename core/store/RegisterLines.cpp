// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/RegisterLines.h"

#include <algorithm>
#include <unordered_map>

#include "core/records/Numbers.h"

namespace inkpeg {

template<typename Line>
std::vector<Line> registerLines(const Project& project)
{
    return project.all<Line>();
}

template<>
std::vector<ContextLine> registerLines<ContextLine>(const Project& project)
{
    std::unordered_map<std::string, std::map<RelationKind, std::vector<std::string>>> relations;
    for (Relation& relation : project.all<Relation>())
        relations[relation.context][relation.kind].push_back(std::move(relation.other));
    std::vector<ContextLine> lines;
    for (Context& context : project.all<Context>()) {
        ContextLine& line = lines.emplace_back(ContextLine{std::move(context), {}});
        if (const auto found = relations.find(line.context.number); found != relations.end())
            line.relations = std::move(found->second);
        for (auto& [kind, others] : line.relations)
            std::sort(others.begin(), others.end());
    }
    return lines;
}

template<>
std::vector<SheetLine> registerLines<SheetLine>(const Project& project)
{
    std::vector<SheetLine> lines;
    for (Sheet& sheet : project.all<Sheet>())
        lines.push_back({std::move(sheet), {}, {}});
    return lines;
}

template<>
std::vector<PinLine> registerLines<PinLine>(const Project& project)
{
    std::unordered_map<std::int64_t, std::string> numberOf;
    for (const Drawing& drawing : project.all<Drawing>())
        numberOf.emplace(drawing.id, drawing.number);
    std::vector<PinLine> lines;
    for (Pin& pin : project.all<Pin>()) {
        std::string number = numberOf[pin.drawing];
        lines.push_back({std::move(pin), std::move(number)});
    }
    return lines;
}

template std::vector<Person> registerLines<Person>(const Project&);
template std::vector<Trench> registerLines<Trench>(const Project&);
template std::vector<Peg> registerLines<Peg>(const Project&);
template std::vector<Drawing> registerLines<Drawing>(const Project&);
template std::vector<Find> registerLines<Find>(const Project&);
template std::vector<Sample> registerLines<Sample>(const Project&);
template std::vector<Timber> registerLines<Timber>(const Project&);
template std::vector<Photograph> registerLines<Photograph>(const Project&);
template std::vector<LevelReading> registerLines<LevelReading>(const Project&);

namespace {

/// The names of a register's columns and the cells of each of its lines.
struct RegisterText {
    std::vector<std::string> columns;
    std::vector<std::vector<std::string>> lines;
};

template<typename Line>
RegisterText textOf(const Project& project)
{
    const auto& fields = registerFields<Line>();
    RegisterText text;
    for (const auto& field : fields)
        text.columns.push_back(field.column.name);
    for (const Line& line : registerLines<Line>(project)) {
        std::vector<std::string>& cells = text.lines.emplace_back();
        for (const auto& field : fields)
            cells.push_back(field.write(line));
    }
    return text;
}

RegisterText textOf(const Project& project, RegisterKind kind)
{
    switch (kind) {
    case RegisterKind::People:
        return textOf<Person>(project);
    case RegisterKind::Trenches:
        return textOf<Trench>(project);
    case RegisterKind::Pegs:
        return textOf<Peg>(project);
    case RegisterKind::Sheets:
        return textOf<SheetLine>(project);
    case RegisterKind::Drawings:
        return textOf<Drawing>(project);
    case RegisterKind::Contexts:
        return textOf<ContextLine>(project);
    case RegisterKind::Finds:
        return textOf<Find>(project);
    case RegisterKind::Samples:
        return textOf<Sample>(project);
    case RegisterKind::Timbers:
        return textOf<Timber>(project);
    case RegisterKind::Photographs:
        return textOf<Photograph>(project);
    case RegisterKind::Pins:
        return textOf<PinLine>(project);
    case RegisterKind::Levels:
        return textOf<LevelReading>(project);
    }
    return {};
}

} // namespace

std::string registerCsv(const Project& project, RegisterKind kind)
{
    const RegisterText text = textOf(project, kind);
    std::string csv = csvLine(text.columns);
    for (const std::vector<std::string>& cells : text.lines)
        csv += csvLine(cells);
    return csv;
}

RegisterTable registerTable(const Project& project, RegisterKind kind)
{
    RegisterText text = textOf(project, kind);
    std::stable_sort(text.lines.begin(), text.lines.end(),
                     [](const auto& a, const auto& b) { return numberBefore(a[0], b[0]); });
    RegisterTable table(std::move(text.columns));
    for (const std::vector<std::string>& cells : text.lines)
        table.add(cells);
    return table;
}

} // namespace inkpeg
