// SPDX-License-Identifier: GPL-3.0-or-later
// The outline of a context on one drawing: polygons in scan pixels whose edges each have a kind.
//
// Positions are kept on a lattice of 1/256 pixel, so that vertices shared by adjoining outlines are exactly equal:
// two outlines share an edge when they hold the same two positions one after the other.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/base/Units.h"

namespace inkpeg {

/// How an edge was drawn (terms of field recording).
enum class EdgeKind { Certain, Uncertain, Truncated, LimitOfExcavation, BeyondTheSheet };

/// "certain", "uncertain", "truncated", "limit of excavation", "beyond the sheet".
std::string edgeKindName(EdgeKind kind);
Result<EdgeKind> edgeKindNamed(const std::string& name);

/// A closed ring. `kinds[i]` belongs to the edge from vertices[i] to the next (the last one closes the ring).
/// Shape: vertices.size() == kinds.size() >= 3; the first vertex is not repeated at the end.
struct Ring {
    std::vector<ScanPx> vertices;
    std::vector<EdgeKind> kinds;
    bool operator==(const Ring&) const = default;
};

/// One part of an outline: an outer ring and its holes.
struct Part {
    Ring outer;
    std::vector<Ring> holes;
    bool operator==(const Part&) const = default;
};

/// `position` moved to the nearest point of the 1/256 pixel lattice.
ScanPx onLattice(ScanPx position);

} // namespace inkpeg
