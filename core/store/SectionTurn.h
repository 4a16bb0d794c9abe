// SPDX-License-Identifier: GPL-3.0-or-later
// Tells whether a section of the project reads the right way, and turns it as an act that can be undone.
//
//   const Result<SectionReading> reading = readSection(project, drawing);
//   if (reading && !reading->remedies.empty())
//       turnSection(project, drawing, reading->remedies.front());
#pragma once

#include <string>
#include <vector>

#include "core/section/SectionFit.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

/// What can be done about a section that reads the wrong way.
enum class SectionRemedy {
    TurnLine,      ///< its line runs from B to A: turn it round
    FilmFaceDown,  ///< its film was scanned with the other face down than recorded: mirror the sheet
    CorrectFacing, ///< the record is wrong about the way it faces
};

/// "turn the line round to run from B to A", "the film was scanned face down", ...
std::string remedyInWords(SectionRemedy remedy, const Drawing& drawing, const SectionFrame& frame);

struct SectionReading {
    SectionFrame frame;
    HandReport hand;
    std::optional<FacingVerdict> facing; ///< nothing where no facing is recorded
    std::vector<SectionRemedy> remedies; ///< most likely first; empty when it reads as recorded
    std::string message;
};

/// Errors: as sectionOf and checkHand; BadInput (a recorded facing that is no compass point).
Result<SectionReading> readSection(const Project& project, const Drawing& drawing);

/// One act. FilmFaceDown mirrors the whole sheet, and turns a stored line round too where it then runs
/// backwards.
/// Errors: Conflict (no stored line to turn; the drawing is signed off); as Project::act.
Result<Change> turnSection(Project& project, const Drawing& drawing, SectionRemedy remedy,
                           const std::string& why = {});

/// Sets the line (pegs from A to B with its steps; none = straight through its pins) and the exaggeration
/// of an upright drawing, as one act. Refused, with the project as it was, where the line cannot be.
/// Errors: BadInput: as SectionFrame::through; an exaggeration that is not above 0; a plan. NotFound (peg).
Result<Change> setSectionLine(Project& project, Drawing drawing, const std::vector<LineStop>& stops,
                              double verticalExaggeration, const std::string& why = {});

} // namespace inkpeg
