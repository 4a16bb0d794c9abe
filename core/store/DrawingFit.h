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
#include "core/store/Project.h"

namespace inkpeg {

/// The vertical plane that a section is drawn in: a line on the ground from `start` in the direction
/// (eastPerM, northPerM), a unit vector. Distances along it grow with x on the film.
struct SectionFrame {
    GroundM start;
    double eastPerM = 1;
    double northPerM = 0;

    /// Distance along the line of the foot of `ground` on it, in metres.
    double distanceAlong(GroundM ground) const
    {
        return (ground.east - start.east) * eastPerM + (ground.north - start.north) * northPerM;
    }
    /// The place on the ground at a distance along the line.
    GroundM at(double distanceM) const
    {
        return {start.east + eastPerM * distanceM, start.north + northPerM * distanceM};
    }
};

/// Everything that ties one drawing to the ground. For a section, `fit` leads to (distance along `section`,
/// level).
struct DrawingGround {
    ControlFit fit;
    FilmFrame film;
    std::optional<SectionFrame> section;

    GroundM toGround(ScanPx position) const { return fit.transform.toGround(film.toFilm(position)); }
    Result<ScanPx> toScan(GroundM position) const;
};

/// True if the pins tie the drawing down: some redundancy (without it every residual is nought, whatever was
/// mispinned) and no residual beyond the tolerance, check points included. Only then does it count as pinned.
bool pinsHold(const ControlFit& fit);

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

    /// The relation of the site grid to the CRS. Errors: Unsolvable (fewer than two pegs given in both
    /// frames).
    const Result<SiteGrid>& siteGrid() const { return m_grid; }

private:
    std::vector<Peg> m_pegs;
    Result<SiteGrid> m_grid;
};

/// One peg in the CRS, for those who ask for a single one. Errors: as PegsInCrs::at.
Result<Peg> pegInCrs(const Project& project, const Peg& peg);

/// The drawing's pins as the fit sees them, in the order of `pins`.
/// Errors: NotFound (drawing's sheet, a pin's peg: names them); BadInput (a section's peg without a level);
///         Unsolvable (section pins all at one place).
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
