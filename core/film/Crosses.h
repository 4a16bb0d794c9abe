// SPDX-License-Identifier: GPL-3.0-or-later
// Finds the grid crosses drawn on a film: the exact centre of one, and all of a lattice from two that are
// known.
//
//   const Result<CrossMark> cross = centreOnCross(scan, clicked, 40, 400);
//   const Result<std::vector<LatticeCross>> others = findLattice(scan, film, {markA, pegA}, {markB, pegB});
#pragma once

#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/base/Units.h"
#include "core/film/Scan.h"

namespace inkpeg {

/// A cross as found.
struct CrossMark {
    ScanPx centre;
    double standardErrorPx = 0; ///< of the centre, one sigma for each axis: scatter of both lines, sampling
    double directionRad = 0;    ///< of the flatter line, on screen clockwise from the row, in (-pi/4, pi/4]
    double darkness = 0;        ///< grey levels by which its weakest arm is darker than the film beside it
    double lineMm = 0;          ///< width of its lines
    bool doubtful = false;
    std::string doubt; ///< why, for people
};

/// Looks for the drawn cross nearest to `near` whose centre lies within `radiusPx`, at any angle, and fits
/// a line to each of its two strokes: in slices across a stroke the centroid of what is clearly darker than
/// the film there, through the slices a straight line in which outlying slices lose their say. The printed
/// millimetre grid is told from a drawn cross by running on behind the ends of the strokes as dark as
/// between them.
///
/// Units:  `dpi` of the scan (mean of both directions).
/// Errors: Unsolvable (no drawn cross there, and what there is instead); as Scan::readGrey.
/// Source: robust line: Tukey's biweight by reweighted least squares, Beaton & Tukey, Technometrics 16 (1974),
///         147-185 (from memory).
Result<CrossMark> centreOnCross(const Scan& scan, ScanPx near, double radiusPx, double dpi);

/// The same on pixels at hand; `place` says where `window` lies in the scan.
Result<CrossMark> centreOnCross(const GreyImage& window, const PxRect& place, ScanPx near, double radiusPx,
                                double dpi);

/// As above, looking only for crosses whose flatter line lies within 4 degrees of `directionRad`.
Result<CrossMark> centreOnTurnedCross(const GreyImage& window, const PxRect& place, ScanPx near,
                                      double radiusPx, double dpi, double directionRad);

/// How far around a centre pixels are needed to judge a cross there.
double crossReachPx(double dpi);

/// A cross whose place on the ground is known.
struct KnownCross {
    ScanPx mark;
    GroundM ground;
};

/// A cross of the lattice; (column, row) counts steps from the first known cross along the line to the
/// second, and across it to the left.
struct LatticeCross {
    int column = 0, row = 0;
    GroundM ground; ///< what the lattice says
    CrossMark mark;
};

/// All crosses of the square lattice that `first` and `second` are neighbours in (`stepsApart` > 1: that
/// many steps from each other), the two left out, in the order of their distance from the first. Each place
/// is predicted from the crosses found before around it, so that stretched film and a little distortion do
/// not mislead. Places without a cross are left out; a cross that differs from the two known ones, or lies
/// off its place, is marked doubtful.
///
/// Errors: BadInput (the two at one place); Unsolvable (no cross at one of the two); Cancelled; as
/// Scan::readGrey.
Result<std::vector<LatticeCross>> findLattice(const Scan& scan, const FilmFrame& film,
                                              const KnownCross& first, const KnownCross& second,
                                              int stepsApart = 1, const Progress& progress = {});

} // namespace inkpeg
