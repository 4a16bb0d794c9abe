// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/SectionReport.h"

#include "core/base/Text.h"
#include "core/handover/Geodata.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

std::string mm(double metres)
{
    return fixed(metres * 1000, 0);
}

ReportTable linesTable(const std::vector<SectionFacts>& sections)
{
    ReportTable table;
    table.heading = "Sections, elevations and profiles";
    table.ifEmpty = "There are none.";
    table.columns = {{"drawing", 1}, {"kind", 1.2},        {"line", 3},  {"length m", 1, true},
                     {"faces", 0.8}, {"datum m", 1, true}, {"drawn", 1}, {"reads", 4}};
    for (const SectionFacts& one : sections) {
        ReportRow row{{one.drawing.number, nameOf(one.drawing.kind), "", "", one.drawing.facing,
                       one.drawing.datumM ? fixed(*one.drawing.datumM, 3) : "", "", ""},
                      !one.reading && one.isPinned};
        if (one.drawing.verticalExaggeration != 1)
            row.cells[6] = exact(one.drawing.verticalExaggeration) + " x taller";
        if (one.reading) {
            const SectionFrame& frame = one.reading->frame;
            for (const SectionNail& nail : frame.nails())
                row.cells[2] += (row.cells[2].empty() ? "" : nail.afterStep ? " | " : " - ") + nail.name;
            row.cells[3] = fixed(frame.lengthM(), 3);
            row.cells[4] = frame.facingName();
            row.cells[7] = one.reading->remedies.empty() ? "as recorded" : one.reading->message;
            row.isBad = !one.reading->remedies.empty();
        } else {
            row.cells[7] = one.isPinned ? one.reading.error().message : "not pinned yet";
        }
        table.rows.push_back(std::move(row));
    }
    return table;
}

ReportTable edgesTable(const PlanAgainstSection& compared, const std::string& number)
{
    ReportTable table;
    table.heading = "Edges in plan and in section";
    table.notes = {
        "Distances along the section line, misfit = section less plan; two sigma of both drawings "
        "together are allowed. Edges at limits of excavation, and edges that run along the line, "
        "are left out. Where a plan has no level for what fills or covers, or one at which the section "
        "does not show it, its side on the section lies anywhere between two places, and it cannot be told "
        "whether they agree; they would if the plan showed it at the level in the last column."};
    table.ifEmpty = "No plan outline crosses a section that shows the same context.";
    table.columns = {{"context", 0.9},
                     {"plan", 0.7},
                     {"section", 0.9},
                     {"plan at m", 1.1, true},
                     {"section at m", 1.8, true},
                     {"misfit mm", 1.2, true},
                     {"plan mm", 1.1, true},
                     {"section mm", 1.3, true},
                     {"verdict", 2.5},
                     {"fits at", 0.8, true}};
    for (const EdgeMisfit& edge : compared.edges) {
        if (!number.empty() && edge.section != number)
            continue;
        const MisfitVerdict verdict = edge.verdict();
        const bool told = verdict != MisfitVerdict::CannotTell;
        table.rows.push_back({{edge.context, edge.plan, edge.section, fixed(edge.planAlongM, 3),
                               told ? fixed(edge.sectionAlongM, 3)
                                    : fixed(edge.sectionFromM, 3) + " to " + fixed(edge.sectionToM, 3),
                               told ? mm(edge.misfitM()) : "", mm(edge.planErrorM), mm(edge.sectionErrorM),
                               misfitVerdictName(verdict) + (edge.uncertain ? ", uncertain edge" : ""),
                               edge.fitsAtM ? fixed(*edge.fitsAtM, 2) : ""},
                              verdict == MisfitVerdict::Beyond});
    }
    return table;
}

ReportTable levelsTable(const PlanAgainstSection& compared, const std::string& number)
{
    ReportTable table;
    table.heading = "Levels on plans against the drawn face";
    table.ifEmpty = "No level on a plan lies beside a section.";
    table.columns = {{"context", 1},          {"plan", 1},
                     {"section", 1},          {"along m", 1, true},
                     {"off line m", 1, true}, {"written", 1, true},
                     {"face", 1, true},       {"misfit mm", 1, true},
                     {"plan mm", 1, true},    {"section mm", 1.1, true},
                     {"verdict", 2}};
    for (const LevelMisfit& level : compared.levels)
        if (number.empty() || level.section == number)
            table.rows.push_back(
                {{level.context, level.plan, level.section, fixed(level.alongM, 2), fixed(level.offsetM, 2),
                  fixed(level.writtenM, 2), fixed(level.faceM, 3), mm(level.misfitM()),
                  mm(level.writtenErrorM), mm(level.sectionErrorM), misfitVerdictName(level.verdict())},
                 level.verdict() == MisfitVerdict::Beyond});
    return table;
}

ReportTable placedTable(const PlanAgainstSection& compared, const std::string& number)
{
    ReportTable table;
    table.heading = "Finds, samples and timbers against the face";
    table.ifEmpty = "None with a level lies beside a section.";
    table.columns = {{"", 0.8},          {"number", 1},        {"section", 1},  {"along m", 1, true},
                     {"level", 1, true}, {"depth m", 1, true}, {"recorded", 1}, {"face shows", 1},
                     {"verdict", 1.5}};
    for (const PlacedOnFace& placed : compared.placed)
        if (number.empty() || placed.section == number)
            table.rows.push_back(
                {{nameOf(placed.kind), placed.number, placed.section, fixed(placed.alongM, 2),
                  fixed(placed.levelM, 2), placed.depthM ? fixed(*placed.depthM, 2) : "", placed.context,
                  placed.shown.empty() ? "nothing" : placed.shown, faceVerdictName(placed.verdict)},
                 placed.verdict == FaceVerdict::Elsewhere});
    return table;
}

} // namespace

Result<std::vector<SectionFacts>> sectionFacts(const Project& project, const std::string& number)
{
    std::vector<SectionFacts> sections;
    for (Drawing& drawing : project.all<Drawing>()) {
        if (!isUpright(drawing.kind) || (!number.empty() && drawing.number != number))
            continue;
        Result<SectionReading> reading = readSection(project, drawing);
        const bool isPinned = !project.ofDrawing<Pin>(drawing.id).empty();
        sections.push_back({std::move(drawing), std::move(reading), isPinned});
    }
    if (!number.empty() && sections.empty()) {
        const bool isPlan = project.byKey<Drawing>(number).has_value();
        return Error{isPlan ? ErrorCode::BadInput : ErrorCode::NotFound,
                     "drawing \"" + number + "\"" +
                         (isPlan ? ": is a plan, not a section" : " is not in the register")};
    }
    return sections;
}

Result<TableReport> sectionReport(const Project& project, const ProjectRecords& records,
                                  const std::string& number)
{
    const Result<std::vector<SectionFacts>> sections = sectionFacts(project, number);
    if (!sections)
        return sections.error();
    const ProjectFacts facts = project.facts();
    TableReport report{"Sections " + facts.siteCode,
                       facts.title.empty() ? facts.siteCode : facts.title,
                       handOverTime(project),
                       {}};
    const PlanAgainstSection compared = comparePlansAndSections(records);
    report.tables = {linesTable(*sections), edgesTable(compared, number), levelsTable(compared, number),
                     placedTable(compared, number)};
    return report;
}

} // namespace inkpeg
