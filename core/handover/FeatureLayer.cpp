// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/FeatureLayer.h"

#include "core/base/Text.h"

namespace inkpeg {

namespace {

std::string positionText(GroundM at, int decimals)
{
    return fixed(at.east, decimals) + " " + fixed(at.north, decimals);
}

std::string positionText(const SpacePoint& at, int decimals)
{
    return fixed(at.eastM, decimals) + " " + fixed(at.northM, decimals) + " " + fixed(at.levelM, decimals);
}

template<typename Position>
std::string positionsText(const std::vector<Position>& positions, bool close, int decimals)
{
    std::string text = "(";
    for (const Position& at : positions)
        text += (text.size() > 1 ? "," : "") + positionText(at, decimals);
    if (close && !positions.empty())
        text += "," + positionText(positions.front(), decimals);
    return text + ")";
}

template<typename Position>
std::string multiPolygonText(const char* head, const std::vector<std::vector<std::vector<Position>>>& parts,
                             int decimals)
{
    std::string text = std::string(head) + " (";
    for (const std::vector<std::vector<Position>>& rings : parts) {
        text += text.ends_with(")") ? ",(" : "(";
        for (const std::vector<Position>& ring : rings)
            text += (text.ends_with(")") ? "," : "") + positionsText(ring, true, decimals);
        text += ")";
    }
    return text + ")";
}

} // namespace

std::string fieldTypeName(FieldType type)
{
    switch (type) {
    case FieldType::Text:
        return "text";
    case FieldType::Whole:
        return "whole number";
    case FieldType::Real:
        return "number";
    }
    return {};
}

std::string geometryKindName(GeometryKind kind)
{
    switch (kind) {
    case GeometryKind::None:
        return "none";
    case GeometryKind::Point:
        return "point";
    case GeometryKind::Line:
        return "line";
    case GeometryKind::Polygons:
        return "multipolygon";
    case GeometryKind::SpaceLine:
        return "line with levels";
    case GeometryKind::SpacePolygons:
        return "multipolygon with levels";
    }
    return {};
}

std::string wellKnownText(const FeatureGeometry& geometry, int decimals)
{
    if (geometry.point) {
        const std::string place = positionText(geometry.point->at, decimals);
        if (geometry.point->levelM)
            return "POINT Z (" + place + " " + fixed(*geometry.point->levelM, decimals) + ")";
        return "POINT (" + place + ")";
    }
    if (!geometry.line.empty())
        return "LINESTRING " + positionsText(geometry.line, false, decimals);
    if (!geometry.spaceLine.empty())
        return "LINESTRING Z " + positionsText(geometry.spaceLine, false, decimals);
    if (!geometry.spacePolygons.empty())
        return multiPolygonText("MULTIPOLYGON Z", geometry.spacePolygons, decimals);
    return geometry.polygons.empty() ? std::string()
                                     : multiPolygonText("MULTIPOLYGON", geometry.polygons, decimals);
}

std::string valueText(const FieldValue& value)
{
    if (const auto* text = std::get_if<std::string>(&value))
        return *text;
    if (const auto* whole = std::get_if<std::int64_t>(&value))
        return std::to_string(*whole);
    if (const auto* real = std::get_if<double>(&value))
        return exact(*real);
    return {};
}

} // namespace inkpeg
