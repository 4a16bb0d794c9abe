// SPDX-License-Identifier: GPL-3.0-or-later
// From a chain of cells to a line worth keeping: drawn onto the middle of the pencil, then thinned.
#pragma once

#include <span>
#include <vector>

#include "core/film/InkMap.h"

namespace inkpeg {

/// Moves a chain of neighbouring cells onto the middle of the pencil line beneath it.
///
/// The chain is smoothed and taken at every quarter of a millimetre or so; the darkest place across it
/// within `reachMm` is found to a fraction of a cell by a parabola; where there is no ink the shift is
/// carried over from both sides. The ends of an open chain stay where they are.
std::vector<CellPoint> centredOnInk(const InkMap& map, std::span<const CellPoint> chain, bool closed,
                                    double reachMm);

/// The fewest of `line` (open, or closed without repeating the first) that leave none further away than
/// `tolerance` and do not cross themselves; loops that the line itself makes are cut off. Same units for
/// both.
/// Source: Douglas & Peucker, Algorithms for the reduction of the number of points required to represent a
///         digitized line or its caricature, Cartographica 10 (1973) (from memory).
std::vector<CellPoint> thinned(std::span<const CellPoint> line, bool closed, double tolerance);

/// True if two segments that are not neighbours meet.
bool crossesItself(std::span<const CellPoint> line, bool closed);

/// Shortest distance from `p` to the segment from `a` to `b`.
double distanceToSegment(CellPoint p, CellPoint a, CellPoint b);

} // namespace inkpeg
