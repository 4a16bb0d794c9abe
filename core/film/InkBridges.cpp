// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkBridges.h"

#include <algorithm>
#include <cstdlib>
#include <optional>

namespace inkpeg {

std::vector<MaskCell> cellsAlong(const InkBridge& bridge)
{
    const int steps = std::max(std::abs(bridge.to.column - bridge.from.column),
                               std::abs(bridge.to.row - bridge.from.row));
    std::vector<MaskCell> cells;
    for (int i = 0; i <= steps; ++i) {
        const double share = steps > 0 ? static_cast<double>(i) / steps : 0.0;
        cells.push_back(
            {static_cast<int>(
                 std::lround(bridge.from.column + share * (bridge.to.column - bridge.from.column))),
             static_cast<int>(std::lround(bridge.from.row + share * (bridge.to.row - bridge.from.row)))});
    }
    return cells;
}

CellMask withBridges(CellMask skeleton, const std::vector<InkBridge>& bridges)
{
    for (const InkBridge& bridge : bridges)
        for (const MaskCell& cell : cellsAlong(bridge))
            skeleton.set[skeleton.index(cell.column, cell.row)] = 1;
    return skeleton;
}

std::vector<InkBridge> bridgesBetweenEnds(const std::vector<LooseEnd>& ends, double widest)
{
    struct Pair {
        double width;
        std::size_t a, b;
    };
    std::vector<Pair> pairs;
    constexpr double Facing = 0.6; // cosine of about fifty degrees
    for (std::size_t a = 0; a < ends.size(); ++a)
        for (std::size_t b = a + 1; b < ends.size(); ++b) {
            const double dx = ends[b].cell.column - ends[a].cell.column,
                         dy = ends[b].cell.row - ends[a].cell.row;
            const double width = std::hypot(dx, dy);
            if (width > widest || width <= 0)
                continue;
            const double fromA = (dx * ends[a].towardsColumn + dy * ends[a].towardsRow) / width;
            const double fromB = -(dx * ends[b].towardsColumn + dy * ends[b].towardsRow) / width;
            if (fromA > Facing && fromB > Facing)
                pairs.push_back({width, a, b});
        }
    std::sort(pairs.begin(), pairs.end(), [](const Pair& x, const Pair& y) { return x.width < y.width; });
    std::vector<bool> used(ends.size(), false);
    std::vector<InkBridge> bridges;
    for (const Pair& pair : pairs)
        if (!used[pair.a] && !used[pair.b]) {
            used[pair.a] = used[pair.b] = true;
            bridges.push_back({ends[pair.a].cell, ends[pair.b].cell});
        }
    return bridges;
}

std::vector<InkBridge> bridgesToLines(const CellMask& barrier, const std::vector<LooseEnd>& ends,
                                      double widest)
{
    std::vector<InkBridge> bridges;
    for (const LooseEnd& end : ends) {
        std::optional<InkBridge> shortest;
        for (int turn = -6; turn <= 6; ++turn) {
            const double angle = turn * 0.09, c = std::cos(angle), s = std::sin(angle);
            const double dx = c * end.towardsColumn - s * end.towardsRow,
                         dy = s * end.towardsColumn + c * end.towardsRow;
            for (double away = 2.5; away <= widest; away += 0.5) {
                const MaskCell cell = {static_cast<int>(std::lround(end.cell.column + away * dx)),
                                       static_cast<int>(std::lround(end.cell.row + away * dy))};
                if (!barrier.at(cell.column, cell.row))
                    continue;
                if (!shortest || distance(end.cell, cell) < distance(shortest->from, shortest->to))
                    shortest = InkBridge{end.cell, cell};
                break;
            }
        }
        if (shortest)
            bridges.push_back(*shortest);
    }
    return bridges;
}

} // namespace inkpeg
