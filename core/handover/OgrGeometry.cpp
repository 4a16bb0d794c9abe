// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/OgrGeometry.h"

#include <ogrsf_frmts.h>

namespace inkpeg {

namespace {

void fillRing(const std::vector<GroundM>& positions, OGRLinearRing& ring)
{
    const int count = static_cast<int>(positions.size());
    ring.setNumPoints(count + 1, FALSE);
    for (int i = 0; i <= count; ++i) {
        const GroundM at = positions[static_cast<std::size_t>(i % count)];
        ring.setPoint(i, at.east, at.north);
    }
}

} // namespace

std::unique_ptr<OGRGeometry> ogrGeometry(const FeatureGeometry& geometry)
{
    if (geometry.point) {
        const GroundPosition& place = *geometry.point;
        return place.levelM ? std::make_unique<OGRPoint>(place.at.east, place.at.north, *place.levelM)
                            : std::make_unique<OGRPoint>(place.at.east, place.at.north);
    }
    if (!geometry.line.empty()) {
        auto line = std::make_unique<OGRLineString>();
        line->setNumPoints(static_cast<int>(geometry.line.size()), FALSE);
        for (std::size_t i = 0; i < geometry.line.size(); ++i)
            line->setPoint(static_cast<int>(i), geometry.line[i].east, geometry.line[i].north);
        return line;
    }
    if (geometry.polygons.empty())
        return nullptr;
    auto polygons = std::make_unique<OGRMultiPolygon>();
    for (const PolygonRings& rings : geometry.polygons) {
        auto polygon = std::make_unique<OGRPolygon>();
        for (const std::vector<GroundM>& positions : rings) {
            auto ring = std::make_unique<OGRLinearRing>();
            fillRing(positions, *ring);
            polygon->addRingDirectly(ring.release());
        }
        polygons->addGeometryDirectly(polygon.release());
    }
    return polygons;
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
