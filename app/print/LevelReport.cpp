// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/LevelReport.h"

#include "core/base/Text.h"
#include "core/handover/Geodata.h"

namespace inkpeg {

namespace {

std::string metres(TenthMm tenths)
{
    return fixed(metresFromTenthMm(tenths), tenths % 10 == 0 ? 3 : 4);
}

std::string reading(const std::optional<double>& valueM)
{
    return valueM ? fixed(*valueM, 3) : std::string();
}

ReportTable bookTable(const LevelBook& book, const Result<ReducedBook>& reduced)
{
    ReportTable table;
    table.heading = "Level book " + book.name;
    if (!book.levelledBy.empty() || !book.levelledOn.empty())
        table.notes.push_back("Levelled by " + book.levelledBy + " " + book.levelledOn);
    table.columns = {{"point", 1.7},
                     {"back", 1, true},
                     {"inter.", 1, true},
                     {"fore", 1, true},
                     {"rise", 1, true},
                     {"fall", 1, true},
                     {"collimation", 1.4, true},
                     {"by height", 1.2, true},
                     {"by rise, fall", 1.4, true},
                     {"corr. mm", 1.35, true},
                     {"level", 1.2, true},
                     {"note", 1.7}};
    if (!reduced) {
        table.ifEmpty = reduced.error().message;
        return table;
    }
    table.notes.push_back(bookInWords(*reduced) + ". Tolerance: " + exact(book.toleranceK) +
                          " mm times the root of the number of set-ups (common practice). " +
                          (book.distribute ? "The misclosure is spread evenly over the set-ups."
                                           : "The misclosure is not spread."));
    for (const LevelConflict& conflict : reduced->conflicts)
        table.notes.push_back("! " + conflict.message);
    for (const LevelLineWords& line : levelLines(*reduced))
        table.rows.push_back(
            {{line.point, line.back, line.intermediate, line.fore, line.rise, line.fall, line.collimation,
              line.byCollimation, line.byRiseAndFall, line.correction, line.level, line.note},
             false});
    const ArithmeticCheck& check = reduced->check;
    table.rows.push_back({{"sums", metres(check.backsights), "", metres(check.foresights),
                           metres(check.rises), metres(check.falls), "", "", "", "",
                           metres(check.lastMinusFirst), check.holds() ? "check holds" : "CHECK FAILS"},
                          !check.holds()});
    return table;
}

ReportTable usesTable(const std::vector<LevelUse>& uses, const std::string& book)
{
    ReportTable table;
    table.heading = "What the levels are for";
    table.ifEmpty = "No record bears the name of a levelled point.";
    table.columns = {{"record", 1.6},       {"number", 1.4},   {"book", 1.2},         {"point", 1.4},
                     {"levelled", 1, true}, {"held", 1, true}, {"apart mm", 1, true}, {"verdict", 2}};
    for (const LevelUse& use : uses) {
        if (!book.empty() && use.book != book)
            continue;
        table.rows.push_back(
            {{levelTargetName(use.target), use.number, use.book, use.point, fixed(use.reducedM, 3),
              reading(use.heldM), use.heldM ? fixed((*use.heldM - use.reducedM) * 1000, 1) : std::string(),
              use.missing()     ? "has no level yet"
              : use.disagrees() ? "disagrees, allowed " + fixed(use.allowedM * 1000, 1) + " mm"
                                : "agrees"},
             use.disagrees()});
    }
    return table;
}

} // namespace

std::vector<LevelLineWords> levelLines(const ReducedBook& book)
{
    std::vector<LevelLineWords> lines;
    for (std::size_t i = 0; i < book.rows.size(); ++i) {
        const ReducedLevel& row = book.rows[i];
        LevelLineWords line;
        line.point = row.booked.point;
        line.back = reading(row.booked.backsightM);
        line.intermediate = reading(row.booked.intermediateM);
        line.fore = reading(row.booked.foresightM);
        if (i > 0 && row.riseFromPrevious >= 0)
            line.rise = metres(row.riseFromPrevious);
        if (i > 0 && row.riseFromPrevious < 0)
            line.fall = metres(-row.riseFromPrevious);
        if (row.collimation)
            line.collimation = metres(*row.collimation);
        line.byCollimation = metres(row.byCollimation);
        line.byRiseAndFall = metres(row.byRiseAndFall);
        line.correction = fixed(static_cast<double>(row.correction) / 10, 1);
        line.level = metres(row.adjusted);
        line.note = row.booked.note;
        lines.push_back(std::move(line));
    }
    return lines;
}

Result<TableReport> levelReport(const Project& project, const std::string& book)
{
    const ProjectFacts facts = project.facts();
    TableReport report{"Level books " + facts.siteCode,
                       facts.title.empty() ? facts.siteCode : facts.title,
                       handOverTime(project),
                       {}};
    for (const auto& [one, reduced] : reducedBooks(project))
        if (book.empty() || one.name == book)
            report.tables.push_back(bookTable(one, reduced));
    if (!book.empty() && report.tables.empty())
        return Error{ErrorCode::NotFound, "level book \"" + book + "\" is not in the project"};
    report.tables.push_back(usesTable(levelUses(project), book));
    return report;
}

} // namespace inkpeg
