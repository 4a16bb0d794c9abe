// SPDX-License-Identifier: GPL-3.0-or-later
// Fits a drawing of the project to the ground from what the project holds: its pins, their pegs, its sheet.
//
//   const Result<ControlFit> fit = fitDrawing(project, drawing);
//   if (!fit) return fit.error();          // names the drawing, and the peg or sheet that is missing
//   const GroundM place = fit->transform.toGround(sheet->frame.toFilm(outlineVertex));
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/fit/ControlFit.h"
#include "core/fit/SiteGrid.h"
#include "core/section/SectionFit.h"
#include "core/section/SectionFrame.h"
#include "core/store/Project.h"

namespace inkpeg {

/// Everything that ties one drawing to the ground. For an upright drawing positions "on the ground" are
/// (distance along `section`, level).
struct DrawingGround {
    ControlFit fit; ///< upright drawings: north = datum + (level - datum) * verticalExaggeration
    FilmFrame film;
    std::optional<SectionFrame> section;
    double verticalExaggeration = 1;

    GroundM toGround(ScanPx position) const;
    Result<ScanPx> toScan(GroundM position) const;
    /// Of an upright drawing: the place in space.
    SpacePoint toSpace(ScanPx position) const;
    /// Upright drawings: the level as it was drawn, from the level; and back.
    double drawnLevel(double levelM) const;
    double trueLevel(double drawnM) const;
};

/// True if the pins tie the drawing down: some redundancy (without it every residual is nought, whatever was
/// mispinned) and no residual beyond the tolerance, check points included. Only then does it count as pinned.
bool pinsHold(const ControlFit& fit);

/// The stage that follows from these pins for a drawing that is not beyond `pinned`; one that is stays what it
/// is: what was traced stays traced, and the check tells if its pins went bad.
Stage stageByPins(const Project& project, const Drawing& drawing, std::span<const Pin> pins);

/// True for the kinds whose vertical axis is the level.
bool isUpright(DrawingKind kind);

/// The project's pegs in its CRS; read once, then cheap to ask.
class PegsInCrs {
public:
    explicit PegsInCrs(const Project& project);

    /// The peg of this name: as given in the CRS if it is, else carried over from the site grid.
    /// Errors: NotFound; Unsolvable (given in the site grid, which is not related to the CRS: says why).
    Result<Peg> named(const std::string& name) const;

    /// A peg as it is, or carried over. Errors: Unsolvable, as above.
    Result<Peg> at(const Peg& peg) const;

    /// The relation of the site grid to the CRS. Errors: Unsolvable (fewer than two pegs given in both frames).
    const Result<SiteGrid>& siteGrid() const { return m_grid; }

private:
    std::vector<Peg> m_pegs;
    Result<SiteGrid> m_grid;
};

/// One peg in the CRS, for those who ask for a single one. Errors: as PegsInCrs::at.
Result<Peg> pegInCrs(const Project& project, const Peg& peg);

/// A stop of a section line: the peg it passes, and whether the line steps sideways to it.
struct LineStop {
    std::string nail;
    bool afterStep = false; ///< as SectionNail::afterStep

    bool operator==(const LineStop&) const = default;
};

/// A line as written, "A; M | N; B", taken apart: ; goes on to the next nail, | steps sideways to it.
std::vector<LineStop> sectionLineStops(const std::string& line);
std::string sectionLineText(const std::vector<LineStop>& stops);
/// The same line from B to A.
std::vector<LineStop> turnedLine(std::vector<LineStop> stops);

/// The line that is stored with an upright drawing. Errors: NotFound (peg); as SectionFrame::through.
Result<SectionFrame> storedLine(const PegsInCrs& pegs, const Drawing& drawing);

/// An upright drawing with its line and its pins, before it is fitted.
struct PinnedSection {
    SectionFrame frame;
    std::vector<SectionPin> pins; ///< in the order of the pins given
    SectionFitSettings settings;
    FilmFrame film;
};

/// The line is the stored one, or else straight through the pins in use, their least-squares axis, and runs
/// so that its drawing is no mirror image.
/// Errors: NotFound (sheet, peg); BadInput naming the drawing: no datum, a datum in feet, a nail without a
///         level that is no mark on the datum line, a line that crosses itself, a nail far from the line;
///         Unsolvable (fewer than two pins, or all at one place).
Result<PinnedSection> sectionOf(const Project& project, const Drawing& drawing, std::span<const Pin> pins);

/// The drawing's pins as the fit sees them, in the order of `pins`.
/// Errors: NotFound (drawing's sheet, a pin's peg: names them); Unsolvable (section pins all at one place);
///         BadInput and Conflict: as sectionOf.
Result<std::vector<ControlPoint>> controlPoints(const Project& project, const Drawing& drawing,
                                                std::span<const Pin> pins);

/// The fit, the film's frame and, for sections, the plane, from the stored pins or from those given.
/// Errors: as controlPoints and fitControl, with the drawing's number in front.
Result<DrawingGround> groundOfDrawing(const Project& project, const Drawing& drawing);
Result<DrawingGround> groundOfDrawing(const Project& project, const Drawing& drawing,
                                      std::span<const Pin> pins);

/// The fit alone.
Result<ControlFit> fitDrawing(const Project& project, const Drawing& drawing);

} // namespace inkpeg
