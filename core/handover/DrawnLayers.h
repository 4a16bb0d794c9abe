// SPDX-License-Identifier: GPL-3.0-or-later
// The layers that hold drawn work: what was traced on each drawing, carried to the ground.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/handover/FeatureLayer.h"
#include "core/handover/GroundOutlines.h"
#include "core/handover/SpaceLayers.h"
#include "core/records/Records.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

/// A drawing with what ties it to the ground; `ground` is empty when it is not pinned (yet), and `whyNot`
/// says why.
struct DrawingRow {
    Drawing drawing;
    std::optional<DrawingGround> ground;
    std::string whyNot;
};

struct OutlineRow {
    Outline outline;
    std::string drawing;
    std::string contextKind;
    std::optional<double> topM, bottomM;
    std::vector<VertexPart> parts;
};

struct EdgeStretchRow {
    std::int64_t outline = 0;
    std::string context, drawing;
    EdgeStretch stretch;
};

struct VertexRow {
    std::int64_t outline = 0;
    std::string context, drawing;
    int part = 0, ring = 0, index = 0; ///< counted from 1; ring 1 is the outer one
    GroundVertex vertex;
};

struct EdgeLineRow {
    EdgeLine line;
    std::string drawing;
    std::vector<GroundVertex> vertices;
};

struct SpotLevelRow {
    SpotLevel level;
    std::string drawing;
    GroundVertex place;
};

struct DrawnPointRow {
    DrawnPoint point;
    std::string drawing;
    GroundVertex place;
};

struct PinRow {
    Pin pin;
    std::string drawing;
    std::optional<GroundPosition> fitted; ///< place in the CRS; nothing when the drawing is not fitted
    std::optional<PinResidual> residual;
};

/// The vertical plane of a section, where the section line runs on the ground.
struct SectionLineRow {
    std::string drawing, trench, facing;
    std::optional<double> datumM;
    GroundM from, to;
    double fromM = 0, toM = 0;      ///< distances along the line
    std::vector<GroundM> line = {}; ///< from `from` over the bends to `to`
};

/// Everything drawn, split by where its coordinates live.
struct DrawnWork {
    struct InOneSpace {
        std::vector<OutlineRow> outlines;
        std::vector<EdgeLineRow> lines;
        std::vector<SpotLevelRow> levels;
        std::vector<DrawnPointRow> points;
    };
    InOneSpace plan, section;
    std::vector<DrawingRow> drawings;
    std::vector<PinRow> pins;
    std::vector<SectionLineRow> sectionLines;
    SpaceWork space; ///< sections again, as they stand in space
};

/// drawings, pins, section_lines; then outlines, outline_edges, outline_vertices, edges, levels, points;
/// then the last six again for sections, with "section_" in front, in distance along the section line and
/// level; then the layers of sections in space.
std::vector<FeatureLayer> drawnLayers(const DrawnWork& work);

} // namespace inkpeg
