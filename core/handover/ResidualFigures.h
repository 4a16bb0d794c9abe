// SPDX-License-Identifier: GPL-3.0-or-later
// What a residual report says of a drawing: what was fitted, to what, by whom, how well. Figures only;
// app/print makes pages of them.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "core/base/Result.h"
#include "core/store/PositionError.h"
#include "core/store/DrawingFit.h"
#include "core/store/Project.h"

namespace inkpeg {

enum class FitVerdict {
    Within,  ///< every pin and check point lies within tolerance
    Out,     ///< at least one does not
    NoSpare, ///< no redundancy and no check point: the residuals can prove nothing
};

/// "within tolerance", "out of tolerance", "not checked: no spare pin".
std::string fitVerdictName(FitVerdict verdict);

/// Accuracy from check points left out of the fit.
/// Source: FGDC-STD-007.3-1998 (NSSDA), 3.2.1 and appendix 3-A; tests/published/accuracy_standards.json.
struct CheckPointAccuracy {
    int count = 0;
    double rmseEastM = 0, rmseNorthM = 0;
    std::optional<double>
        horizontal95M;   ///< nothing where the standard's approximation does not hold (ratio < 0.6)
    bool enough = false; ///< the standard asks for 20 or more
};

struct DrawingFigures {
    Drawing drawing;
    Sheet sheet;
    DrawingGround ground;
    std::vector<Pin> pins;
    std::vector<ControlPoint> points; ///< in the order of `pins`, as are the fit's residuals
    FitVerdict verdict = FitVerdict::NoSpare;
    double worstMm = 0; ///< longest residual of pins and check points, on the film
    std::string worstPeg;
    PositionError atCentre;      ///< at the middle of the drawing
    PositionError atWorstCorner; ///< at the corner of the drawing where it is largest
    std::optional<CheckPointAccuracy> check;
    std::optional<JournalEntry> lastPinned; ///< the journal's last word on pinning this drawing
};

struct UnfittedDrawing {
    Drawing drawing;
    std::string why;
};

struct ProjectFigures {
    ProjectFacts facts;
    std::string at; ///< state of the project, ISO 8601, UTC
    std::vector<DrawingFigures> drawings;
    std::vector<UnfittedDrawing> unfitted;
};

/// NSSDA figures of the residuals whose use is Check; nothing if there are none.
std::optional<CheckPointAccuracy> checkPointAccuracy(const std::vector<PinResidual>& residuals);

/// Errors: as groundOfDrawing.
Result<DrawingFigures> residualFigures(const Project& project, const Drawing& drawing);

/// Every drawing, or those named. Errors: NotFound (names the drawing).
Result<ProjectFigures> residualFigures(const Project& project,
                                       const std::vector<std::string>& drawingNumbers = {});

/// One line for each pin of each drawing (RFC 4180).
std::string residualCsv(const ProjectFigures& figures);

/// Everything, for programs.
std::string residualJson(const ProjectFigures& figures);

/// The text that an act of pinning is journalled under, so that reports find who pinned a drawing and when.
std::string pinningAct(const std::string& drawingNumber, const std::string& details);

} // namespace inkpeg
