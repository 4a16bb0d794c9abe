// SPDX-License-Identifier: GPL-3.0-or-later
// Relates the local site grid to the project's CRS by a fitted plane similarity.
//
//   Result<SiteGrid> grid = fitSiteGrid(commonPoints);
//   GroundM inCrs = grid->toCrs({100.0, 200.0});
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/base/Units.h"
#include "core/fit/ControlFit.h"
#include "core/survey/Peg.h"

namespace inkpeg {

/// A point known in both frames. Standard errors are of the difference between the frames, one sigma.
/// Units: metres.
struct CommonPoint {
    std::string name;
    GroundM site;
    GroundM crs;
    double standardErrorEastM = 0.010;
    double standardErrorNorthM = 0.010;
};

/// Residual = fitted - given, in the CRS.
struct CommonPointResidual {
    std::string name;
    double eastM = 0, northM = 0;
    double testEast = 0,
           testNorth = 0; ///< residual over its own standard error; 0 where nothing is redundant
    bool suspect = false; ///< either exceeds 3.29 (Baarda, alpha 0.001)
};

/// Pegs that are known in both frames, paired by name: every name that stands once in each.
std::vector<CommonPoint> commonPoints(std::span<const Peg> pegs);

class SiteGrid {
public:
    explicit SiteGrid(ControlFit fit);

    GroundM toCrs(GroundM site) const;
    GroundM toSite(GroundM crs) const;

    /// The peg in the CRS, its errors turned into it and joined with those of the fit; a CRS peg as it is.
    Peg toCrs(const Peg& peg) const;

    double scale() const;                ///< CRS metres for a site metre
    double scalePartsPerMillion() const; ///< (scale - 1) in millionths
    double rotationRad() const;          ///< from grid north of the CRS to site north, clockwise, -pi to pi
    GroundM origin() const;              ///< site 0, 0 in the CRS
    double rmseM() const { return m_fit.rmseM; }
    double standardErrorOfUnitWeight() const { return m_fit.standardErrorOfUnitWeight; }
    int redundancy() const { return m_fit.redundancy; }
    std::vector<CommonPointResidual> residuals() const;

private:
    ControlFit m_fit; ///< site metres stand where film millimetres do, at 1:1000
};

/// Shape:  two or more points, not all at one place.
/// Errors: Unsolvable or BadInput with the names of the points.
/// Source: Ghilani, Adjustment Computations, ch. 18 (two-dimensional conformal transformation).
Result<SiteGrid> fitSiteGrid(std::span<const CommonPoint> points);

} // namespace inkpeg
