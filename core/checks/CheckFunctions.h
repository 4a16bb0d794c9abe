// SPDX-License-Identifier: GPL-3.0-or-later
// The checks, one function each; their names, explanations and severities stand in Checks.cpp.
#pragma once

namespace inkpeg {

class Evidence;
class Report;

// RegisterChecks.cpp
void checkNumbersUsedTwice(Evidence& evidence, Report& report);
void checkGapsInNumbers(Evidence& evidence, Report& report);
void checkUnknownTrenches(Evidence& evidence, Report& report);
void checkUnknownPeople(Evidence& evidence, Report& report);

// DrawingChecks.cpp
void checkDrawingFields(Evidence& evidence, Report& report);
void checkSectionFields(Evidence& evidence, Report& report);
void checkDrawingScales(Evidence& evidence, Report& report);
void checkScansMissing(Evidence& evidence, Report& report);
void checkScansChanged(Evidence& evidence, Report& report);
void checkDrawingsNotFitted(Evidence& evidence, Report& report);
void checkPinTolerance(Evidence& evidence, Report& report);
void checkSparePins(Evidence& evidence, Report& report);
void checkOutlinesBeyondPins(Evidence& evidence, Report& report);

// SignOffChecks.cpp
void checkDrawingStages(Evidence& evidence, Report& report);
void checkContextStages(Evidence& evidence, Report& report);
void checkBrokenSeals(Evidence& evidence, Report& report);
void checkCheckerIsTracer(Evidence& evidence, Report& report);

// ContextChecks.cpp
void checkContextFields(Evidence& evidence, Report& report);
void checkOutlinesWithoutRecord(Evidence& evidence, Report& report);
void checkContextsNotDrawn(Evidence& evidence, Report& report);
void checkCutsWithoutSection(Evidence& evidence, Report& report);
void checkCutsWithoutFill(Evidence& evidence, Report& report);
void checkFillsWithoutCut(Evidence& evidence, Report& report);

// SequenceChecks.cpp
void checkRelationsToUnknown(Evidence& evidence, Report& report);
void checkRelationsToItself(Evidence& evidence, Report& report);
void checkLoops(Evidence& evidence, Report& report);
void checkRedundantRelations(Evidence& evidence, Report& report);
void checkLevelsAgainstSequence(Evidence& evidence, Report& report);

// PlaceChecks.cpp
void checkOutsideTrench(Evidence& evidence, Report& report);
void checkOverlapsWithoutRelation(Evidence& evidence, Report& report);
void checkFillsOutsideCut(Evidence& evidence, Report& report);
void checkOutlinesDisagree(Evidence& evidence, Report& report);

// SectionChecks.cpp
void checkSectionFacing(Evidence& evidence, Report& report);
void checkPlanAndSectionEdges(Evidence& evidence, Report& report);
void checkUntoldEdges(Evidence& evidence, Report& report);
void checkLevelsOnFace(Evidence& evidence, Report& report);
void checkPlacedOnFace(Evidence& evidence, Report& report);
void checkLevelBooks(Evidence& evidence, Report& report);
void checkTimberLengths(Evidence& evidence, Report& report);
void checkLevelsAgainstBook(Evidence& evidence, Report& report);
// SheetJoins.cpp
void checkSheetJoins(Evidence& evidence, Report& report);

// FindChecks.cpp
void checkPlacedWithoutContext(Evidence& evidence, Report& report);
void checkPlacedWithoutPlace(Evidence& evidence, Report& report);
void checkPlacedOutOfPlace(Evidence& evidence, Report& report);
void checkPlacedOnTheEdge(Evidence& evidence, Report& report);
void checkPlacedWithoutOutline(Evidence& evidence, Report& report);
void checkPlacedOutsideTrench(Evidence& evidence, Report& report);
void checkPlacedLevels(Evidence& evidence, Report& report);
void checkDrawnPlaces(Evidence& evidence, Report& report);
void checkDrawnPointsWithoutRecord(Evidence& evidence, Report& report);

} // namespace inkpeg
