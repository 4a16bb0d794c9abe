// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/GroundOutlines.h"

#include <algorithm>
#include <cmath>

namespace inkpeg {

namespace {

/// 2^8 chords for one edge: an edge as long as an A0 sheet is cut to 5 mm.
constexpr int DeepestHalving = 8;

ScanPx between(ScanPx a, ScanPx b, double share)
{
    return {a.column + (b.column - a.column) * share, a.row + (b.row - a.row) * share};
}

double distanceFromChord(GroundM point, GroundM from, GroundM to)
{
    const double east = to.east - from.east, north = to.north - from.north;
    const double length = std::hypot(east, north);
    if (length == 0)
        return distance(point, from);
    return std::abs(east * (point.north - from.north) - north * (point.east - from.east)) / length;
}

/// Appends the places between `from` and `to` (both left out) that keep the chords within tolerance.
void addBetween(ScanPx from, ScanPx to, const DrawingGround& ground, double toleranceM, int depth,
                std::vector<ScanPx>& out)
{
    const GroundM start = ground.toGround(from), end = ground.toGround(to);
    double sagM = 0;
    for (const double share : {0.25, 0.5, 0.75})
        sagM = std::max(sagM, distanceFromChord(ground.toGround(between(from, to, share)), start, end));
    if (sagM <= toleranceM || depth == DeepestHalving)
        return;
    const ScanPx middle{(from.column + to.column) / 2, (from.row + to.row) / 2};
    addBetween(from, middle, ground, toleranceM, depth + 1, out);
    out.push_back(middle);
    addBetween(middle, to, ground, toleranceM, depth + 1, out);
}

VertexRing ringOnGround(const Ring& ring, const DrawingGround& ground, const PositionErrors& errors,
                        double toleranceM)
{
    VertexRing onGround;
    const std::size_t count = ring.vertices.size();
    for (std::size_t i = 0; i < count; ++i) {
        std::vector<ScanPx> places{ring.vertices[i]};
        addBetween(ring.vertices[i], ring.vertices[(i + 1) % count], ground, toleranceM, 0, places);
        for (const ScanPx place : places)
            onGround.push_back({ground.toGround(place), errors.at(place), ring.kinds[i]});
    }
    return onGround;
}

/// Turns a ring round; each edge keeps its kind.
void reverse(VertexRing& ring)
{
    std::reverse(ring.begin(), ring.end());
    // The edge leaving a vertex used to arrive at it: its kind stood at what is now the next vertex.
    if (ring.empty())
        return;
    const EdgeKind firstKind = ring.front().kind;
    for (std::size_t i = 0; i + 1 < ring.size(); ++i)
        ring[i].kind = ring[i + 1].kind;
    ring.back().kind = firstKind;
}

double toleranceOnGround(const DrawingGround& ground, double chordToleranceMm)
{
    return groundMFromFilmMm(chordToleranceMm, ground.fit.settings.scaleDenominator);
}

template<typename Visit>
void forEachRing(const std::vector<VertexPart>& parts, const Visit& visit)
{
    for (const VertexPart& part : parts) {
        visit(part.outer);
        for (const VertexRing& hole : part.holes)
            visit(hole);
    }
}

} // namespace

std::vector<VertexPart> partsOnGround(const std::vector<Part>& parts, const DrawingGround& ground,
                                      const PositionErrors& errors, double chordToleranceMm)
{
    const double toleranceM = toleranceOnGround(ground, chordToleranceMm);
    std::vector<VertexPart> onGround;
    for (const Part& part : parts) {
        VertexPart made{ringOnGround(part.outer, ground, errors, toleranceM), {}};
        if (signedAreaM2(made.outer) < 0)
            reverse(made.outer);
        for (const Ring& hole : part.holes) {
            VertexRing ring = ringOnGround(hole, ground, errors, toleranceM);
            if (signedAreaM2(ring) > 0)
                reverse(ring);
            made.holes.push_back(std::move(ring));
        }
        onGround.push_back(std::move(made));
    }
    return onGround;
}

std::vector<GroundVertex> lineOnGround(const std::vector<ScanPx>& vertices, const DrawingGround& ground,
                                       const PositionErrors& errors, double chordToleranceMm)
{
    const double toleranceM = toleranceOnGround(ground, chordToleranceMm);
    std::vector<ScanPx> places;
    for (std::size_t i = 0; i < vertices.size(); ++i) {
        places.push_back(vertices[i]);
        if (i + 1 < vertices.size())
            addBetween(vertices[i], vertices[i + 1], ground, toleranceM, 0, places);
    }
    std::vector<GroundVertex> line;
    for (const ScanPx place : places)
        line.push_back({ground.toGround(place), errors.at(place), EdgeKind::Certain});
    return line;
}

double signedAreaM2(const VertexRing& ring)
{
    if (ring.empty())
        return 0;
    // From the first vertex: full eastings and northings would cost half the digits.
    const GroundM origin = ring.front().at;
    double twiceArea = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const GroundM a = ring[i].at, b = ring[(i + 1) % ring.size()].at;
        twiceArea += (a.east - origin.east) * (b.north - origin.north) -
                     (b.east - origin.east) * (a.north - origin.north);
    }
    return twiceArea / 2;
}

double areaM2(const std::vector<VertexPart>& parts)
{
    double area = 0; // holes run clockwise, so their areas are negative
    forEachRing(parts, [&](const VertexRing& ring) { area += signedAreaM2(ring); });
    return area;
}

double perimeterM(const std::vector<VertexPart>& parts)
{
    double length = 0;
    forEachRing(parts, [&](const VertexRing& ring) {
        for (std::size_t i = 0; i < ring.size(); ++i)
            length += distance(ring[i].at, ring[(i + 1) % ring.size()].at);
    });
    return length;
}

PositionError worstError(const std::vector<VertexPart>& parts)
{
    PositionError worst;
    forEachRing(parts, [&](const VertexRing& ring) {
        for (const GroundVertex& vertex : ring)
            if (vertex.error.totalM() > worst.totalM())
                worst = vertex.error;
    });
    return worst;
}

std::vector<EdgeStretch> edgeStretches(const VertexRing& ring)
{
    const std::size_t count = ring.size();
    if (count == 0)
        return {};
    // Begin where the kind changes, so that no stretch is cut in two by where the ring happens to start.
    std::size_t start = 0;
    while (start < count && ring[start].kind == ring[(start + count - 1) % count].kind)
        ++start;
    start %= count;
    std::vector<EdgeStretch> stretches;
    for (std::size_t step = 0; step < count; ++step) {
        const GroundVertex& vertex = ring[(start + step) % count];
        if (stretches.empty() || stretches.back().kind != vertex.kind)
            stretches.push_back({vertex.kind, {vertex.at}});
        stretches.back().vertices.push_back(ring[(start + step + 1) % count].at);
    }
    return stretches;
}

} // namespace inkpeg
