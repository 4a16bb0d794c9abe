// SPDX-License-Identifier: GPL-3.0-or-later
// What is handed over, before any file format: layers of features, each with its schema. The same schema
// writes the files and the data dictionary.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "core/base/Units.h"
#include "core/section/SectionFrame.h"

namespace inkpeg {

enum class FieldType { Text, Whole, Real };

struct FieldSchema {
    std::string name;
    FieldType type = FieldType::Text;
    std::string unit;    ///< "m", "mm", "px", "m2", "degrees"; empty where there is none
    std::string meaning; ///< one sentence for the data dictionary
};

enum class GeometryKind {
    None,
    Point,
    Line,
    Polygons,
    SpaceLine,     ///< with a level at each vertex
    SpacePolygons, ///< the same; rings may stand upright, so that they have no area in plan
};

/// Where a layer's coordinates live.
enum class LayerSpace {
    Ground,  ///< east, north in the project's CRS
    Section, ///< distance along the section line, level
};

struct LayerSchema {
    std::string name;
    GeometryKind geometry = GeometryKind::None;
    LayerSpace space = LayerSpace::Ground;
    std::string meaning;
    std::vector<FieldSchema> fields;
};

/// A place with its level where that is known.
struct GroundPosition {
    GroundM at;
    std::optional<double> levelM;
    bool operator==(const GroundPosition&) const = default;
};

/// Rings without the closing vertex; the first is the outer one, counter-clockwise, the others holes,
/// clockwise.
using PolygonRings = std::vector<std::vector<GroundM>>;

/// The same in space. The first ring is the outer one, counter-clockwise as its face is read.
using SpaceRings = std::vector<std::vector<SpacePoint>>;

/// Exactly one is filled, by the layer's GeometryKind; all are empty where a place is not
/// known.
struct FeatureGeometry {
    std::optional<GroundPosition> point;
    std::vector<GroundM> line;
    std::vector<PolygonRings> polygons;
    std::vector<SpacePoint> spaceLine = {};
    std::vector<SpaceRings> spacePolygons = {};

    bool empty() const
    {
        return !point && line.empty() && polygons.empty() && spaceLine.empty() && spacePolygons.empty();
    }
};

using FieldValue = std::variant<std::monostate, std::string, std::int64_t, double>;

/// Shape: values.size() == schema.fields.size() of its layer.
struct Feature {
    FeatureGeometry geometry;
    std::vector<FieldValue> values;
};

struct FeatureLayer {
    LayerSchema schema;
    std::vector<Feature> features;
};

/// "text", "whole number", "number".
std::string fieldTypeName(FieldType type);

/// "none", "point", "line", "multipolygon", "line with levels", "multipolygon with levels".
std::string geometryKindName(GeometryKind kind);

/// Well-known text (OGC 06-103r4) with `decimals` digits, "Z" where levels are known; empty for no
/// geometry.
std::string wellKnownText(const FeatureGeometry& geometry, int decimals);

/// As people and CSV read it; nothing for an unknown value.
std::string valueText(const FieldValue& value);

} // namespace inkpeg
