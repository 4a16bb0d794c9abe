// SPDX-License-Identifier: GPL-3.0-or-later
// Going through all rings, or all edges, of parts: the loop that every edit begins with.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "core/outline/Outline.h"

namespace inkpeg {

/// Calls visit(ring) for the outer ring and the holes of each part.
template<typename Visit>
void forEachRing(std::vector<Part>& parts, Visit visit)
{
    for (Part& part : parts) {
        visit(part.outer);
        for (Ring& hole : part.holes)
            visit(hole);
    }
}

template<typename Visit>
void forEachRing(std::span<const Part> parts, Visit visit)
{
    for (const Part& part : parts) {
        visit(part.outer);
        for (const Ring& hole : part.holes)
            visit(hole);
    }
}

/// Calls visit(from, to, kind) for each edge of each ring.
template<typename Visit>
void forEachEdge(std::span<const Part> parts, Visit visit)
{
    forEachRing(parts, [&](const Ring& ring) {
        for (std::size_t i = 0; i < ring.vertices.size(); ++i)
            visit(ring.vertices[i], ring.vertices[(i + 1) % ring.vertices.size()], ring.kinds[i]);
    });
}

/// Distance of `position` from the stretch between `a` and `b`, and how far along it the foot lies, 0 to 1.
struct FootOnEdge {
    double distancePx = 0;
    double along = 0;
};
FootOnEdge footOnEdge(ScanPx position, ScanPx a, ScanPx b);

/// An upright box in the scan; empty (meets nothing) as made by default.
struct ScanBox {
    double left = 1, top = 1, right = -1, bottom = -1;

    bool isEmpty() const { return left > right; }
    void take(ScanPx position);
    void take(const ScanBox& other);
    bool meets(const ScanBox& other) const
    {
        return !isEmpty() && !other.isEmpty() && left <= other.right && other.left <= right &&
               top <= other.bottom && other.top <= bottom;
    }
    ScanBox grownBy(double px) const { return {left - px, top - px, right + px, bottom + px}; }
    bool operator==(const ScanBox&) const = default;
};
ScanBox boxOf(std::span<const ScanPx> positions);
ScanBox boxOf(std::span<const Part> parts);
inline ScanBox boxAbout(ScanPx position, double reachPx)
{
    return {position.column - reachPx, position.row - reachPx, position.column + reachPx,
            position.row + reachPx};
}

} // namespace inkpeg
