// SPDX-License-Identifier: GPL-3.0-or-later
// Where one picture of ink may lie on another that shows part of the same: first guesses, from all places
// at once.
#pragma once

#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/film/InkPlane.h"

namespace inkpeg {

/// The second plane's middle lies at (column, row) of the first, in cells, turned by turnRad (on screen
/// clockwise).
struct CoarsePlace {
    double turnRad = 0;
    double column = 0, row = 0;
    double likeness = 0; ///< normalised correlation of the ink where both lie, 0 to 1
};

/// Correlates `second`, turned by up to `mostTurnRad` either way and the same upside down, with `first` at
/// every shift by whole cells. The correlation is divided by the ink of both where they overlap, so that
/// small overlaps stand beside large ones; hardly any ink in common counts as nothing.
/// Returns the best places first, each a few cells away from the better ones.
/// Errors: Unsolvable (no ink on one of them); Cancelled.
/// Source: correlation theorem of the discrete Fourier transform; normalisation by the overlap as in Padfield,
///         Masked object registration in the Fourier domain, IEEE Trans. Image Processing 21 (2012) (from
///         memory), the masks here being whole sheets.
Result<std::vector<CoarsePlace>> findCoarsePlaces(const InkPlane& first, const InkPlane& second,
                                                  double mostTurnRad, const Progress& progress);

} // namespace inkpeg
