// SPDX-License-Identifier: GPL-3.0-or-later
// Work drawn on sections, elevations and profiles as it stands in space: east, north, level.
//
// A polygon here stands in a vertical plane (a plane for each leg of a line with bends; cut in two where
// the line steps). Seen from above it is a line without area; no rule of validity in plan applies to it,
// and none is applied.
#pragma once

#include <string>
#include <vector>

#include "core/handover/FeatureLayer.h"
#include "core/records/Records.h"
#include "core/store/DrawingFit.h"
#include "core/store/PositionError.h"

namespace inkpeg {

/// What a drawn thing in space has in common with its kin.
struct SpaceRow {
    std::int64_t id = 0; ///< row in the project file
    std::string drawing, context, kind, text;
    FeatureGeometry geometry;
    SpaceError error;          ///< the weakest vertex, each axis by itself
    double fromM = 0, toM = 0; ///< distances along the line that it covers
    double topM = 0, bottomM = 0;
    std::optional<double> areaM2 = {};   ///< on the face
    std::optional<double> writtenM = {}; ///< of a level written on the drawing
};

/// A vertex of an outline as it was drawn.
struct SpaceVertexRow {
    std::int64_t outline = 0;
    std::string drawing, context, edgeKind;
    int part = 0, ring = 0, index = 0; ///< counted from 1
    SectionPoint onFace;
    SpacePoint place;
    SpaceError error;
};

struct SpaceWork {
    std::vector<SpaceRow> outlines, edges, points, levels;
    std::vector<SpaceVertexRow> vertices;
};

/// The outline's rings in space, each with a vertex wherever it passes a bend of the line, and cut where
/// the line steps. The outer ring runs counter-clockwise as the reader of the face sees it, holes
/// clockwise. Errors: as cutAtSteps, naming the context.
Result<std::vector<SpaceRings>> ringsInSpace(const Outline& outline, const DrawingGround& ground,
                                             const PositionErrors& errors, double chordToleranceMm);

/// Adds everything drawn on a fitted upright drawing. `outlines` are those to hand over.
/// Errors: as ringsInSpace.
Result<void> addSpaceWork(const Project& project, const Drawing& drawing, const DrawingGround& ground,
                          const PositionErrors& errors, const std::vector<Outline>& outlines,
                          double chordToleranceMm, SpaceWork& work);

/// space_outlines, space_vertices, space_edges, space_levels, space_points.
std::vector<FeatureLayer> spaceLayers(const SpaceWork& work);

} // namespace inkpeg
