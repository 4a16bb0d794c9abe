// SPDX-License-Identifier: GPL-3.0-or-later
// Convex hull and areas on the film.
#pragma once

#include <span>
#include <vector>

#include "core/base/Units.h"

namespace inkpeg {

/// Open ring, anticlockwise, without points on its edges; fewer than three points when all lie on one line.
/// Source: Andrew, Another efficient algorithm for convex hulls in two dimensions, Information Processing
///         Letters 9, 1979 (monotone chain).
std::vector<FilmMm> convexHull(std::span<const FilmMm> points);

/// Signed area of an open ring in mm^2, positive when anticlockwise.
double ringArea(std::span<const FilmMm> ring);

/// The part of an open ring inside an anticlockwise convex one; joined by doubled edges where it falls
/// apart, which leaves its area right. Source: Sutherland & Hodgman, Reentrant polygon clipping,
/// Communications of the ACM 17, 1974.
std::vector<FilmMm> clippedTo(std::span<const FilmMm> convex, std::span<const FilmMm> ring);

} // namespace inkpeg
