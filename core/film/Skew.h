// SPDX-License-Identifier: GPL-3.0-or-later
// How far a sheet lies turned on the scanner, told from the straight lines on it.
//
//   const Result<Skew> skew = findSkew(scan, 400);
//   view.turnDegrees = -skew->angleRad * 180 / pi;      // the film stands upright
#pragma once

#include "core/base/Result.h"
#include "core/film/Scan.h"

namespace inkpeg {

struct Skew {
    /// The way the lines run, on screen clockwise from the row (or from the column for lines across), in
    /// (-pi/4, pi/4]. Turning the film by as much the other way puts them upright.
    double angleRad = 0;
    /// How much more the lines stand out at this angle than at the median of all: 1 = not at all.
    double distinctness = 1;
};

/// Looks at the whole sheet in cells of a quarter of a millimetre. For each angle the ink is summed along
/// parallel lines, in both directions of the right angle, and the squares of the differences between
/// neighbouring sums are added up: nowhere are they larger than where the sums run along the sheet's own
/// straight lines, its printed grid or drawn frame.
///
/// Units:  dpi of the scan (mean of both directions). Exact to some hundredths of a degree on an A4 with a
/// grid.
/// Errors: Unsolvable (no straight lines stand out); as Scan::readGrey.
/// Source: Postl, Detection of linear oblique structures and skew scan in digitized documents, Proc. 8th
///         Int. Conf. Pattern Recognition, 1986, 687-689 (from memory): the criterion, here with ink in
///         place of grey.
Result<Skew> findSkew(const Scan& scan, double dpi);

/// The same on pixels at hand, at `dpi`.
Result<Skew> findSkew(const GreyImage& image, double dpi);

} // namespace inkpeg
