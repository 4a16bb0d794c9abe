// SPDX-License-Identifier: GPL-3.0-or-later
// Editing vertices, and runs of vertices one after the other along a ring. Vertices are named by their
// position, so every outline that shares them changes with them. Each act is refused or done as a whole,
// as in OutlineActs.h; with `mendings`, an outline that would not be valid is mended (editOutlines).
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "core/base/Result.h"
#include "core/outline/DrawnOutlines.h"

namespace inkpeg {

/// Positions one after the other along a ring, both ends included. Shape: one or more.
using Run = std::vector<ScanPx>;

/// The run from `a` to `b` along a ring that holds both, the shorter way round (the longer on demand).
/// Nothing if no ring holds both.
std::optional<Run> runBetween(std::span<const DrawnOutline> outlines, ScanPx a, ScanPx b,
                              bool theLongWay = false);

/// All vertices at `from` go to `to`. Errors: BadInput (no such vertex; a ring would be left with fewer
/// than three vertices; not valid).
Result<void> moveVertexOf(DrawnOutlines& outlines, ScanPx from, ScanPx to, Mendings* mendings = nullptr);

/// A vertex into each edge that runs between `a` and `b`. Errors: BadInput (no such edge).
Result<void> insertVertexInto(DrawnOutlines& outlines, ScanPx a, ScanPx b, ScanPx at);

/// Moves all vertices of the run by the same way. Errors: as moveVertexOf.
Result<void> moveRun(DrawnOutlines& outlines, const Run& run, double columnsPx, double rowsPx,
                     Mendings* mendings = nullptr);

/// Takes out the vertices between the ends of the run; of a run of one, that vertex.
/// Errors: BadInput (nothing lies between the ends; as moveVertexOf).
Result<void> removeRun(DrawnOutlines& outlines, const Run& run, Mendings* mendings = nullptr);

/// Gives each edge of the run a kind. Errors: BadInput (a run of one vertex has no edge).
Result<void> setKindOfRun(DrawnOutlines& outlines, const Run& run, EdgeKind kind);

/// Replaces the stretch of an outline between the ends of `line` by `line`: of the two ways round the one
/// that encloses less area with it. Outlines that share the whole stretch change with it.
/// Shape:  line.size() >= 2, kinds.size() == line.size() - 1; both ends on one ring (vertex or edge).
/// Errors: BadInput (the ends lie on no outline; an outline shares only a part of the stretch: which, and
///         where they part; not valid).
Result<void> redrawRun(DrawnOutlines& outlines, const std::vector<ScanPx>& line,
                       const std::vector<EdgeKind>& kinds, Mendings* mendings = nullptr);

/// A line to follow: the boundary of an outline, a limit of excavation, a break of slope.
/// Shape: an edge each for vertices[i] to the next; closed = one more from the last to the first.
struct Course {
    std::vector<ScanPx> vertices;
    std::vector<EdgeKind> kinds;
    bool closed = false;
    bool operator==(const Course&) const = default;
};

/// The course of a ring.
Course courseOf(const Ring& ring);

/// The stretch of a course from `a` to `b`, both upon it (within `reachPx`) and both included; the shorter
/// way round a closed one. Nothing if either lies off the course or they are the same.
std::optional<Course> stretchOf(const Course& course, ScanPx a, ScanPx b, double reachPx);

} // namespace inkpeg
