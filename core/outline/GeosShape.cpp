// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/GeosShape.h"

namespace inkpeg {
namespace {

GEOSCoordSequence* sequenceOf(const GeosSession& geos, std::span<const ScanPx> vertices, bool closed)
{
    const std::size_t count = vertices.size() + (closed ? 1 : 0);
    GEOSCoordSequence* sequence = GEOSCoordSeq_create_r(geos.handle(), static_cast<unsigned>(count), 2);
    for (std::size_t i = 0; sequence && i < count; ++i) {
        const ScanPx& vertex = vertices[i % vertices.size()];
        GEOSCoordSeq_setXY_r(geos.handle(), sequence, static_cast<unsigned>(i), vertex.column, vertex.row);
    }
    return sequence;
}

/// Null when GEOS refuses the ring.
GeosGeometry ringOf(const GeosSession& geos, const Ring& ring)
{
    GEOSCoordSequence* sequence = sequenceOf(geos, ring.vertices, true);
    return held(geos, sequence ? GEOSGeom_createLinearRing_r(geos.handle(), sequence) : nullptr);
}

GeosGeometry polygonOf(const GeosSession& geos, const Part& part)
{
    GeosGeometry outer = ringOf(geos, part.outer);
    if (!outer)
        return outer;
    std::vector<GeosGeometry> owned;
    for (const Ring& hole : part.holes) {
        owned.push_back(ringOf(geos, hole));
        if (!owned.back())
            return held(geos, nullptr);
    }
    std::vector<GEOSGeometry*> holes;
    for (GeosGeometry& hole : owned)
        holes.push_back(hole.release());
    return held(geos, GEOSGeom_createPolygon_r(geos.handle(), outer.release(), holes.data(),
                                               static_cast<unsigned>(holes.size())));
}

Ring certainRing(const GeosSession& geos, const GEOSGeometry* geometry)
{
    Ring ring;
    const GEOSCoordSequence* sequence = GEOSGeom_getCoordSeq_r(geos.handle(), geometry);
    unsigned count = 0;
    GEOSCoordSeq_getSize_r(geos.handle(), sequence, &count);
    for (unsigned i = 0; i + 1 < count; ++i) {
        ScanPx vertex;
        GEOSCoordSeq_getXY_r(geos.handle(), sequence, i, &vertex.column, &vertex.row);
        ring.vertices.push_back(vertex);
    }
    ring.kinds.assign(ring.vertices.size(), EdgeKind::Certain);
    return ring;
}

} // namespace

GeosSession::GeosSession() : m_handle(GEOS_init_r())
{
    GEOSContext_setErrorMessageHandler_r(
        m_handle,
        [](const char* words, void* session) { static_cast<GeosSession*>(session)->m_complaint = words; },
        this);
}

GeosGeometry held(const GeosSession& geos, GEOSGeometry* geometry)
{
    return {geometry, GeosDelete{geos.handle()}};
}

GeosGeometry geosOf(const GeosSession& geos, std::span<const Part> parts)
{
    if (parts.size() == 1)
        return polygonOf(geos, parts.front());
    std::vector<GeosGeometry> owned;
    for (const Part& part : parts) {
        owned.push_back(polygonOf(geos, part));
        if (!owned.back())
            return held(geos, nullptr);
    }
    std::vector<GEOSGeometry*> polygons;
    for (GeosGeometry& polygon : owned)
        polygons.push_back(polygon.release());
    return held(geos, GEOSGeom_createCollection_r(geos.handle(), GEOS_MULTIPOLYGON, polygons.data(),
                                                  static_cast<unsigned>(polygons.size())));
}

GeosGeometry geosLineOf(const GeosSession& geos, std::span<const ScanPx> vertices)
{
    GEOSCoordSequence* sequence = sequenceOf(geos, vertices, false);
    return held(geos, sequence ? GEOSGeom_createLineString_r(geos.handle(), sequence) : nullptr);
}

std::vector<Part> partsOf(const GeosSession& geos, const GEOSGeometry* geometry)
{
    std::vector<Part> parts;
    const int type = GEOSGeomTypeId_r(geos.handle(), geometry);
    if (type == GEOS_POLYGON) {
        if (GEOSisEmpty_r(geos.handle(), geometry) == 1)
            return parts;
        Part part{certainRing(geos, GEOSGetExteriorRing_r(geos.handle(), geometry)), {}};
        for (int i = 0; i < GEOSGetNumInteriorRings_r(geos.handle(), geometry); ++i)
            part.holes.push_back(certainRing(geos, GEOSGetInteriorRingN_r(geos.handle(), geometry, i)));
        parts.push_back(std::move(part));
    } else if (type == GEOS_MULTIPOLYGON || type == GEOS_GEOMETRYCOLLECTION) {
        for (int i = 0; i < GEOSGetNumGeometries_r(geos.handle(), geometry); ++i)
            for (Part& part : partsOf(geos, GEOSGetGeometryN_r(geos.handle(), geometry, i)))
                parts.push_back(std::move(part));
    }
    return parts;
}

} // namespace inkpeg
