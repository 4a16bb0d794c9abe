// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/OgrGeometry.h"

#include <ogrsf_frmts.h>

namespace inkpeg {

namespace {

void addPoint(OGRSimpleCurve& curve, GroundM at)
{
    curve.addPoint(at.east, at.north);
}

void addPoint(OGRSimpleCurve& curve, const SpacePoint& at)
{
    curve.addPoint(at.eastM, at.northM, at.levelM);
}

template<typename Position>
std::unique_ptr<OGRGeometry> ogrLine(const std::vector<Position>& positions)
{
    auto line = std::make_unique<OGRLineString>();
    for (const Position& at : positions)
        addPoint(*line, at);
    return line;
}

/// Rings as they come: nothing is turned, closed up or mended by how they would lie in plan.
template<typename Position>
std::unique_ptr<OGRGeometry> ogrPolygons(const std::vector<std::vector<std::vector<Position>>>& parts)
{
    auto polygons = std::make_unique<OGRMultiPolygon>();
    for (const std::vector<std::vector<Position>>& rings : parts) {
        auto polygon = std::make_unique<OGRPolygon>();
        for (const std::vector<Position>& positions : rings) {
            auto ring = std::make_unique<OGRLinearRing>();
            for (const Position& at : positions)
                addPoint(*ring, at);
            if (!positions.empty())
                addPoint(*ring, positions.front());
            polygon->addRingDirectly(ring.release());
        }
        polygons->addGeometryDirectly(polygon.release());
    }
    return polygons;
}

} // namespace

std::unique_ptr<OGRGeometry> ogrGeometry(const FeatureGeometry& geometry)
{
    if (geometry.point) {
        const GroundPosition& place = *geometry.point;
        return place.levelM ? std::make_unique<OGRPoint>(place.at.east, place.at.north, *place.levelM)
                            : std::make_unique<OGRPoint>(place.at.east, place.at.north);
    }
    if (!geometry.line.empty())
        return ogrLine(geometry.line);
    if (!geometry.polygons.empty())
        return ogrPolygons(geometry.polygons);
    if (!geometry.spaceLine.empty())
        return ogrLine(geometry.spaceLine);
    return geometry.spacePolygons.empty() ? nullptr : ogrPolygons(geometry.spacePolygons);
}

void setFields(const std::vector<FieldValue>& values, int firstField, OGRFeature& feature)
{
    for (std::size_t i = 0; i < values.size(); ++i) {
        const int field = firstField + static_cast<int>(i);
        if (const auto* text = std::get_if<std::string>(&values[i]))
            feature.SetField(field, text->c_str());
        else if (const auto* whole = std::get_if<std::int64_t>(&values[i]))
            feature.SetField(field, static_cast<GIntBig>(*whole));
        else if (const auto* real = std::get_if<double>(&values[i]))
            feature.SetField(field, *real);
        else
            feature.SetFieldNull(field);
    }
}

} // namespace inkpeg
