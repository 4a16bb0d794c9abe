// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/Mend.h"

#include <algorithm>
#include <cmath>

#include "core/base/Text.h"
#include "core/outline/Area.h"
#include "core/outline/GeosShape.h"
#include "core/outline/Overlay.h"
#include "core/outline/RingVisits.h"
#include "core/outline/Validity.h"

namespace inkpeg {
namespace {

void eraseVertex(Ring& ring, std::size_t i)
{
    ring.vertices.erase(ring.vertices.begin() + static_cast<std::ptrdiff_t>(i));
    ring.kinds.erase(ring.kinds.begin() + static_cast<std::ptrdiff_t>(i));
}

/// True if the ring turns right back at vertex i.
bool turnsBackAt(const Ring& ring, std::size_t i)
{
    const std::size_t count = ring.vertices.size();
    const ScanPx before = ring.vertices[(i + count - 1) % count], at = ring.vertices[i],
                 after = ring.vertices[(i + 1) % count];
    // Exact on the lattice: products of differences of 1/256 px steps fit a double.
    const double ux = before.column - at.column, uy = before.row - at.row;
    const double vx = after.column - at.column, vy = after.row - at.row;
    return ux * vy - uy * vx == 0 && ux * vx + uy * vy > 0;
}

void takeOffSpikes(Ring& ring, std::vector<MendStep>& steps)
{
    for (std::size_t i = 0; i < ring.vertices.size() && ring.vertices.size() > 2;) {
        const std::size_t next = (i + 1) % ring.vertices.size();
        if (ring.vertices[i] == ring.vertices[next]) {
            steps.push_back({"a vertex set twice was made one", ring.vertices[i]});
            eraseVertex(ring, i);
        } else if (turnsBackAt(ring, i)) {
            steps.push_back({"a spike was taken off", ring.vertices[i]});
            eraseVertex(ring, i);
        } else {
            ++i;
            continue;
        }
        i = i > 1 ? i - 2 : 0; // what is left may itself be a spike
    }
}

/// The places where GEOS finds faults, one: where the ring first crosses itself.
std::vector<Part> cutAtCrossings(std::span<const Part> parts, std::vector<MendStep>& steps)
{
    const GeosSession geos;
    const GeosGeometry geometry = geosOf(geos, parts);
    GEOSMakeValidParams* how = GEOSMakeValidParams_create_r(geos.handle());
    GEOSMakeValidParams_setMethod_r(geos.handle(), how, GEOS_MAKE_VALID_STRUCTURE);
    GEOSMakeValidParams_setKeepCollapsed_r(geos.handle(), how, 0);
    const GeosGeometry sound =
        held(geos, geometry ? GEOSMakeValidWithParams_r(geos.handle(), geometry.get(), how) : nullptr);
    GEOSMakeValidParams_destroy_r(geos.handle(), how);
    const GeosGeometry made =
        held(geos, sound ? GEOSGeom_setPrecision_r(geos.handle(), sound.get(), LatticePx, 0) : nullptr);
    if (!made)
        return {};
    std::vector<Part> cut = partsOf(geos, made.get());
    double largest = 0;
    for (const Part& part : cut)
        largest = std::max(largest, areaPx2(std::span(&part, 1)));
    std::erase_if(cut, [&](const Part& part) {
        const double area = areaPx2(std::span(&part, 1));
        if (area >= LoopShare * largest)
            return false;
        steps.push_back(
            {"a loop, " + fixed(100 * area / largest, 1) + " % as large as what is kept, was cut off",
             part.outer.vertices.front()});
        return true;
    });
    const std::span<const Part> sources[] = {parts};
    takeKinds(cut, sources);
    return cut;
}

std::vector<Part> difference(std::span<const Part> a, std::span<const Part> b)
{
    Result<std::vector<Part>> left = overlay(a, b, Overlay::Difference);
    return left ? std::move(*left) : std::vector<Part>();
}

/// The area of an outline that crosses itself: what its edges enclose an odd number of times.
std::vector<Part> areaEnclosedBy(std::span<const Part> parts)
{
    std::vector<Part> rings;
    for (const Part& part : parts)
        if (part.outer.vertices.size() >= 3)
            rings.push_back(part);
    const GeosSession geos;
    const GeosGeometry crossed = geosOf(geos, rings);
    const GeosGeometry whole =
        held(geos, crossed ? GEOSMakeValid_r(geos.handle(), crossed.get()) : nullptr);
    const GeosGeometry made =
        held(geos, whole ? GEOSGeom_setPrecision_r(geos.handle(), whole.get(), LatticePx, 0) : nullptr);
    return made ? partsOf(geos, made.get()) : std::vector<Part>();
}

} // namespace

Result<Mended> mendParts(std::span<const Part> parts)
{
    Mended mended{{parts.begin(), parts.end()}, {}, {}, {}};
    if (checkParts(parts))
        return mended;
    forEachRing(mended.parts, [&](Ring& ring) { takeOffSpikes(ring, mended.steps); });
    for (Part& part : mended.parts)
        std::erase_if(part.holes, [](const Ring& hole) { return hole.vertices.size() < 3; });
    std::erase_if(mended.parts, [](const Part& part) { return part.outer.vertices.size() < 3; });
    const Error nothingLeft{ErrorCode::BadInput,
                            "the outline has no area; trace three places that do not lie on one line"};
    if (mended.parts.empty())
        return nothingLeft;
    if (const std::optional<Fault> fault = faultOf(mended.parts)) {
        mended.steps.push_back({fault->words + ": it was cut there", fault->at.value_or(ScanPx())});
        mended.parts = cutAtCrossings(mended.parts, mended.steps);
        if (mended.parts.size() > 1)
            mended.steps.push_back({"it has " + std::to_string(mended.parts.size()) + " parts now",
                                    mended.parts.back().outer.vertices.front()});
    }
    if (mended.parts.empty())
        return nothingLeft;
    if (const Result<void> sound = checkParts(mended.parts); !sound)
        return sound.error();
    const std::vector<Part> enclosed = areaEnclosedBy(parts);
    if (!enclosed.empty()) {
        mended.takenOff = difference(enclosed, mended.parts);
        mended.addedOn = difference(mended.parts, enclosed);
    }
    return mended;
}

} // namespace inkpeg
