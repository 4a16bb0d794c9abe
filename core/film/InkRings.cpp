// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkRings.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <queue>
#include <set>

#include "core/film/InkRay.h"

namespace inkpeg {

namespace {

std::vector<MaskCell> straight(const InkRun& gap)
{
    const MaskCell a = gap.cells.front(), b = gap.cells.back();
    const int steps = std::max({1, std::abs(b.column - a.column), std::abs(b.row - a.row)});
    std::vector<MaskCell> cells;
    for (int i = 0; i <= steps; ++i) {
        const double share = static_cast<double>(i) / steps;
        cells.push_back({static_cast<int>(std::lround(a.column + share * (b.column - a.column))),
                         static_cast<int>(std::lround(a.row + share * (b.row - a.row)))});
    }
    return cells;
}

} // namespace

InkRing ringAlong(const InkNetwork& network, std::vector<std::size_t> runs, std::size_t startNode)
{
    InkRing ring;
    std::set<std::size_t> nodes;
    std::size_t node = startNode;
    for (const std::size_t run : runs) {
        const InkRun& along = network.runs()[run];
        if (!nodes.insert(node).second)
            return {};
        std::vector<MaskCell> cells = along.isGap() ? straight(along) : along.cells;
        if (along.from != node)
            std::reverse(cells.begin(), cells.end());
        node = along.from == node ? along.to : along.from;
        ring.cells.insert(ring.cells.end(), cells.begin(), cells.end() - 1);
        ring.price += along.price;
        if (!along.inRhythm)
            ring.widestGapMm = std::max(ring.widestGapMm, along.gapMm);
    }
    double twice = 0;
    for (std::size_t i = 0; i < ring.cells.size(); ++i) {
        const MaskCell &a = ring.cells[i], &b = ring.cells[(i + 1) % ring.cells.size()];
        twice += static_cast<double>(a.column) * b.row - static_cast<double>(b.column) * a.row;
    }
    ring.areaCells = std::abs(twice) / 2;
    ring.runs = std::move(runs);
    return ring;
}

namespace {

class RingSearch {
public:
    RingSearch(const InkNetwork& network, double gapMm)
        : m_network(network), m_gapMm(gapMm), m_best(2 * network.nodes().size()),
          m_came(2 * network.nodes().size())
    {
    }

    /// Adds the rings through what one ray crosses.
    void lookAlong(const InkRay& ray)
    {
        m_odd.assign(m_network.runs().size(), 0);
        std::vector<std::size_t> crossing;
        for (std::size_t run = 0; run < m_network.runs().size(); ++run)
            if (usable(run) && ray.crossesOddly(m_network.runs()[run].cells)) {
                m_odd[run] = 1;
                crossing.push_back(run);
            }
        for (const std::size_t run : crossing) {
            std::vector<std::size_t> runs = cheapestThrough(run);
            if (runs.empty())
                continue;
            std::vector<std::size_t> sorted = runs;
            std::sort(sorted.begin(), sorted.end());
            if (m_seen.insert(sorted).second) {
                const std::size_t start = m_network.runs()[runs.front()].from;
                m_rings.push_back(ringAlong(m_network, std::move(runs), start));
            }
        }
    }

    std::vector<InkRing> rings()
    {
        std::erase_if(m_rings, [](const InkRing& ring) { return ring.cells.empty(); });
        std::sort(m_rings.begin(), m_rings.end(),
                  [](const InkRing& a, const InkRing& b) { return a.price < b.price; });
        return std::move(m_rings);
    }

private:
    bool usable(std::size_t run) const { return m_network.runs()[run].isBridgedUpTo(m_gapMm); }

    /// From the far node of `first` back to its near one, crossing the ray an even number of times more.
    std::vector<std::size_t> cheapestThrough(std::size_t first)
    {
        constexpr double Dearest = 20; // a ring of five metres, or of ten marks that are no outline
        const InkRun& start = m_network.runs()[first];
        if (start.from == start.to)
            return {first};
        std::fill(m_best.begin(), m_best.end(), Dearest);
        using Entry = std::pair<double, std::size_t>;
        std::priority_queue<Entry, std::vector<Entry>, std::greater<>> waiting;
        const std::size_t begin = 2 * start.to, goal = 2 * start.from;
        m_best[begin] = start.price;
        waiting.emplace(start.price, begin);
        while (!waiting.empty()) {
            const auto [price, state] = waiting.top();
            waiting.pop();
            if (price > m_best[state])
                continue;
            if (state == goal)
                return wayBack(first, begin, goal);
            const std::size_t node = state / 2, parity = state % 2;
            for (const std::size_t run : m_network.runsAt(node)) {
                if (run == first || !usable(run))
                    continue;
                const InkRun& along = m_network.runs()[run];
                const std::size_t next = along.from == node ? along.to : along.from;
                const std::size_t to = 2 * next + (parity ^ m_odd[run]);
                if (const double reached = price + along.price; reached < m_best[to]) {
                    m_best[to] = reached;
                    m_came[to] = run;
                    waiting.emplace(reached, to);
                }
            }
        }
        return {};
    }

    std::vector<std::size_t> wayBack(std::size_t first, std::size_t begin, std::size_t goal) const
    {
        std::vector<std::size_t> runs;
        for (std::size_t state = goal; state != begin;) {
            const std::size_t run = m_came[state];
            runs.push_back(run);
            const InkRun& along = m_network.runs()[run];
            const std::size_t node = state / 2;
            state = 2 * (along.from == node ? along.to : along.from) + ((state % 2) ^ m_odd[run]);
        }
        runs.push_back(first);
        std::reverse(runs.begin(), runs.end());
        return runs;
    }

    const InkNetwork& m_network;
    double m_gapMm;
    std::vector<std::uint8_t> m_odd;
    std::set<std::vector<std::size_t>> m_seen;
    std::vector<InkRing> m_rings;
    std::vector<double> m_best;
    std::vector<std::size_t> m_came;
};

} // namespace

std::vector<InkRing> ringsAround(const InkNetwork& network, CellPoint place, double gapMm)
{
    // Four rays: an outline whose every crossing of one ray is shared with a cheaper one inside it (a cut
    // filled by two fills) shows on another.
    RingSearch search(network, gapMm);
    for (int side = 0; side < 4; ++side)
        search.lookAlong(InkRay(place, side));
    return search.rings();
}

} // namespace inkpeg
