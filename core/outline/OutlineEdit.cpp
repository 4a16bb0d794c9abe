// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/OutlineEdit.h"

#include <algorithm>

#include "core/outline/RingVisits.h"

namespace inkpeg {
namespace {

Error tooFewLeft()
{
    return {ErrorCode::BadInput,
            "the outline would be left with fewer than 3 vertices; delete the outline instead"};
}

/// Visits the edges between two positions, in either direction.
template<typename Visit>
bool forEachEdgeBetween(std::vector<Part>& parts, ScanPx a, ScanPx b, Visit visit)
{
    bool any = false;
    forEachRing(parts, [&](Ring& ring) {
        for (std::size_t i = 0; i < ring.vertices.size(); ++i) {
            const ScanPx from = ring.vertices[i];
            const ScanPx to = ring.vertices[(i + 1) % ring.vertices.size()];
            if ((from == a && to == b) || (from == b && to == a)) {
                visit(ring, i);
                any = true;
                ++i; // a new vertex stands at i + 1: do not split its edge again
            }
        }
    });
    return any;
}

/// Drops a vertex that repeats the one before it, with the edge of no length between them.
void dropRepeated(Ring& ring)
{
    for (std::size_t i = 0; i < ring.vertices.size() && ring.vertices.size() > 1;) {
        const std::size_t next = (i + 1) % ring.vertices.size();
        if (ring.vertices[i] == ring.vertices[next]) {
            ring.vertices.erase(ring.vertices.begin() + static_cast<std::ptrdiff_t>(i));
            ring.kinds.erase(ring.kinds.begin() + static_cast<std::ptrdiff_t>(i));
        } else {
            ++i;
        }
    }
}

} // namespace

Result<bool> moveVertex(std::vector<Part>& parts, ScanPx from, ScanPx to)
{
    bool moved = false, sound = true;
    std::vector<Part> edited = parts;
    forEachRing(edited, [&](Ring& ring) {
        if (std::ranges::find(ring.vertices, from) == ring.vertices.end())
            return;
        std::ranges::replace(ring.vertices, from, to);
        dropRepeated(ring);
        moved = true;
        sound = sound && ring.vertices.size() >= 3;
    });
    if (!sound)
        return tooFewLeft();
    parts = std::move(edited);
    return moved;
}

bool insertVertex(std::vector<Part>& parts, ScanPx a, ScanPx b, ScanPx at)
{
    if (at == a || at == b)
        return false;
    return forEachEdgeBetween(parts, a, b, [&](Ring& ring, std::size_t i) {
        const auto after = static_cast<std::ptrdiff_t>(i + 1);
        const EdgeKind kind = ring.kinds[i];
        ring.vertices.insert(ring.vertices.begin() + after, at);
        ring.kinds.insert(ring.kinds.begin() + after, kind);
    });
}

Result<bool> removeVertex(std::vector<Part>& parts, ScanPx position)
{
    bool removed = false, sound = true;
    std::vector<Part> edited = parts;
    forEachRing(edited, [&](Ring& ring) {
        for (std::size_t i = 0; i < ring.vertices.size();) {
            if (ring.vertices[i] == position) {
                ring.vertices.erase(ring.vertices.begin() + static_cast<std::ptrdiff_t>(i));
                ring.kinds.erase(ring.kinds.begin() + static_cast<std::ptrdiff_t>(i));
                removed = true;
                sound = sound && ring.vertices.size() >= 3;
            } else {
                ++i;
            }
        }
    });
    if (!sound)
        return tooFewLeft();
    parts = std::move(edited);
    return removed;
}

bool setEdgeKind(std::vector<Part>& parts, ScanPx a, ScanPx b, EdgeKind kind)
{
    return forEachEdgeBetween(parts, a, b, [&](Ring& ring, std::size_t i) { ring.kinds[i] = kind; });
}

std::optional<ScanPx> nearestVertex(std::span<const Part> parts, ScanPx position, double reachPx)
{
    std::optional<ScanPx> nearest;
    double least = reachPx;
    forEachRing(parts, [&](const Ring& ring) {
        for (const ScanPx& vertex : ring.vertices) {
            const double away = distance(vertex, position);
            if (away <= least) {
                least = away;
                nearest = vertex;
            }
        }
    });
    return nearest;
}

std::optional<EdgePlace> nearestEdge(std::span<const Part> parts, ScanPx position, double reachPx)
{
    std::optional<EdgePlace> nearest;
    double least = reachPx;
    forEachRing(parts, [&](const Ring& ring) {
        for (std::size_t i = 0; i < ring.vertices.size(); ++i) {
            const ScanPx a = ring.vertices[i];
            const ScanPx b = ring.vertices[(i + 1) % ring.vertices.size()];
            if (a == b)
                continue;
            const double along = footOnEdge(position, a, b).along;
            const ScanPx foot =
                onLattice({a.column + along * (b.column - a.column), a.row + along * (b.row - a.row)});
            const double away = distance(foot, position);
            if (away <= least) {
                least = away;
                nearest = EdgePlace{a, b, foot, ring.kinds[i], away};
            }
        }
    });
    return nearest;
}

} // namespace inkpeg
