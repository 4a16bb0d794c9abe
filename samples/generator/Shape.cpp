// SPDX-License-Identifier: GPL-3.0-or-later
#include "samples/generator/Shape.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>

#include <ogr_geometry.h>

namespace inkpeg::demo {

namespace {

Metres between(Metres a, Metres b, double share)
{
    return {a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share};
}

/// Catmull-Rom between b and c.
Metres curve(Metres a, Metres b, Metres c, Metres d, double t)
{
    const auto one = [t](double p, double q, double r, double s) {
        return 0.5 * (2 * q + (r - p) * t + (2 * p - 5 * q + 4 * r - s) * t * t +
                      (3 * q - p - 3 * r + s) * t * t * t);
    };
    return {one(a.x, b.x, c.x, d.x), one(a.y, b.y, c.y, d.y)};
}

/// Moves every point sideways by smooth noise; the ends of a ring meet because the noise fades out there.
void wobble(Path& path, double wobbleM, double stepM, bool closed, Dice& dice)
{
    const auto seedX = static_cast<std::uint32_t>(dice.next());
    const auto seedY = static_cast<std::uint32_t>(dice.next());
    const double perPoint = stepM / 0.12; // one swing of the hand in about 12 cm of the real thing
    const double count = static_cast<double>(closed ? path.size() : path.size() - 1);
    for (std::size_t i = 0; i < path.size(); ++i) {
        const double at = static_cast<double>(i);
        const double fade = std::min({1.0, at / 6, (count - at) / 6});
        path[i].x += wobbleM * fade * lineNoise(seedX, at * perPoint);
        path[i].y += wobbleM * fade * lineNoise(seedY, at * perPoint);
    }
}

std::unique_ptr<OGRPolygon> polygonOf(const Path& ring)
{
    auto outer = std::make_unique<OGRLinearRing>();
    for (const Metres& place : ring)
        outer->addPoint(place.x, place.y);
    outer->closeRings();
    auto polygon = std::make_unique<OGRPolygon>();
    polygon->addRingDirectly(outer.release());
    return polygon;
}

Path ringOf(const OGRPolygon& polygon)
{
    Path ring;
    const OGRLinearRing* outer = polygon.getExteriorRing();
    for (int i = 0; outer && i + 1 < outer->getNumPoints(); ++i)
        ring.push_back({outer->getX(i), outer->getY(i)});
    if (area(ring) < 0)
        std::reverse(ring.begin(), ring.end());
    return ring;
}

Path largestRing(const OGRGeometry* geometry)
{
    Path largest;
    if (!geometry)
        return largest;
    if (wkbFlatten(geometry->getGeometryType()) == wkbPolygon)
        return ringOf(*geometry->toPolygon());
    if (OGR_GT_IsSubClassOf(geometry->getGeometryType(), wkbGeometryCollection)) {
        for (const OGRGeometry* part : *geometry->toGeometryCollection()) {
            Path ring = largestRing(part);
            if (std::abs(area(ring)) > std::abs(area(largest)))
                largest = std::move(ring);
        }
    }
    return largest;
}

/// Even spacing along a path, so that every outline has a vertex at least every `stepM`.
Path spaced(const Path& corners, double stepM, bool closed)
{
    Path path;
    const std::size_t last = closed ? corners.size() : corners.size() - 1;
    for (std::size_t i = 0; i < last; ++i) {
        const Metres a = corners[i], b = corners[(i + 1) % corners.size()];
        const int steps = std::max(1, static_cast<int>(std::ceil(distance(a, b) / stepM)));
        for (int step = 0; step < steps; ++step)
            path.push_back(between(a, b, static_cast<double>(step) / steps));
    }
    if (!closed)
        path.push_back(corners.back());
    return path;
}

} // namespace

double distance(Metres a, Metres b)
{
    return std::hypot(a.x - b.x, a.y - b.y);
}

Path round(Metres centre, double radiusX, double radiusY, double turnDegrees, double roughness, Dice& dice)
{
    double size[5], phase[5];
    for (int k = 0; k < 5; ++k) {
        size[k] = roughness * dice.between(0.3, 1.0) / (k + 1);
        phase[k] = dice.between(0, 2 * std::numbers::pi);
    }
    const double turn = turnDegrees * std::numbers::pi / 180;
    const int count = std::max(48, static_cast<int>((radiusX + radiusY) * std::numbers::pi / 0.02));
    Path ring;
    for (int i = 0; i < count; ++i) {
        const double angle = 2 * std::numbers::pi * i / count;
        double swell = 1;
        for (int k = 0; k < 5; ++k)
            swell += size[k] * std::cos((k + 2) * angle + phase[k]);
        const double x = radiusX * swell * std::cos(angle), y = radiusY * swell * std::sin(angle);
        ring.push_back({centre.x + x * std::cos(turn) - y * std::sin(turn),
                        centre.y + x * std::sin(turn) + y * std::cos(turn)});
    }
    return ring;
}

Path softRing(const Path& corners, double stepM, double wobbleM, Dice& dice)
{
    Path dense;
    const std::size_t n = corners.size();
    for (std::size_t i = 0; i < n; ++i)
        for (int step = 0; step < 24; ++step)
            dense.push_back(curve(corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n],
                                  corners[(i + 2) % n], step / 24.0));
    Path ring = spaced(dense, stepM, true);
    wobble(ring, wobbleM, stepM, true, dice);
    return ring;
}

Path softLine(const Path& corners, double stepM, double wobbleM, Dice& dice)
{
    Path dense;
    const std::size_t n = corners.size();
    for (std::size_t i = 0; i + 1 < n; ++i)
        for (int step = 0; step < 24; ++step)
            dense.push_back(curve(corners[i == 0 ? 0 : i - 1], corners[i], corners[i + 1],
                                  corners[std::min(i + 2, n - 1)], step / 24.0));
    dense.push_back(corners.back());
    Path line = spaced(dense, stepM, false);
    wobble(line, wobbleM, stepM, false, dice);
    return line;
}

Path hardRing(const Path& corners, double stepM, double wobbleM, Dice& dice)
{
    Path ring = spaced(corners, stepM, true);
    wobble(ring, wobbleM, stepM, true, dice);
    return ring;
}

Path drawnIn(const Path& ring, double byM)
{
    const std::unique_ptr<OGRGeometry> inner(polygonOf(ring)->Buffer(-byM, 8));
    return spaced(largestRing(inner.get()), 0.02, true);
}

Path within(const Path& ring, const Window& window)
{
    const Path box = {
        {window.x0, window.y0}, {window.x1, window.y0}, {window.x1, window.y1}, {window.x0, window.y1}};
    return inCommon(ring, box);
}

Path inCommon(const Path& ring, const Path& other)
{
    const std::unique_ptr<OGRGeometry> piece(polygonOf(ring)->Intersection(polygonOf(other).get()));
    return spaced(largestRing(piece.get()), 0.05, true);
}

Path without(const Path& ring, const Path& other)
{
    const std::unique_ptr<OGRGeometry> piece(polygonOf(ring)->Difference(polygonOf(other).get()));
    return spaced(largestRing(piece.get()), 0.05, true);
}

bool contains(const Path& ring, Metres place)
{
    bool inside = false;
    for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++)
        if ((ring[i].y > place.y) != (ring[j].y > place.y) &&
            place.x < (ring[j].x - ring[i].x) * (place.y - ring[i].y) / (ring[j].y - ring[i].y) + ring[i].x)
            inside = !inside;
    return inside;
}

double distanceToEdge(const Path& ring, Metres place)
{
    double nearest = 1e300;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Metres a = ring[i], b = ring[(i + 1) % ring.size()];
        const double length2 = (b.x - a.x) * (b.x - a.x) + (b.y - a.y) * (b.y - a.y);
        const double along =
            length2 > 0 ? ((place.x - a.x) * (b.x - a.x) + (place.y - a.y) * (b.y - a.y)) / length2 : 0;
        nearest = std::min(nearest, distance(place, between(a, b, std::clamp(along, 0.0, 1.0))));
    }
    return nearest;
}

double area(const Path& ring)
{
    double twice = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Metres a = ring[i], b = ring[(i + 1) % ring.size()];
        twice += a.x * b.y - b.x * a.y;
    }
    return twice / 2;
}

Metres centre(const Path& ring)
{
    Metres sum;
    for (const Metres& place : ring)
        sum = {sum.x + place.x, sum.y + place.y};
    const double count = static_cast<double>(ring.size());
    return {sum.x / count, sum.y / count};
}

std::vector<double> crossings(const Path& ring, Metres a, Metres b)
{
    std::vector<double> shares;
    const double dx = b.x - a.x, dy = b.y - a.y;
    const auto side = [&](Metres place) { return dx * (place.y - a.y) - dy * (place.x - a.x); };
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Metres from = ring[i], to = ring[(i + 1) % ring.size()];
        const double s0 = side(from), s1 = side(to);
        if ((s0 > 0) == (s1 > 0))
            continue;
        const Metres at = between(from, to, s0 / (s0 - s1));
        shares.push_back(((at.x - a.x) * dx + (at.y - a.y) * dy) / (dx * dx + dy * dy));
    }
    std::sort(shares.begin(), shares.end());
    return shares;
}

} // namespace inkpeg::demo
