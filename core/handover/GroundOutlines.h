// SPDX-License-Identifier: GPL-3.0-or-later
// Outlines and lines of a drawing carried to the ground, each vertex with its standard error.
//
// An edge is straight on the film. Where the model bends it (polynomials, spline) vertices are added until
// the chord lies within a stated tolerance; outlines that share an edge get the same added vertices,
// whichever way round they run.
#pragma once

#include <vector>

#include "core/base/Units.h"
#include "core/outline/Outline.h"
#include "core/store/PositionError.h"

namespace inkpeg {

/// `kind` belongs to the edge that leaves this vertex.
struct GroundVertex {
    GroundM at;
    PositionError error;
    EdgeKind kind = EdgeKind::Certain;
};

/// Not closed: the first vertex is not repeated.
using VertexRing = std::vector<GroundVertex>;

/// The outer ring runs counter-clockwise, holes clockwise (RFC 7946, 3.1.6).
struct VertexPart {
    VertexRing outer;
    std::vector<VertexRing> holes;
};

/// How closely edges follow their true course on the ground, in mm on the film.
inline constexpr double DefaultChordToleranceMm = 0.05;

/// `parts` on the ground.
std::vector<VertexPart> partsOnGround(const std::vector<Part>& parts, const DrawingGround& ground,
                                      const PositionErrors& errors,
                                      double chordToleranceMm = DefaultChordToleranceMm);

/// A line on the ground; every vertex's kind is Certain.
std::vector<GroundVertex> lineOnGround(const std::vector<ScanPx>& vertices, const DrawingGround& ground,
                                       const PositionErrors& errors,
                                       double chordToleranceMm = DefaultChordToleranceMm);

/// Positive when the ring runs counter-clockwise, in square metres.
/// Source: the area by coordinates of surveying; tests/published/area_by_coordinates.json.
double signedAreaM2(const VertexRing& ring);

/// Outer rings less holes.
double areaM2(const std::vector<VertexPart>& parts);

/// Length of all rings.
double perimeterM(const std::vector<VertexPart>& parts);

/// The terms at the vertex whose total is largest.
PositionError worstError(const std::vector<VertexPart>& parts);

/// A stretch of a ring along which the edges are of one kind, from its first vertex to its last.
/// Shape: the last vertex of a stretch is the first of the next; a ring of one kind is one closed stretch.
struct EdgeStretch {
    EdgeKind kind = EdgeKind::Certain;
    std::vector<GroundM> vertices;
};
std::vector<EdgeStretch> edgeStretches(const VertexRing& ring);

} // namespace inkpeg
