// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/Checks.h"

#include "core/checks/CheckFunctions.h"
#include "core/checks/Evidence.h"

namespace inkpeg {

namespace {

struct Check {
    const char* name;
    Severity severity;
    const char* explanation;
    void (*run)(Evidence&, Report&);
};

constexpr Severity Must = Severity::Must, Should = Severity::Should, Note = Severity::Note;

const Check Table[] = {
    {"number used twice", Must,
     "Two records of one register carry the same number; case, blanks and leading zeros do not tell them "
     "apart.",
     checkNumbersUsedTwice},
    {"gap in numbers", Note, "A register jumps over fewer than 50 numbers.", checkGapsInNumbers},
    {"unknown trench", Should, "A record names no trench, or one that is not registered.",
     checkUnknownTrenches},
    {"unknown person", Note, "Initials on a record belong to nobody in the project.", checkUnknownPeople},

    {"drawing lacks a field", Must, "Every drawing needs its number, date, scale and who drew it.",
     checkDrawingFields},
    {"section lacks a field", Should,
     "Sections, elevations and profiles need the way they face and their datum.", checkSectionFields},
    {"scale too small", Should, "Level plans are drawn at 1:50 or larger, sections at 1:20 or larger.",
     checkDrawingScales},
    {"scan missing", Should, "A drawing has no sheet, its sheet no scan, or the scan's file is gone.",
     checkScansMissing},
    {"scan changed", Must, "A scan is no longer the file that was pinned: its SHA-256 differs.",
     checkScansChanged},
    {"drawing not fitted", Must, "A drawing is past pinning, but its pins do not tie it to the ground.",
     checkDrawingsNotFitted},
    {"out of pin tolerance", Must, "A pin's residual on the film is larger than the project allows.",
     checkPinTolerance},
    {"no spare pins", Should, "A fit without redundancy cannot show a blunder.", checkSparePins},
    {"outline beyond its pins", Should,
     "An outline runs so far beyond the pins that the fit is extrapolated.", checkOutlinesBeyondPins},

    {"context lacks a field", Should,
     "Every context needs its kind, a description, who recorded it and when.", checkContextFields},
    {"outline without record", Must, "A context is drawn but not in the register.",
     checkOutlinesWithoutRecord},
    {"context not drawn", Must, "A context is in the register but on no plan and no section.",
     checkContextsNotDrawn},
    {"cut without section", Note, "A cut is drawn in plan only.", checkCutsWithoutSection},
    {"cut without fill", Should, "No relation says what fills a cut.", checkCutsWithoutFill},
    {"fill without cut", Should, "No relation says which cut a fill fills.", checkFillsWithoutCut},

    {"relation to an unknown context", Must, "A relation names a context that is not in the register.",
     checkRelationsToUnknown},
    {"relation to itself", Must, "A relation puts a context, or one recorded as the same, above itself.",
     checkRelationsToItself},
    {"stratigraphic loop", Must,
     "Following the relations from later to earlier leads back to where one began.", checkLoops},
    {"levels against the sequence", Must,
     "The later of two contexts lies wholly under the earlier by its levels.", checkLevelsAgainstSequence},
    {"redundant relation", Note, "A relation follows from others.", checkRedundantRelations},

    {"outside its trench", Must, "A context is drawn outside the limit of excavation of its trench.",
     checkOutsideTrench},
    {"overlap without relation", Should,
     "Two contexts overlap in plan, and no relation says which is later.", checkOverlapsWithoutRelation},
    {"fill outside its cut", Must, "A fill reaches beyond the cut that it is recorded as filling.",
     checkFillsOutsideCut},
    {"outlines disagree", Should, "Two drawings show the same edge of a context in different places.",
     checkOutlinesDisagree},
    {"sheets do not meet", Should,
     "A context runs from one sheet onto the next, and its edges miss each other where the sheets meet.",
     checkSheetJoins},

    {"section reads the wrong way", Must,
     "A section's line faces another way than its record says: it is reversed, or scanned face down.",
     checkSectionFacing},
    {"plan and section disagree", Should,
     "An edge lies elsewhere on a section than on the plan that it crosses, beyond two sigma of both.",
     checkPlanAndSectionEdges},
    {"edges without a level", Note,
     "Whether edges on plans agree with a section cannot be told: its sides lean, and the plan has no "
     "level for them at which the section shows the context.",
     checkUntoldEdges},
    {"level off the section", Should,
     "A level written on a plan lies off the face of a section there, beyond two sigma of both.",
     checkLevelsOnFace},
    {"in another context by section", Should,
     "A find, sample or timber beside a section lies in another context than the one it is recorded in.",
     checkPlacedOnFace},
    {"level book does not close", Must,
     "A level book miscloses beyond its tolerance, disagrees with itself, or cannot be reduced.",
     checkLevelBooks},
    {"timber length against levels", Should, "A timber's length is not what its top, bottom and lean give.",
     checkTimberLengths},
    {"levels disagree", Must, "A record has another level than the level book gives its point.",
     checkLevelsAgainstBook},

    {"no context", Must, "A find, sample or timber names no context, or one that is not in the register.",
     checkPlacedWithoutContext},
    {"no place", Should, "A find, sample or timber has no position.", checkPlacedWithoutPlace},
    {"out of place", Must, "A find, sample or timber lies outside the context it is recorded in.",
     checkPlacedOutOfPlace},
    {"on the edge", Note, "A find, sample or timber lies so near an edge that its context is in doubt.",
     checkPlacedOnTheEdge},
    {"context without outline", Note,
     "A find, sample or timber's context has no outline in plan to hold it against.",
     checkPlacedWithoutOutline},
    {"find outside the trench", Should,
     "A find, sample or timber lies outside the trench it is recorded in.", checkPlacedOutsideTrench},
    {"level out of context", Should,
     "A find or sample lies above the top or below the bottom of its context.", checkPlacedLevels},
    {"drawn elsewhere", Should, "A find, sample or timber is drawn far from where it was surveyed.",
     checkDrawnPlaces},
    {"drawn point without record", Must,
     "A find, sample or timber is marked on a drawing but not in the register.",
     checkDrawnPointsWithoutRecord},

    {"seal broken", Must, "A drawing or context was changed after it was signed off.", checkBrokenSeals},
    {"checked by its maker", Must, "A drawing or context was checked by somebody who made it.",
     checkCheckerIsTracer},
    {"drawing not signed off", Should, "A drawing has stages left to go.", checkDrawingStages},
    {"context not signed off", Note, "A context has not been signed off by a second person.",
     checkContextStages},
};

} // namespace

std::string severityName(Severity severity)
{
    switch (severity) {
    case Severity::Must:
        return "must";
    case Severity::Should:
        return "should";
    case Severity::Note:
        return "note";
    }
    return {};
}

std::vector<CheckFacts> listChecks()
{
    std::vector<CheckFacts> facts;
    for (const Check& check : Table)
        facts.push_back({check.name, check.explanation, check.severity});
    return facts;
}

Result<std::vector<Matter>> runChecks(const ProjectRecords& records, const Progress& progress)
{
    Evidence evidence(records);
    std::vector<Matter> matters;
    double done = 0;
    for (const Check& check : Table) {
        if (!report(progress, done / static_cast<double>(std::size(Table))))
            return Error{ErrorCode::Cancelled, "checking was stopped"};
        Report found(check.name, check.severity, matters);
        check.run(evidence, found);
        ++done;
    }
    return matters;
}

std::vector<Matter> runChecks(const ProjectRecords& records)
{
    return runChecks(records, Progress()).value();
}

} // namespace inkpeg
