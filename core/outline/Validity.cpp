// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/Validity.h"

#include <array>
#include <cmath>
#include <utility>

#include "core/base/Text.h"
#include "core/outline/GeosShape.h"
#include "core/outline/RingVisits.h"

namespace inkpeg {
namespace {

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

std::optional<Fault> faultOfVertices(const Ring& ring)
{
    if (ring.vertices.size() < 3)
        return Fault{"an outline needs at least 3 vertices, this ring has " +
                         std::to_string(ring.vertices.size()),
                     std::nullopt};
    if (ring.kinds.size() != ring.vertices.size())
        return Fault{"each edge needs one kind: " + std::to_string(ring.vertices.size()) + " edges, " +
                         std::to_string(ring.kinds.size()) + " kinds",
                     std::nullopt};
    for (const ScanPx& vertex : ring.vertices)
        if (!std::isfinite(vertex.column) || !std::isfinite(vertex.row))
            return Fault{"a vertex's position is not a number", std::nullopt};
    return std::nullopt;
}

} // namespace

std::optional<Fault> faultOf(std::span<const Part> parts)
{
    if (parts.empty())
        return Fault{"the outline has no parts; trace at least one ring", std::nullopt};
    std::optional<Fault> fault;
    forEachRing(parts, [&](const Ring& ring) {
        if (!fault)
            fault = faultOfVertices(ring);
    });
    if (fault)
        return fault;
    const GeosSession geos;
    const GeosGeometry geometry = geosOf(geos, parts);
    if (!geometry)
        return Fault{"the outline's vertices do not make a ring; trace three different places",
                     std::nullopt};
    char* reason = nullptr;
    GEOSGeometry* place = nullptr;
    const char valid = GEOSisValidDetail_r(geos.handle(), geometry.get(), 0, &reason, &place);
    const GeosGeometry placeHeld = held(geos, place);
    const std::string words = reason ? reason : "";
    GEOSFree_r(geos.handle(), reason);
    if (valid == 1)
        return std::nullopt;
    fault = Fault{reasonInWords(words), std::nullopt};
    double column = 0, row = 0;
    if (place && GEOSGeomGetX_r(geos.handle(), place, &column) == 1 &&
        GEOSGeomGetY_r(geos.handle(), place, &row) == 1)
        fault->at = ScanPx{column, row};
    return fault;
}

Result<void> checkParts(std::span<const Part> parts)
{
    const std::optional<Fault> fault = faultOf(parts);
    if (!fault)
        return {};
    if (!fault->at)
        return Error{ErrorCode::BadInput, fault->words};
    return Error{ErrorCode::BadInput, fault->words + " at column " + fixed(fault->at->column, 1) +
                                          ", row " + fixed(fault->at->row, 1) +
                                          "; move or remove a vertex there"};
}

} // namespace inkpeg
