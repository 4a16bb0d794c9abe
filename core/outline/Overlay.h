// SPDX-License-Identifier: GPL-3.0-or-later
// Areas of outlines added to and taken from one another.
//
//   const Result<std::vector<Part>> rest = overlay(layer, pit, Overlay::Difference);
//   // rest and pit share the pit's edge, vertex for vertex, each edge with the kind it was traced with
#pragma once

#include <span>
#include <vector>

#include "core/base/Result.h"
#include "core/outline/Outline.h"

namespace inkpeg {

enum class Overlay { Union, Intersection, Difference, SymmetricDifference };

/// The lattice that positions are kept on, in pixels.
inline constexpr double LatticePx = 1.0 / 256;

/// The parts of the area that comes out; none if it has no area. What has no area (a point or line where
/// two outlines touch) is left out.
///
/// New vertices lie on a grid of `gridPx`; 0 = at floating precision. Each edge has the kind of the edge
/// of `a` or `b` that it lies on; where both run, that of `b`, the later one.
/// Shape:  `a` and `b` valid (Validity.h).
/// Errors: System (GEOS gave up: its words).
/// Source: overlay with snap rounding, GEOS 3.11 (OverlayNG); the grid as the last argument of
///         GEOSDifferencePrec and its kin.
Result<std::vector<Part>> overlay(std::span<const Part> a, std::span<const Part> b, Overlay operation,
                                  double gridPx = LatticePx);

/// True if `a` and `b` have area in common.
bool overlaps(std::span<const Part> a, std::span<const Part> b);

/// The two sides of an outline cut along a line that runs across it: pieces in GEOS's order, each with the
/// cut as edges of `cutKind`. One piece if the line does not divide it.
/// Errors: System.
Result<std::vector<std::vector<Part>>> piecesAlong(std::span<const Part> parts,
                                                   std::span<const ScanPx> line, EdgeKind cutKind);

/// Gives each edge of `parts` the kind of the edge of `sources` that it lies on, to within two steps of the
/// lattice; a later source goes before an earlier one. Edges that lie on none become `otherwise`.
void takeKinds(std::vector<Part>& parts, std::span<const std::span<const Part>> sources,
               EdgeKind otherwise = EdgeKind::Certain);

} // namespace inkpeg
