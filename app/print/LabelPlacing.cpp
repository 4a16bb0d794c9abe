// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/LabelPlacing.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/checks/PlaneGeometry.h"

namespace inkpeg {

namespace {

constexpr double CellMm = 12;
constexpr double GapMm = 0.4; ///< white around each label

int cellOf(double mm, double size)
{
    return static_cast<int>(std::floor(mm / size));
}

PageBox boxAround(PageMm centre, double width, double height)
{
    return {centre.x - width / 2, centre.y - height / 2, width, height};
}

PageBox widened(const PageBox& box, double mm)
{
    return {box.x - mm, box.y - mm, box.width + 2 * mm, box.height + 2 * mm};
}

/// The place on the box's edge where a leader from `anchor` to its centre ends.
PageMm edgeTowards(const PageBox& box, PageMm anchor)
{
    const PageMm centre{box.x + box.width / 2, box.y + box.height / 2};
    const auto share = shareWithin(anchor, centre, box);
    const double t = share ? share->first : 1;
    return {anchor.x + (centre.x - anchor.x) * t, anchor.y + (centre.y - anchor.y) * t};
}

/// Page places dressed as plane coordinates, for the geometry of core/checks.
GroundM plane(PageMm at)
{
    return {at.x, -at.y};
}

bool crosses(const std::vector<PageMm>& ring, const PageBox& box)
{
    for (std::size_t i = 0; i < ring.size(); ++i)
        if (shareWithin(ring[i], ring[(i + 1) % ring.size()], box))
            return true;
    return false;
}

} // namespace

std::optional<std::pair<double, double>> shareWithin(PageMm a, PageMm b, const PageBox& box)
{
    double from = 0, to = 1;
    const double dx = b.x - a.x, dy = b.y - a.y;
    const double edges[4][2] = {{-dx, a.x - box.x},
                                {dx, box.x + box.width - a.x},
                                {-dy, a.y - box.y},
                                {dy, box.y + box.height - a.y}};
    for (const auto& [p, q] : edges) {
        if (p == 0) {
            if (q < 0)
                return {};
            continue;
        }
        const double t = q / p;
        if (p < 0)
            from = std::max(from, t);
        else
            to = std::min(to, t);
    }
    if (from > to)
        return {};
    return std::pair{from, to};
}

template<typename Visit>
void LabelPlacing::eachNear(const PageBox& box, const Visit& visit) const
{
    for (int i = cellOf(box.x, CellMm); i <= cellOf(box.x + box.width, CellMm); ++i)
        for (int k = cellOf(box.y, CellMm); k <= cellOf(box.y + box.height, CellMm); ++k)
            if (const auto cell = m_near.find({i, k}); cell != m_near.end())
                for (const std::size_t taken : cell->second)
                    visit(m_taken[taken]);
}

void LabelPlacing::block(const PageBox& box)
{
    take(box);
}

void LabelPlacing::take(const PageBox& box)
{
    m_taken.push_back(box);
    for (int i = cellOf(box.x, CellMm); i <= cellOf(box.x + box.width, CellMm); ++i)
        for (int k = cellOf(box.y, CellMm); k <= cellOf(box.y + box.height, CellMm); ++k)
            m_near[{i, k}].push_back(m_taken.size() - 1);
}

void LabelPlacing::ink(const std::vector<PageMm>& line, bool closed)
{
    for (std::size_t i = 0; i + (closed ? 0 : 1) < line.size(); ++i) {
        const PageMm a = line[i], b = line[(i + 1) % line.size()];
        const int steps = 1 + static_cast<int>(std::hypot(b.x - a.x, b.y - a.y));
        for (int k = 0; k <= steps; ++k) {
            const double t = static_cast<double>(k) / steps;
            m_ink[{cellOf(a.x + (b.x - a.x) * t, 1), cellOf(a.y + (b.y - a.y) * t, 1)}] = 1;
        }
    }
}

int LabelPlacing::inkUnder(const PageBox& box) const
{
    int cells = 0;
    for (int i = cellOf(box.x, 1); i <= cellOf(box.x + box.width, 1); ++i)
        for (int k = cellOf(box.y, 1); k <= cellOf(box.y + box.height, 1); ++k)
            cells += m_ink.contains({i, k}) ? 1 : 0;
    return cells;
}

bool LabelPlacing::isFree(const PageBox& box) const
{
    if (!m_field.holds(box))
        return false;
    bool free = true;
    const PageBox wanted = widened(box, GapMm);
    eachNear(wanted, [&](const PageBox& taken) { free = free && !wanted.overlaps(taken); });
    return free;
}

bool LabelPlacing::crossesTaken(PageMm from, PageMm to) const
{
    const PageBox around{std::min(from.x, to.x), std::min(from.y, to.y), std::abs(to.x - from.x),
                         std::abs(to.y - from.y)};
    bool crosses = false;
    eachNear(around, [&](const PageBox& taken) {
        // What the anchor itself lies in (its own mark) is no obstacle.
        const bool own = from.x >= taken.x && from.x <= taken.x + taken.width && from.y >= taken.y &&
                         from.y <= taken.y + taken.height;
        crosses = crosses || (!own && shareWithin(from, to, taken).has_value());
    });
    return crosses;
}

std::optional<PlacedLabel> LabelPlacing::beside(const LabelWish& wish, PageMm anchor,
                                                double& bestCost) const
{
    // Rings of places about the anchor: near ones first; a wider ring only while nothing was found, except
    // that line work under a near label may make one a little further out the better one.
    std::optional<PlacedLabel> best;
    const double furthest = std::hypot(m_field.width, m_field.height);
    for (double radius = wish.leaderFromMm; radius < furthest; radius += radius < 40 ? 1.5 : 6) {
        if (radius > bestCost)
            break;
        const int places = radius < 12 ? 16 : 32;
        for (int i = 0; i < places; ++i) {
            // The first direction is up and to the right, where the eye looks for a number.
            const double angle = std::numbers::pi / 4 + 2 * std::numbers::pi * i / places;
            const PageMm centre{anchor.x + std::cos(angle) * (radius + wish.widthMm / 2),
                                anchor.y - std::sin(angle) * (radius + wish.heightMm / 2)};
            const PageBox box = boxAround(centre, wish.widthMm, wish.heightMm);
            if (!isFree(box))
                continue;
            const PageMm end = edgeTowards(box, anchor);
            const double cost =
                radius + 2.0 * inkUnder(box) + (crossesTaken(anchor, end) ? 20 : 0) + i * 0.01;
            if (cost < bestCost) {
                bestCost = cost;
                best = PlacedLabel{centre, true, anchor, end};
            }
        }
    }
    return best;
}

std::optional<PlacedLabel> LabelPlacing::place(const LabelWish& wish)
{
    // Among the places that need no leader, one with as little line work under it as may be; where all lie
    // on much of it, a clean place with a leader may be the better one.
    std::optional<PlacedLabel> placed;
    double cost = 1e9;
    for (std::size_t i = 0; i < wish.inside.size() && cost > 0; ++i) {
        const PageBox box = boxAround(wish.inside[i], wish.widthMm, wish.heightMm);
        const double here = isFree(box) ? inkUnder(box) + 0.1 * static_cast<double>(i) : 1e9;
        if (here < cost) {
            cost = here;
            placed = PlacedLabel{wish.inside[i], false, wish.inside[i], wish.inside[i]};
        }
    }
    for (const PageMm anchor : wish.anchors)
        if (const std::optional<PlacedLabel> better = beside(wish, anchor, cost))
            placed = better;
    if (!placed)
        return placed;
    take(boxAround(placed->centre, wish.widthMm, wish.heightMm));
    if (placed->leader)
        ink({placed->anchor, placed->leaderEnd}, false); // later labels would rather not lie on the leader
    return placed;
}

std::vector<PageMm> roomWithin(const std::vector<std::vector<PageMm>>& rings, double widthMm,
                               double heightMm)
{
    constexpr int Steps = 24;
    constexpr std::size_t Most = 48;
    PartOnGround part;
    PageMm low = rings.front().front(), high = low;
    for (std::size_t i = 0; i < rings.size(); ++i) {
        RingOnGround ring;
        for (const PageMm at : rings[i]) {
            ring.push_back(plane(at));
            low = {std::min(low.x, at.x), std::min(low.y, at.y)};
            high = {std::max(high.x, at.x), std::max(high.y, at.y)};
        }
        if (i == 0)
            part.outer = std::move(ring);
        else
            part.holes.push_back(std::move(ring));
    }
    std::vector<std::pair<double, PageMm>> found;
    for (int i = 1; i < Steps; ++i)
        for (int k = 1; k < Steps; ++k) {
            const PageMm at{low.x + (high.x - low.x) * i / Steps, low.y + (high.y - low.y) * k / Steps};
            if (sideOf(plane(at), part) != Side::Inside)
                continue;
            const PageBox box{at.x - widthMm / 2, at.y - heightMm / 2, widthMm, heightMm};
            if (widthMm > 0 && std::any_of(rings.begin(), rings.end(),
                                           [&](const auto& ring) { return crosses(ring, box); }))
                continue;
            found.emplace_back(distanceToEdge(plane(at), part), at);
        }
    std::stable_sort(found.begin(), found.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    std::vector<PageMm> centres;
    for (const auto& [distance, at] : found)
        if (centres.size() < Most)
            centres.push_back(at);
    return centres;
}

} // namespace inkpeg
