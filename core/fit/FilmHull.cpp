// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/FilmHull.h"

#include <algorithm>

namespace inkpeg {

namespace {

/// Twice the area of the triangle; positive when p lies left of a -> b.
double side(FilmMm a, FilmMm b, FilmMm p)
{
    return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
}

} // namespace

std::vector<FilmMm> convexHull(std::span<const FilmMm> points)
{
    std::vector<FilmMm> sorted(points.begin(), points.end());
    std::sort(sorted.begin(), sorted.end(),
              [](FilmMm a, FilmMm b) { return a.x < b.x || (a.x == b.x && a.y < b.y); });
    std::vector<FilmMm> hull;
    const auto addChain = [&](auto first, auto last) {
        const std::size_t start = hull.size();
        for (; first != last; ++first) {
            while (hull.size() >= start + 2 && side(hull[hull.size() - 2], hull.back(), *first) <= 0)
                hull.pop_back();
            hull.push_back(*first);
        }
        if (!hull.empty())
            hull.pop_back(); // the next chain starts with it
    };
    addChain(sorted.begin(), sorted.end());
    addChain(sorted.rbegin(), sorted.rend());
    return hull;
}

double ringArea(std::span<const FilmMm> ring)
{
    double twice = 0;
    for (std::size_t i = 0; i < ring.size(); ++i)
        twice += side(ring[0], ring[i], ring[(i + 1) % ring.size()]);
    return twice / 2;
}

std::vector<FilmMm> clippedTo(std::span<const FilmMm> convex, std::span<const FilmMm> ring)
{
    std::vector<FilmMm> kept(ring.begin(), ring.end());
    for (std::size_t i = 0; i < convex.size() && !kept.empty(); ++i) {
        const FilmMm a = convex[i], b = convex[(i + 1) % convex.size()];
        std::vector<FilmMm> next;
        for (std::size_t k = 0; k < kept.size(); ++k) {
            const FilmMm from = kept[k], to = kept[(k + 1) % kept.size()];
            const double sideFrom = side(a, b, from), sideTo = side(a, b, to);
            if (sideFrom >= 0)
                next.push_back(from);
            if ((sideFrom > 0 && sideTo < 0) || (sideFrom < 0 && sideTo > 0)) {
                const double share = sideFrom / (sideFrom - sideTo);
                next.push_back({from.x + share * (to.x - from.x), from.y + share * (to.y - from.y)});
            }
        }
        kept = std::move(next);
    }
    return kept;
}

} // namespace inkpeg
