// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/Validity.h"

#include <geos_c.h>

#include <array>
#include <cmath>
#include <functional>
#include <memory>
#include <utility>
#include <vector>

#include "core/base/Text.h"

namespace inkpeg {
namespace {

/// A GEOS context of this call alone; its notices are not printed but read from the result.
class GeosSession {
public:
    GeosSession() : m_handle(GEOS_init_r()) {}
    ~GeosSession() { GEOS_finish_r(m_handle); }
    GeosSession(const GeosSession&) = delete;
    GeosSession& operator=(const GeosSession&) = delete;
    GEOSContextHandle_t handle() const { return m_handle; }

private:
    GEOSContextHandle_t m_handle;
};

using Geometry = std::unique_ptr<GEOSGeometry, std::function<void(GEOSGeometry*)>>;

Geometry held(const GeosSession& geos, GEOSGeometry* geometry)
{
    return {geometry, [handle = geos.handle()](GEOSGeometry* g) { GEOSGeom_destroy_r(handle, g); }};
}

/// Null when GEOS refuses the ring (too few different vertices, not a number).
Geometry ringOf(const GeosSession& geos, const Ring& ring)
{
    const std::size_t count = ring.vertices.size();
    GEOSCoordSequence* sequence = GEOSCoordSeq_create_r(geos.handle(), static_cast<unsigned>(count + 1), 2);
    if (!sequence)
        return held(geos, nullptr);
    for (std::size_t i = 0; i <= count; ++i) {
        const ScanPx& vertex = ring.vertices[i % count];
        GEOSCoordSeq_setXY_r(geos.handle(), sequence, static_cast<unsigned>(i), vertex.column, vertex.row);
    }
    return held(geos, GEOSGeom_createLinearRing_r(geos.handle(), sequence));
}

Geometry polygonOf(const GeosSession& geos, const Part& part)
{
    Geometry outer = ringOf(geos, part.outer);
    if (!outer)
        return outer;
    std::vector<GEOSGeometry*> holes;
    std::vector<Geometry> owned;
    for (const Ring& hole : part.holes) {
        owned.push_back(ringOf(geos, hole));
        if (!owned.back())
            return held(geos, nullptr);
    }
    for (Geometry& hole : owned)
        holes.push_back(hole.release());
    return held(geos, GEOSGeom_createPolygon_r(geos.handle(), outer.release(), holes.data(),
                                               static_cast<unsigned>(holes.size())));
}

Geometry geometryOf(const GeosSession& geos, std::span<const Part> parts)
{
    if (parts.size() == 1)
        return polygonOf(geos, parts.front());
    std::vector<Geometry> owned;
    std::vector<GEOSGeometry*> polygons;
    for (const Part& part : parts) {
        owned.push_back(polygonOf(geos, part));
        if (!owned.back())
            return held(geos, nullptr);
    }
    for (Geometry& polygon : owned)
        polygons.push_back(polygon.release());
    return held(geos, GEOSGeom_createCollection_r(geos.handle(), GEOS_MULTIPOLYGON, polygons.data(),
                                                  static_cast<unsigned>(polygons.size())));
}

/// GEOS's reason in the words of somebody who draws.
std::string reasonInWords(const std::string& reason)
{
    static const std::array<std::pair<const char*, const char*>, 7> words{{
        {"Ring Self-intersection", "the outline touches itself"},
        {"Self-intersection", "the outline crosses itself"},
        {"Hole lies outside shell", "a hole lies outside its outline"},
        {"Holes are nested", "a hole lies within a hole"},
        {"Nested shells", "one part lies within another"},
        {"Interior is disconnected", "the outline's inside falls into pieces"},
        {"Duplicate Rings", "two parts are the same"},
    }};
    for (const auto& [key, said] : words)
        if (reason.find(key) != std::string::npos)
            return said;
    return "the outline is no polygon (" + reason + ")";
}

Result<void> checkVertices(const Ring& ring)
{
    if (ring.vertices.size() < 3)
        return Error{ErrorCode::BadInput, "an outline needs at least 3 vertices, this ring has " +
                                              std::to_string(ring.vertices.size())};
    if (ring.kinds.size() != ring.vertices.size())
        return Error{ErrorCode::BadInput,
                     "each edge needs one kind: " + std::to_string(ring.vertices.size()) + " edges, " +
                         std::to_string(ring.kinds.size()) + " kinds"};
    for (const ScanPx& vertex : ring.vertices)
        if (!std::isfinite(vertex.column) || !std::isfinite(vertex.row))
            return Error{ErrorCode::BadInput, "a vertex's position is not a number"};
    return {};
}

} // namespace

Result<void> checkParts(std::span<const Part> parts)
{
    if (parts.empty())
        return Error{ErrorCode::BadInput, "the outline has no parts; trace at least one ring"};
    for (const Part& part : parts) {
        if (auto sound = checkVertices(part.outer); !sound)
            return sound;
        for (const Ring& hole : part.holes)
            if (auto sound = checkVertices(hole); !sound)
                return sound;
    }
    const GeosSession geos;
    const Geometry geometry = geometryOf(geos, parts);
    if (!geometry)
        return Error{ErrorCode::BadInput,
                     "the outline's vertices do not make a ring; trace three different places"};
    char* reason = nullptr;
    GEOSGeometry* place = nullptr;
    const char valid = GEOSisValidDetail_r(geos.handle(), geometry.get(), 0, &reason, &place);
    const Geometry placeHeld = held(geos, place);
    const std::string words = reason ? reason : "";
    GEOSFree_r(geos.handle(), reason);
    if (valid == 1)
        return {};
    std::string message = reasonInWords(words);
    double column = 0, row = 0;
    if (place && GEOSGeomGetX_r(geos.handle(), place, &column) == 1 &&
        GEOSGeomGetY_r(geos.handle(), place, &row) == 1)
        message += " at column " + fixed(column, 1) + ", row " + fixed(row, 1);
    return Error{ErrorCode::BadInput, message + "; move or remove a vertex there"};
}

} // namespace inkpeg
