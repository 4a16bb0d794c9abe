// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/Area.h"

#include <cmath>

namespace inkpeg {
namespace {

/// Twice the signed area of a ring whose vertex i is (x(i), y(i)), y upwards.
template<typename X, typename Y>
double twiceArea(std::size_t count, X x, Y y)
{
    double sum = 0;
    for (std::size_t i = 1; i + 1 < count; ++i)
        sum += (x(i) - x(0)) * (y(i + 1) - y(0)) - (x(i + 1) - x(0)) * (y(i) - y(0));
    return sum;
}

bool ringContains(const Ring& ring, ScanPx position)
{
    bool inside = false;
    const std::size_t count = ring.vertices.size();
    for (std::size_t i = 0; i < count; ++i) {
        const ScanPx a = ring.vertices[i];
        const ScanPx b = ring.vertices[(i + 1) % count];
        if ((a.row > position.row) == (b.row > position.row))
            continue;
        const double crossing = a.column + (position.row - a.row) / (b.row - a.row) * (b.column - a.column);
        if (position.column < crossing)
            inside = !inside;
    }
    return inside;
}

} // namespace

double signedAreaM2(std::span<const GroundM> ring)
{
    return twiceArea(
               ring.size(), [&](std::size_t i) { return ring[i].east; },
               [&](std::size_t i) { return ring[i].north; }) /
           2;
}

double signedAreaPx2(std::span<const ScanPx> ring)
{
    return twiceArea(
               ring.size(), [&](std::size_t i) { return ring[i].column; },
               [&](std::size_t i) { return -ring[i].row; }) /
           2;
}

double areaPx2(std::span<const Part> parts)
{
    double sum = 0;
    for (const Part& part : parts) {
        sum += std::abs(signedAreaPx2(part.outer.vertices));
        for (const Ring& hole : part.holes)
            sum -= std::abs(signedAreaPx2(hole.vertices));
    }
    return sum;
}

bool contains(std::span<const Part> parts, ScanPx position)
{
    for (const Part& part : parts) {
        if (!ringContains(part.outer, position))
            continue;
        bool inHole = false;
        for (const Ring& hole : part.holes)
            inHole = inHole || ringContains(hole, position);
        if (!inHole)
            return true;
    }
    return false;
}

} // namespace inkpeg
