// SPDX-License-Identifier: GPL-3.0-or-later
// Editing the vertices of outlines. Vertices are named by their position: adjoining outlines that share a
// vertex hold the same position, so that an edit made to each outline of a drawing moves them together.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "core/base/Result.h"
#include "core/outline/Outline.h"

namespace inkpeg {

/// All vertices at `from` go to `to`. Vertices that thereby fall upon their neighbour in the ring become
/// one. True if any moved. Errors: BadInput (a ring would be left with fewer than three vertices).
Result<bool> moveVertex(std::vector<Part>& parts, ScanPx from, ScanPx to);

/// Puts a vertex into each edge that runs between `a` and `b`, whichever way round; both halves keep its
/// kind. True if there was such an edge.
bool insertVertex(std::vector<Part>& parts, ScanPx a, ScanPx b, ScanPx at);

/// Removes the vertices at `position`; the edge that closes the gap has the kind of the one that led to it.
/// True if there were any. Errors: BadInput (a ring would be left with fewer than three vertices).
Result<bool> removeVertex(std::vector<Part>& parts, ScanPx position);

/// Gives each edge between `a` and `b` a kind. True if there was such an edge.
bool setEdgeKind(std::vector<Part>& parts, ScanPx a, ScanPx b, EdgeKind kind);

/// The vertex nearest to `position`, if one lies within `reachPx`.
std::optional<ScanPx> nearestVertex(std::span<const Part> parts, ScanPx position, double reachPx);

/// An edge and the place on it nearest to where it was asked for, on the lattice.
struct EdgePlace {
    ScanPx from, to;
    ScanPx foot;
    EdgeKind kind = EdgeKind::Certain;
    double distancePx = 0;
};

/// The edge nearest to `position`, if one lies within `reachPx`.
std::optional<EdgePlace> nearestEdge(std::span<const Part> parts, ScanPx position, double reachPx);

} // namespace inkpeg
