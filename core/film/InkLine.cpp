// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkLine.h"

#include <limits>
#include <optional>

namespace inkpeg {

namespace {

/// Index into a chain, going round a closed one and staying at the ends of an open one.
std::size_t around(std::ptrdiff_t i, std::size_t count, bool closed)
{
    const auto n = static_cast<std::ptrdiff_t>(count);
    return static_cast<std::size_t>(closed ? ((i % n) + n) % n : std::clamp<std::ptrdiff_t>(i, 0, n - 1));
}

CellPoint between(CellPoint a, CellPoint b, double share)
{
    return {a.column + share * (b.column - a.column), a.row + share * (b.row - a.row)};
}

/// Means of five neighbours: takes the stairs out of a chain of cells. The ends of an open chain stay.
std::vector<CellPoint> withoutStairs(std::span<const CellPoint> chain, bool closed)
{
    std::vector<CellPoint> smooth(chain.size());
    const auto n = static_cast<std::ptrdiff_t>(chain.size());
    for (std::ptrdiff_t i = 0; i < n; ++i) {
        const std::ptrdiff_t reach = closed ? 2 : std::min({std::ptrdiff_t(2), i, n - 1 - i});
        CellPoint sum;
        for (std::ptrdiff_t j = i - reach; j <= i + reach; ++j) {
            const CellPoint& p = chain[around(j, chain.size(), closed)];
            sum.column += p.column;
            sum.row += p.row;
        }
        const double count = 2.0 * static_cast<double>(reach) + 1;
        smooth[static_cast<std::size_t>(i)] = {sum.column / count, sum.row / count};
    }
    return smooth;
}

std::vector<CellPoint> spacedEvenly(const std::vector<CellPoint>& line, bool closed, double spacing)
{
    std::vector<CellPoint> spaced = {line.front()};
    double travelled = 0;
    const std::size_t segments = closed ? line.size() : line.size() - 1;
    for (std::size_t i = 0; i < segments; ++i) {
        const CellPoint a = line[i], b = line[(i + 1) % line.size()];
        const double length = distance(a, b);
        for (double at = spacing - travelled; at <= length; at += spacing)
            spaced.push_back(between(a, b, at / length));
        travelled = std::fmod(travelled + length, spacing);
    }
    if (!closed) {
        if (distance(spaced.back(), line.back()) < spacing / 2 && spaced.size() > 1)
            spaced.pop_back();
        spaced.push_back(line.back());
    } else if (spaced.size() > 3 && distance(spaced.back(), spaced.front()) < spacing / 2) {
        spaced.pop_back();
    }
    return spaced;
}

/// Where across the line the ink is darkest, in cells along `normal`; nothing on bare paper.
std::optional<double> darkestAcross(const InkMap& map, CellPoint p, CellPoint normal, double reach)
{
    constexpr double Step = 0.5;
    const int steps = std::max(1, static_cast<int>(std::lround(reach / Step)));
    std::vector<double> profile;
    for (int i = -steps - 1; i <= steps + 1; ++i)
        profile.push_back(
            map.darkness().sample({p.column + normal.column * i * Step, p.row + normal.row * i * Step}));
    // A tenth less for each cell away: of two lines within reach the nearer is meant.
    int best = 0;
    double bestValue = -std::numeric_limits<double>::max();
    for (int i = -steps; i <= steps; ++i) {
        const auto at = static_cast<std::size_t>(i + steps + 1);
        const double value = profile[at] * (1 - 0.1 * std::abs(i) * Step);
        if (profile[at] >= profile[at - 1] && profile[at] >= profile[at + 1] && value > bestValue) {
            bestValue = value;
            best = i;
        }
    }
    const auto at = static_cast<std::size_t>(best + steps + 1);
    if (bestValue < map.inkAbove())
        return std::nullopt;
    const double curvature = profile[at - 1] - 2 * profile[at] + profile[at + 1];
    const double shift = curvature < 0 ? 0.5 * (profile[at - 1] - profile[at + 1]) / curvature : 0.0;
    return (best + std::clamp(shift, -0.5, 0.5)) * Step;
}

/// Shifts where there is no ink: linear between the nearest that are known, none past the ends.
void carryOver(std::vector<std::optional<double>>& shifts, bool closed)
{
    const auto n = static_cast<std::ptrdiff_t>(shifts.size());
    const std::vector<std::optional<double>> known = shifts;
    for (std::ptrdiff_t i = 0; i < n; ++i) {
        if (known[static_cast<std::size_t>(i)])
            continue;
        std::ptrdiff_t back = 1, forth = 1;
        const auto at = [&](std::ptrdiff_t j) { return known[around(j, known.size(), closed)]; };
        while (back < n && !at(i - back))
            ++back;
        while (forth < n && !at(i + forth))
            ++forth;
        const double before = back < n ? *at(i - back) : 0.0, after = forth < n ? *at(i + forth) : 0.0;
        shifts[static_cast<std::size_t>(i)] =
            before + (after - before) * static_cast<double>(back) / static_cast<double>(back + forth);
    }
}

/// Median of five against single slips to a neighbouring line, then a light mean.
std::vector<double> steadied(const std::vector<std::optional<double>>& shifts, bool closed)
{
    const auto n = static_cast<std::ptrdiff_t>(shifts.size());
    std::vector<double> medians(shifts.size()), means(shifts.size());
    for (std::ptrdiff_t i = 0; i < n; ++i) {
        std::array<double, 5> seen{};
        for (std::ptrdiff_t j = -2; j <= 2; ++j)
            seen[static_cast<std::size_t>(j + 2)] =
                shifts[around(i + j, shifts.size(), closed)].value_or(0);
        std::nth_element(seen.begin(), seen.begin() + 2, seen.end());
        medians[static_cast<std::size_t>(i)] = seen[2];
    }
    for (std::ptrdiff_t i = 0; i < n; ++i)
        means[static_cast<std::size_t>(i)] = 0.25 * medians[around(i - 1, shifts.size(), closed)] +
                                             0.5 * medians[static_cast<std::size_t>(i)] +
                                             0.25 * medians[around(i + 1, shifts.size(), closed)];
    return means;
}

void keepFurthest(std::span<const CellPoint> line, std::size_t first, std::size_t last, double tolerance,
                  std::vector<bool>& kept)
{
    double furthest = -1;
    std::size_t at = first;
    for (std::size_t i = first + 1; i < last; ++i)
        if (const double away = distanceToSegment(line[i], line[first], line[last]); away > furthest) {
            furthest = away;
            at = i;
        }
    if (furthest <= tolerance)
        return;
    kept[at] = true;
    keepFurthest(line, first, at, tolerance, kept);
    keepFurthest(line, at, last, tolerance, kept);
}

std::vector<CellPoint> thinnedOnce(std::span<const CellPoint> line, bool closed, double tolerance)
{
    std::vector<CellPoint> whole(line.begin(), line.end());
    if (closed)
        whole.push_back(line.front());
    std::vector<bool> kept(whole.size(), false);
    kept.front() = kept.back() = true;
    if (closed) {
        // A ring is thinned as two halves, cut at its first point and the one furthest from it.
        std::size_t far = 0;
        for (std::size_t i = 1; i < line.size(); ++i)
            if (distance(line[0], line[i]) > distance(line[0], line[far]))
                far = i;
        kept[far] = true;
        keepFurthest(whole, 0, far, tolerance, kept);
        keepFurthest(whole, far, whole.size() - 1, tolerance, kept);
    } else {
        keepFurthest(whole, 0, whole.size() - 1, tolerance, kept);
    }
    std::vector<CellPoint> result;
    for (std::size_t i = 0; i < line.size(); ++i)
        if (kept[i] && (result.empty() || distance(result.back(), whole[i]) > 1e-9))
            result.push_back(whole[i]);
    return result;
}

double side(CellPoint a, CellPoint b, CellPoint p)
{
    return (b.column - a.column) * (p.row - a.row) - (b.row - a.row) * (p.column - a.column);
}

bool onSegment(CellPoint p, CellPoint a, CellPoint b)
{
    return std::min(a.column, b.column) <= p.column && p.column <= std::max(a.column, b.column) &&
           std::min(a.row, b.row) <= p.row && p.row <= std::max(a.row, b.row);
}

bool segmentsMeet(CellPoint a, CellPoint b, CellPoint c, CellPoint d)
{
    const double sideA = side(c, d, a), sideB = side(c, d, b), sideC = side(a, b, c), sideD = side(a, b, d);
    if (((sideA > 0) != (sideB > 0)) && ((sideC > 0) != (sideD > 0)) && sideA != 0 && sideB != 0 &&
        sideC != 0 && sideD != 0)
        return true;
    return (sideA == 0 && onSegment(a, c, d)) || (sideB == 0 && onSegment(b, c, d)) ||
           (sideC == 0 && onSegment(c, a, b)) || (sideD == 0 && onSegment(d, a, b));
}

/// The first pair of segments, counted by their first points, that meet without being neighbours.
std::optional<std::pair<std::size_t, std::size_t>> firstCrossing(std::span<const CellPoint> line,
                                                                 bool closed)
{
    const std::size_t n = line.size(), segments = closed ? n : n - 1;
    if (n < 4)
        return std::nullopt;
    for (std::size_t i = 0; i < segments; ++i)
        for (std::size_t j = i + 2; j < segments; ++j)
            if (!(closed && i == 0 && j == segments - 1) &&
                segmentsMeet(line[i], line[i + 1], line[j], line[(j + 1) % n]))
                return std::pair{i, j};
    return std::nullopt;
}

/// Cuts off the loops a line makes: of a ring the shorter of the two parts that a crossing ties off.
std::vector<CellPoint> withoutLoops(std::vector<CellPoint> line, bool closed)
{
    while (const auto crossing = firstCrossing(line, closed)) {
        const auto [i, j] = *crossing;
        const auto first = line.begin() + static_cast<std::ptrdiff_t>(i) + 1;
        const auto last = line.begin() + static_cast<std::ptrdiff_t>(j) + 1;
        if (!closed || j - i <= line.size() / 2)
            line.erase(first, last);
        else
            line = std::vector<CellPoint>(first, last);
    }
    return line;
}

} // namespace

double distanceToSegment(CellPoint p, CellPoint a, CellPoint b)
{
    const double dx = b.column - a.column, dy = b.row - a.row, square = dx * dx + dy * dy;
    const double share =
        square > 0 ? std::clamp(((p.column - a.column) * dx + (p.row - a.row) * dy) / square, 0.0, 1.0)
                   : 0.0;
    return distance(p, between(a, b, share));
}

bool crossesItself(std::span<const CellPoint> line, bool closed)
{
    return firstCrossing(line, closed).has_value();
}

std::vector<CellPoint> centredOnInk(const InkMap& map, std::span<const CellPoint> chain, bool closed,
                                    double reachMm)
{
    if (chain.size() < 3)
        return {chain.begin(), chain.end()};
    const double spacing = std::max(1.0, 0.25 / map.cellMm());
    std::vector<CellPoint> line = spacedEvenly(withoutStairs(chain, closed), closed, spacing);
    const auto n = static_cast<std::ptrdiff_t>(line.size());
    std::vector<CellPoint> normals(line.size());
    std::vector<std::optional<double>> shifts(line.size());
    for (std::ptrdiff_t i = 0; i < n; ++i) {
        const CellPoint before = line[around(i - 2, line.size(), closed)];
        const CellPoint after = line[around(i + 2, line.size(), closed)];
        const double length = distance(before, after);
        if (length <= 0)
            continue;
        const auto at = static_cast<std::size_t>(i);
        normals[at] = {-(after.row - before.row) / length, (after.column - before.column) / length};
        shifts[at] = darkestAcross(map, line[at], normals[at], reachMm / map.cellMm());
    }
    if (!closed)
        shifts.front() = shifts.back() = 0;
    carryOver(shifts, closed);
    const std::vector<double> steady = steadied(shifts, closed);
    for (std::size_t i = closed ? 0 : 1; i < line.size() - (closed ? 0 : 1); ++i) {
        line[i].column += normals[i].column * steady[i];
        line[i].row += normals[i].row * steady[i];
    }
    return line;
}

std::vector<CellPoint> thinned(std::span<const CellPoint> line, bool closed, double tolerance)
{
    if (line.size() < 3)
        return {line.begin(), line.end()};
    std::vector<CellPoint> result = thinnedOnce(line, closed, tolerance);
    // Thinning can draw a line across itself where two runs lie close; a finer tolerance keeps them apart.
    for (double finer = tolerance / 2; finer > tolerance / 20 && crossesItself(result, closed); finer /= 2)
        result = thinnedOnce(line, closed, finer);
    return withoutLoops(std::move(result), closed);
}

} // namespace inkpeg
