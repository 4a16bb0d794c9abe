// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/RegisterLines.h"

#include <algorithm>
#include <unordered_map>

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

namespace {

template<typename Line>
std::string csvOf(const Project& project)
{
    const auto& fields = registerFields<Line>();
    std::vector<std::string> cells;
    for (const auto& field : fields)
        cells.push_back(field.column.name);
    std::string text = csvLine(cells);
    for (const Line& line : registerLines<Line>(project)) {
        cells.clear();
        for (const auto& field : fields)
            cells.push_back(field.write(line));
        text += csvLine(cells);
    }
    return text;
}

} // namespace

std::string registerCsv(const Project& project, RegisterKind kind)
{
    switch (kind) {
    case RegisterKind::People:
        return csvOf<Person>(project);
    case RegisterKind::Trenches:
        return csvOf<Trench>(project);
    case RegisterKind::Pegs:
        return csvOf<Peg>(project);
    case RegisterKind::Sheets:
        return csvOf<SheetLine>(project);
    case RegisterKind::Drawings:
        return csvOf<Drawing>(project);
    case RegisterKind::Contexts:
        return csvOf<ContextLine>(project);
    case RegisterKind::Finds:
        return csvOf<Find>(project);
    case RegisterKind::Samples:
        return csvOf<Sample>(project);
    case RegisterKind::Timbers:
        return csvOf<Timber>(project);
    case RegisterKind::Photographs:
        return csvOf<Photograph>(project);
    case RegisterKind::Pins:
        return csvOf<PinLine>(project);
    }
    return {};
}

} // namespace inkpeg
