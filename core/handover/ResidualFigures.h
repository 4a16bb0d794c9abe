// SPDX-License-Identifier: GPL-3.0-or-later
// What a residual report says of a drawing: what was fitted, to what, by whom, how well. Figures only;
// app/print makes pages of them.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "core/base/Result.h"
#include "core/fit/CheckPoints.h"
#include "core/store/DrawingDiagnosis.h"
#include "core/store/DrawingFit.h"
#include "core/store/PositionError.h"
#include "core/store/Project.h"

namespace inkpeg {

enum class FitVerdict {
    Within,  ///< every pin and check point lies within tolerance
    Out,     ///< at least one does not
    NoSpare, ///< no redundancy and no check point: the residuals can prove nothing
};

/// "within tolerance", "out of tolerance", "not checked: no spare pin".
std::string fitVerdictName(FitVerdict verdict);

/// The tests of the pins in the fit: residual over its own standard error.
/// Source: Baarda, A testing procedure for use in geodetic networks, 1968 (w); Pope, NOAA TR NOS 65 NGS 1,
///         1976 (tau). Limits hold for all tests of the drawing together: 1.5 % false alarms a sheet.
struct PinTests {
    double largestW = 0, limitW = 0;
    std::string peg; ///< where w is largest
    double largestTau = 0;
    std::optional<double> limitTau; ///< nothing below two redundant coordinates: tau can tell nothing then
};

PinTests pinTestsOf(const ControlFit& fit);

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
    ModelComparison comparison;             ///< every model that the pins allow
    DrawingDiagnosis diagnosis;
    PinTests tests;
};

struct UnfittedDrawing {
    Drawing drawing;
    std::string why;
};

/// How the local site grid lies in the CRS.
struct SiteGridFigures {
    std::optional<SiteGrid> grid;
    std::string whyNot; ///< when it cannot be related
};

struct ProjectFigures {
    ProjectFacts facts;
    std::string at; ///< state of the project, ISO 8601, UTC
    std::vector<DrawingFigures> drawings;
    std::vector<UnfittedDrawing> unfitted;
    std::optional<SiteGridFigures> siteGrid; ///< nothing when no peg is given in it
};

/// Errors: as groundOfDrawing and Project::takeReadingTrouble.
Result<DrawingFigures> residualFigures(const Project& project, const Drawing& drawing);

/// Every drawing, or those named. Errors: NotFound (names the drawing); as
/// Project::takeReadingTrouble.
Result<ProjectFigures> residualFigures(const Project& project,
                                       const std::vector<std::string>& drawingNumbers = {});

/// One line for each pin of each drawing (RFC 4180).
std::string residualCsv(const ProjectFigures& figures);

/// Everything, for programs.
std::string residualJson(const ProjectFigures& figures);

/// The text that an act of pinning is journalled under, so that reports find who pinned a drawing and when.
std::string pinningAct(const std::string& drawingNumber, const std::string& details);

} // namespace inkpeg
