// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/Overlay.h"

#include <algorithm>
#include <functional>
#include <optional>
#include <unordered_map>

#include "core/outline/GeosShape.h"
#include "core/outline/RingVisits.h"

namespace inkpeg {
namespace {

/// Snap rounding moves an edge by up to half the diagonal of a lattice step, at each end.
constexpr double kindReachPx = 2 * LatticePx;

struct EdgeKey {
    ScanPx a, b;
    bool operator==(const EdgeKey&) const = default;
};

struct EdgeKeyHash {
    std::size_t operator()(const EdgeKey& key) const
    {
        std::size_t hash = 0;
        for (const double each : {key.a.column, key.a.row, key.b.column, key.b.row})
            hash = hash * 1099511628211U + std::hash<double>()(each);
        return hash;
    }
};

EdgeKey keyOf(ScanPx a, ScanPx b)
{
    const bool turned = std::pair(b.column, b.row) < std::pair(a.column, a.row);
    return turned ? EdgeKey{b, a} : EdgeKey{a, b};
}

using KindsByEdge = std::unordered_map<EdgeKey, EdgeKind, EdgeKeyHash>;

/// The kind of the edge that both ends lie on, nearest of all; the later source where two are as near.
std::optional<EdgeKind> kindAlong(std::span<const std::span<const Part>> sources, ScanPx from, ScanPx to)
{
    std::optional<EdgeKind> found;
    double least = kindReachPx;
    for (const std::span<const Part> source : sources)
        forEachEdge(source, [&](ScanPx a, ScanPx b, EdgeKind kind) {
            const double away =
                std::max(footOnEdge(from, a, b).distancePx, footOnEdge(to, a, b).distancePx);
            if (away <= least) {
                least = away;
                found = kind;
            }
        });
    return found;
}

Error gaveUp(const GeosSession& geos)
{
    return {ErrorCode::System,
            "the outlines' areas cannot be reckoned (" + geos.complaint() + "); move a vertex a little"};
}

GEOSGeometry* operate(const GeosSession& geos, const GEOSGeometry* a, const GEOSGeometry* b,
                      Overlay operation, double gridPx)
{
    switch (operation) {
    case Overlay::Union:
        return GEOSUnionPrec_r(geos.handle(), a, b, gridPx);
    case Overlay::Intersection:
        return GEOSIntersectionPrec_r(geos.handle(), a, b, gridPx);
    case Overlay::Difference:
        return GEOSDifferencePrec_r(geos.handle(), a, b, gridPx);
    case Overlay::SymmetricDifference:
        return GEOSSymDifferencePrec_r(geos.handle(), a, b, gridPx);
    }
    return nullptr;
}

} // namespace

void takeKinds(std::vector<Part>& parts, std::span<const std::span<const Part>> sources, EdgeKind otherwise)
{
    KindsByEdge known;
    for (const std::span<const Part> source : sources)
        forEachEdge(source, [&](ScanPx a, ScanPx b, EdgeKind kind) { known[keyOf(a, b)] = kind; });
    forEachRing(parts, [&](Ring& ring) {
        for (std::size_t i = 0; i < ring.vertices.size(); ++i) {
            const ScanPx from = ring.vertices[i], to = ring.vertices[(i + 1) % ring.vertices.size()];
            const auto same = known.find(keyOf(from, to));
            ring.kinds[i] =
                same != known.end() ? same->second : kindAlong(sources, from, to).value_or(otherwise);
        }
    });
}

Result<std::vector<Part>> overlay(std::span<const Part> a, std::span<const Part> b, Overlay operation,
                                  double gridPx)
{
    const GeosSession geos;
    const GeosGeometry first = geosOf(geos, a), second = geosOf(geos, b);
    if (!first || !second)
        return gaveUp(geos);
    const GeosGeometry made = held(geos, operate(geos, first.get(), second.get(), operation, gridPx));
    if (!made)
        return gaveUp(geos);
    std::vector<Part> parts = partsOf(geos, made.get());
    const std::span<const Part> sources[] = {a, b};
    takeKinds(parts, sources);
    return parts;
}

bool overlaps(std::span<const Part> a, std::span<const Part> b)
{
    if (!boxOf(a).meets(boxOf(b)))
        return false;
    const GeosSession geos;
    const GeosGeometry first = geosOf(geos, a), second = geosOf(geos, b);
    // Interiors that meet in an area: the first entry of the intersection matrix is 2.
    return first && second &&
           GEOSRelatePattern_r(geos.handle(), first.get(), second.get(), "2********") == 1;
}

Result<std::vector<std::vector<Part>>> piecesAlong(std::span<const Part> parts,
                                                   std::span<const ScanPx> line, EdgeKind cutKind)
{
    const GeosSession geos;
    const GeosGeometry area = geosOf(geos, parts), cut = geosLineOf(geos, line);
    if (!area || !cut)
        return gaveUp(geos);
    const GeosGeometry boundary = held(geos, GEOSBoundary_r(geos.handle(), area.get()));
    const GeosGeometry noded = held(
        geos, boundary ? GEOSUnionPrec_r(geos.handle(), boundary.get(), cut.get(), LatticePx) : nullptr);
    const GEOSGeometry* const lines[] = {noded.get()};
    const GeosGeometry faces = held(geos, noded ? GEOSPolygonize_r(geos.handle(), lines, 1) : nullptr);
    if (!faces)
        return gaveUp(geos);
    std::vector<std::vector<Part>> pieces;
    for (int i = 0; i < GEOSGetNumGeometries_r(geos.handle(), faces.get()); ++i) {
        const GEOSGeometry* face = GEOSGetGeometryN_r(geos.handle(), faces.get(), i);
        const GeosGeometry inside = held(geos, GEOSPointOnSurface_r(geos.handle(), face));
        if (!inside || GEOSContains_r(geos.handle(), area.get(), inside.get()) != 1)
            continue; // a hole, or ground between the line and the outline
        std::vector<Part> piece = partsOf(geos, face);
        const std::span<const Part> sources[] = {parts};
        takeKinds(piece, sources, cutKind);
        pieces.push_back(std::move(piece));
    }
    return pieces;
}

} // namespace inkpeg
