// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/PlaneGeometry.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace inkpeg {

namespace {

/// The unevaluated sum high + low.
struct DoubleDouble {
    double high = 0, low = 0;
};

DoubleDouble exactSum(double a, double b)
{
    const double sum = a + b, part = sum - a;
    return {sum, (a - (sum - part)) + (b - part)};
}

DoubleDouble exactProduct(double a, double b)
{
    const double product = a * b;
    return {product, std::fma(a, b, -product)};
}

DoubleDouble times(DoubleDouble a, DoubleDouble b)
{
    const DoubleDouble product = exactProduct(a.high, b.high);
    return exactSum(product.high, product.low + (a.high * b.low + a.low * b.high));
}

int signOfDifference(DoubleDouble a, DoubleDouble b)
{
    const DoubleDouble high = exactSum(a.high, -b.high), low = exactSum(a.low, -b.low);
    const double rest = high.low + low.high + low.low;
    const double sum = high.high + rest;
    return (sum > 0) - (sum < 0);
}

double cross(GroundM a, GroundM b)
{
    return a.east * b.north - a.north * b.east;
}
GroundM minus(GroundM a, GroundM b)
{
    return {a.east - b.east, a.north - b.north};
}

double squaredDistanceToSegment(GroundM point, GroundM a, GroundM b)
{
    const GroundM along = minus(b, a), to = minus(point, a);
    const double length2 = along.east * along.east + along.north * along.north;
    const double share =
        length2 > 0 ? std::clamp((to.east * along.east + to.north * along.north) / length2, 0.0, 1.0) : 0.0;
    const double east = to.east - share * along.east, north = to.north - share * along.north;
    return east * east + north * north;
}

} // namespace

int turn(GroundM a, GroundM b, GroundM c)
{
    const double left = (a.east - c.east) * (b.north - c.north);
    const double right = (a.north - c.north) * (b.east - c.east);
    const double plain = left - right;
    // 3.3306690738754716e-16 = (3 + 16 u) u with u = 2^-53
    if (std::abs(plain) > 3.3306690738754716e-16 * (std::abs(left) + std::abs(right)))
        return (plain > 0) - (plain < 0);
    const DoubleDouble ae = exactSum(a.east, -c.east), an = exactSum(a.north, -c.north);
    const DoubleDouble be = exactSum(b.east, -c.east), bn = exactSum(b.north, -c.north);
    return signOfDifference(times(ae, bn), times(an, be));
}

Side sideOf(GroundM point, std::span<const GroundM> ring)
{
    bool inside = false;
    for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
        const GroundM a = ring[j], b = ring[i];
        if ((a.north > point.north) != (b.north > point.north)) {
            if (a.east < point.east && b.east < point.east)
                continue;
            const int side = turn(a, b, point);
            if (side == 0)
                return Side::OnEdge;
            // Upward edges have the points west of them on their left.
            if ((side > 0) == (b.north > a.north))
                inside = !inside;
        } else if (point == b ||
                   (a.north == point.north && b.north == point.north &&
                    std::min(a.east, b.east) <= point.east && point.east <= std::max(a.east, b.east))) {
            return Side::OnEdge;
        }
    }
    return inside ? Side::Inside : Side::Outside;
}

Side sideOf(GroundM point, const PartOnGround& part)
{
    const Side outer = sideOf(point, part.outer);
    if (outer != Side::Inside)
        return outer;
    for (const RingOnGround& hole : part.holes) {
        const Side within = sideOf(point, hole);
        if (within == Side::OnEdge)
            return Side::OnEdge;
        if (within == Side::Inside)
            return Side::Outside;
    }
    return Side::Inside;
}

double distanceToEdge(GroundM point, std::span<const GroundM> ring)
{
    double nearest2 = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++)
        nearest2 = std::min(nearest2, squaredDistanceToSegment(point, ring[j], ring[i]));
    return std::sqrt(nearest2);
}

double distanceToEdge(GroundM point, const PartOnGround& part)
{
    double nearest = distanceToEdge(point, part.outer);
    for (const RingOnGround& hole : part.holes)
        nearest = std::min(nearest, distanceToEdge(point, hole));
    return nearest;
}

RingOnGround convexHull(std::vector<GroundM> points)
{
    const auto byEast = [](GroundM a, GroundM b) {
        return a.east < b.east || (a.east == b.east && a.north < b.north);
    };
    std::sort(points.begin(), points.end(), byEast);
    points.erase(std::unique(points.begin(), points.end()), points.end());
    if (points.size() < 3)
        return points;
    RingOnGround hull;
    const auto extend = [&](GroundM point, std::size_t kept) {
        while (hull.size() > kept + 1 && turn(hull[hull.size() - 2], hull.back(), point) <= 0)
            hull.pop_back();
        hull.push_back(point);
    };
    for (const GroundM point : points)
        extend(point, 0);
    const std::size_t lower = hull.size() - 1;
    for (auto point = points.rbegin() + 1; point != points.rend(); ++point)
        extend(*point, lower);
    hull.pop_back();
    return hull;
}

double distanceBeyond(GroundM point, std::span<const GroundM> hull)
{
    if (hull.empty())
        return std::numeric_limits<double>::infinity();
    if (hull.size() >= 3 && sideOf(point, hull) != Side::Outside)
        return 0;
    return distanceToEdge(point, hull);
}

// ----------------------------------------------------------------------------------------------
// probability

namespace {

constexpr double TwoPi = 2 * std::numbers::pi;

/// The standard normal density has less than 1e-16 of itself beyond this distance.
constexpr double NothingBeyond = 8.7;

/// Gauss-Legendre, 8 points on (from, to), of exp(-h^2 / (2 cos^2 t)).
double owenPiece(double halfH2, double from, double to)
{
    constexpr double Nodes[4] = {0.1834346424956498, 0.5255324099163290, 0.7966664774136267,
                                 0.9602898564975363};
    constexpr double Weights[4] = {0.3626837833783620, 0.3137066458778873, 0.2223810344533745,
                                   0.1012285362903763};
    const double middle = 0.5 * (from + to), half = 0.5 * (to - from);
    const auto value = [&](double t) {
        const double cosine = std::cos(t);
        return std::exp(-halfH2 / (cosine * cosine));
    };
    double sum = 0;
    for (int i = 0; i < 4; ++i)
        sum += Weights[i] * (value(middle - half * Nodes[i]) + value(middle + half * Nodes[i]));
    return half * sum;
}

double owenBetween(double halfH2, double from, double to, double whole, int depth)
{
    const double middle = 0.5 * (from + to);
    const double left = owenPiece(halfH2, from, middle), right = owenPiece(halfH2, middle, to);
    // Halving the interval of an 8-point rule divides its error by up to 2^16: two halves that agree with
    // the whole to 1e-9 are right to 1e-13.
    if (depth == 0 || std::abs(left + right - whole) < 1e-9)
        return left + right;
    return owenBetween(halfH2, from, middle, left, depth - 1) +
           owenBetween(halfH2, middle, to, right, depth - 1);
}

/// Integral of exp(-h^2 / (2 cos^2 t)) over the angles at which the origin sees the edge a -> b, with the
/// sign of its turn: 2 pi times the share of the unit normal distribution that lies beyond the edge, within
/// those angles.
double shareBeyond(GroundM a, GroundM b, double turned)
{
    const GroundM along = minus(b, a);
    const double length = std::hypot(along.east, along.north);
    const double height = std::abs(turned) / length;
    if (height >= NothingBeyond)
        return 0;
    // Where along the edge's line, from the foot of the perpendicular, it comes near enough to count.
    const double near = std::sqrt(NothingBeyond * NothingBeyond - height * height);
    const double from = std::max((a.east * along.east + a.north * along.north) / length, -near);
    const double to = std::min((b.east * along.east + b.north * along.north) / length, near);
    if (from >= to)
        return 0;
    const double halfH2 = 0.5 * height * height;
    const double fromAngle = std::atan2(from, height), toAngle = std::atan2(to, height);
    const double beyond =
        owenBetween(halfH2, fromAngle, toAngle, owenPiece(halfH2, fromAngle, toAngle), 40);
    return turned > 0 ? beyond : -beyond;
}

/// For a place on an edge or corner: the turns are summed from the angles of the edges, of which those
/// through the place have none.
template<typename Whitened>
double shareAtEdge(std::span<const GroundM> ring, const Whitened& whitened)
{
    double share = 0;
    GroundM last = whitened(ring.back());
    for (const GroundM vertex : ring) {
        const GroundM next = whitened(vertex);
        const double turned = cross(last, next);
        if (turned != 0)
            share += std::atan2(turned, last.east * next.east + last.north * next.north) -
                     shareBeyond(last, next, turned);
        last = next;
    }
    return std::abs(share / TwoPi);
}

/// The ring's winding about the origin in turns, less what lies beyond its edges.
double shareOfRing(std::span<const GroundM> ring, GroundM point, double scaleEast, double skew,
                   double scaleNorth)
{
    if (ring.empty())
        return 0;
    // Coordinates in which the covariance is the unit matrix: the inverse of its Cholesky factor.
    const auto whitened = [&](GroundM vertex) {
        const GroundM from = minus(vertex, point);
        return GroundM{from.east * scaleEast, (from.north - skew * from.east) * scaleNorth};
    };
    double turns = 0, beyond = 0;
    GroundM last = whitened(ring.back());
    for (const GroundM vertex : ring) {
        const GroundM next = whitened(vertex);
        const double turned = cross(last, next);
        if (turned != 0) {
            // Crossings of the ray to the east, told by the same sign as the share beyond, so that a place
            // that rounding puts on one side is on that side for both.
            if (last.north <= 0 && next.north > 0 && turned > 0)
                ++turns;
            else if (last.north > 0 && next.north <= 0 && turned < 0)
                --turns;
            beyond += shareBeyond(last, next, turned);
        } else if (last.east * next.east + last.north * next.north <= 0 && !(last == next)) {
            return shareAtEdge(ring, whitened);
        }
        last = next;
    }
    return std::abs(turns - beyond / TwoPi);
}

double withoutError(std::span<const PartOnGround> parts, GroundM point)
{
    double share = 0;
    for (const PartOnGround& part : parts) {
        const Side side = sideOf(point, part);
        share += side == Side::Inside ? 1.0 : side == Side::OnEdge ? 0.5 : 0.0;
    }
    return std::min(share, 1.0);
}

} // namespace

double probabilityWithin(std::span<const PartOnGround> parts, GroundM point,
                         const GroundCovariance& covariance)
{
    // An error below a micrometre is none; the floor also keeps a singular covariance solvable.
    constexpr double Floor = 1e-12;
    if (covariance.eastEast < Floor && covariance.northNorth < Floor)
        return withoutError(parts, point);
    const double eastEast = std::max(covariance.eastEast, Floor);
    const double skew = covariance.eastNorth / eastEast;
    const double remaining = std::max(covariance.northNorth - skew * covariance.eastNorth, Floor);
    const double scaleEast = 1 / std::sqrt(eastEast), scaleNorth = 1 / std::sqrt(remaining);
    double share = 0;
    for (const PartOnGround& part : parts) {
        share += shareOfRing(part.outer, point, scaleEast, skew, scaleNorth);
        for (const RingOnGround& hole : part.holes)
            share -= shareOfRing(hole, point, scaleEast, skew, scaleNorth);
    }
    return std::clamp(share, 0.0, 1.0);
}

} // namespace inkpeg
