// SPDX-License-Identifier: GPL-3.0-or-later
// Asks of a drawing in the project which pins are wrong and which model suits it.
//
//   const Result<DrawingDiagnosis> diagnosis = diagnoseDrawing(project, drawing);
//   if (diagnosis && diagnosis->alarm) show(diagnosis->summary);
//   project.act(remedyAct(drawing, *diagnosis, 0), [&](Editor& edit) {
//       return takeRemedy(edit, project, drawing, *diagnosis, 0);
//   });
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/fit/Blunders.h"
#include "core/fit/ModelChoice.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

struct DrawingDiagnosis : Diagnosis {
    /// Which frame the pegs were compared in: that in which most of them are given, since digits are
    /// exchanged where they are written. Remedies hold coordinates of this frame.
    PegFrame frame = PegFrame::Crs;
    std::vector<Pin> pins;         ///< as diagnosed
    std::vector<GroundM> compared; ///< where their pegs were taken to be, in `frame`; see controlPoints
};

/// Wrong pins of a drawing and their likely causes, held against every peg of the register that has a place
/// in the drawing's plane. Remedies are in the order of the drawing's pins. Of an upright drawing only
/// causes are named whose remedy the register can hold: its distances along the line are in no register.
///
/// How a plan ought to lie is taken from the other plans (usualTurnRad); upright drawings stand upright.
/// Errors: as controlPoints.
Result<DrawingDiagnosis> diagnoseDrawing(const Project& project, const Drawing& drawing);
Result<DrawingDiagnosis> diagnoseDrawing(const Project& project, const Drawing& drawing,
                                         std::span<const Pin> pins);

/// Turn of the film's x axis from east of the CRS, anticlockwise, in which the other plans of the project
/// lie, those of the same trench first: known where at least two hold and all lie within 18 degrees of their
/// mean. At most 12 are asked.
std::optional<double> usualTurnRad(const Project& project, const Drawing& drawing);

/// Every model for the drawing's pins, over its part of the sheet.
/// Errors: as controlPoints.
Result<ModelComparison> compareModelsFor(const Project& project, const Drawing& drawing);
Result<ModelComparison> compareModelsFor(const Project& project, const Drawing& drawing,
                                         std::span<const Pin> pins);

/// What the remedy of a hypothesis would change, for people: "tie the pin at A3 to B3; tie the pin at B3 to
/// A3", "write north 6203038.412 for peg 124/198 in the register, which all drawings share", ...
std::string remedyWords(const Drawing& drawing, const DrawingDiagnosis& diagnosis, std::size_t hypothesis);

/// The text that taking a remedy is journalled under.
std::string remedyAct(const Drawing& drawing, const DrawingDiagnosis& diagnosis, std::size_t hypothesis);

/// Takes a remedy within an act: pins are tied anew or set aside, a peg's coordinate is corrected in the
/// register, the stated scale or the side of the film is changed; the stages of the drawings that hang on it
/// follow, and nothing else is touched.
/// Errors: BadInput (no such hypothesis); NotFound, Conflict (the project has changed since); those of Editor.
Result<void> takeRemedy(Editor& edit, const Project& project, const Drawing& drawing,
                        const DrawingDiagnosis& diagnosis, std::size_t hypothesis);

} // namespace inkpeg
