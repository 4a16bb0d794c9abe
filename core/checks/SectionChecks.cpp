// SPDX-License-Identifier: GPL-3.0-or-later
// Checks of the third dimension: which way sections read, plans against sections, level books.
#include <cmath>
#include <map>
#include <set>

#include "core/base/Text.h"
#include "core/checks/CheckFunctions.h"
#include "core/checks/Evidence.h"
#include "core/checks/LevelBooks.h"
#include "core/checks/PlanAgainstSection.h"
#include "core/checks/UprightTimbers.h"

namespace inkpeg {

void checkSectionFacing(Evidence& evidence, Report& report)
{
    for (const Drawing& drawing : evidence.records.drawings) {
        const DrawingPlace* place = evidence.place(drawing.id);
        if (!place || !place->section || trimmed(drawing.facing).empty())
            continue;
        const Result<FacingVerdict> facing = checkFacing(*place->section, drawing.facing);
        if (facing && *facing == FacingVerdict::Agrees)
            continue;
        const std::string faces = place->section->facingName();
        report.about(drawing,
                     !facing ? facing.error().message
                     : *facing == FacingVerdict::Reversed
                         ? "section " + drawing.number + " is recorded as facing " + drawing.facing +
                               ", but reads as one that faces " + faces +
                               ": it is reversed, or its film was scanned face down"
                         : "section " + drawing.number + " is recorded as facing " + drawing.facing +
                               ", but its line faces " + faces,
                     "Turn the section (menu Drawing), or correct the way it faces.");
    }
}

void checkPlanAndSectionEdges(Evidence& evidence, Report& report)
{
    for (const EdgeMisfit& edge : evidence.planAgainstSection().edges) {
        if (edge.verdict() != MisfitVerdict::Beyond)
            continue;
        Matter& matter =
            report.add("outline", edge.plan + " / " + edge.section + " / " + edge.context, edge.inWords(),
                       "Look at the pins of both drawings, then at both outlines, and which "
                       "nail the section was measured from.");
        matter.drawing = edge.section;
        matter.ground = edge.ground;
        if (const Drawing* section = evidence.drawing(edge.sectionId)) {
            matter.trench = section->trench;
            matter.person = section->drawnBy;
        }
    }
}

namespace {

/// A tally is read line by line: a few names lead to the rest.
std::string firstFew(const std::set<std::string>& names)
{
    constexpr std::size_t Few = 4;
    std::string words;
    std::size_t named = 0;
    for (const std::string& name : names) {
        if (named == Few && names.size() > Few + 1) // "and 1 more" is no shorter than the one
            return words + " and " + std::to_string(names.size() - named) + " more";
        words += (words.empty() ? "" : ", ") + name;
        ++named;
    }
    return words;
}

} // namespace

/// One matter for a section, however many edges: what helps is the same for all.
void checkUntoldEdges(Evidence& evidence, Report& report)
{
    struct Untold {
        int edges = 0;
        std::set<std::string> where;
        GroundM first;
    };
    std::map<std::int64_t, Untold> bySection;
    for (const EdgeMisfit& edge : evidence.planAgainstSection().edges)
        if (edge.verdict() == MisfitVerdict::CannotTell) {
            Untold& untold = bySection[edge.sectionId];
            if (untold.edges++ == 0)
                untold.first = edge.ground;
            untold.where.insert(edge.context + " on " + edge.plan);
        }
    for (const auto& [id, untold] : bySection) {
        const Drawing* section = evidence.drawing(id);
        if (section == nullptr)
            continue;
        Matter& matter = report.about(
            *section,
            "section " + section->number + ": it cannot be told whether " +
                (untold.edges == 1 ? "one edge on a plan agrees"
                                   : std::to_string(untold.edges) + " edges on plans agree") +
                " with it (" + firstFew(untold.where) + ")",
            "Write a level of the context on the plan at which the section shows it. Plans against "
            "sections tells at which level each would agree.");
        matter.ground = untold.first;
    }
}

void checkLevelsOnFace(Evidence& evidence, Report& report)
{
    for (const LevelMisfit& level : evidence.planAgainstSection().levels) {
        if (level.verdict() != MisfitVerdict::Beyond)
            continue;
        Matter& matter = report.add(
            "drawing", level.plan + " / " + level.section + " / " + fixed(level.writtenM, 2),
            level.inWords(), "Look at the level book, the datum of the section and its outline.");
        matter.drawing = level.section;
        matter.ground = level.ground;
        if (const Drawing* section = evidence.drawing(level.sectionId))
            matter.trench = section->trench;
    }
}

void checkPlacedOnFace(Evidence& evidence, Report& report)
{
    for (const PlacedOnFace& placed : evidence.planAgainstSection().placed) {
        if (placed.verdict != FaceVerdict::Elsewhere)
            continue;
        Matter& matter = report.add(pointKindName(placed.kind), placed.number, placed.inWords(),
                                    "Look at its level and context, and at the section.");
        matter.drawing = placed.section;
        matter.ground = placed.ground;
        if (const Drawing* section = evidence.drawing(placed.sectionId))
            matter.trench = section->trench;
    }
}

void checkLevelBooks(Evidence& evidence, Report& report)
{
    for (const LevelBook& book : evidence.records.levelBooks) {
        const Result<ReducedBook> reduced = reduceBook(book, evidence.records.levelReadings);
        if (!reduced) {
            report.add("level book", book.name, reduced.error().message, "Correct the level book.");
            continue;
        }
        for (const LevelConflict& conflict : reduced->conflicts)
            report.add("level book", book.name + " / " + conflict.point,
                       "level book " + book.name + ": " + conflict.message,
                       "Look at the readings, and level again while it can be done.");
    }
}

void checkTimberLengths(Evidence& evidence, Report& report)
{
    for (const Timber& timber : evidence.records.timbers) {
        const Result<UprightTimber> stands = standing(timber);
        if (!stands || !stands->lengthMisfitM || std::abs(*stands->lengthMisfitM) <= TimberLengthToleranceM)
            continue;
        Matter& matter =
            report.add("timber", timber.number,
                       "timber " + timber.number + " is recorded as " + fixed(*timber.lengthM, 2) +
                           " m long, its levels and lean give " + fixed(stands->lengthM, 2) + " m",
                       "Measure it again, or correct its levels or its lean.");
        matter.trench = timber.trench;
        matter.ground = timber.position;
    }
}

void checkLevelsAgainstBook(Evidence& evidence, Report& report)
{
    for (const LevelUse& use : levelUses(evidence.records))
        if (use.disagrees())
            report.add(levelTargetName(use.target), use.number, use.inWords(),
                       "Find out which is right; take the reduced level over, or correct the level book.");
}

} // namespace inkpeg
