// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkGaps.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

namespace inkpeg {

namespace {

std::vector<MaskCell> cellsFrom(const InkChain& chain, std::size_t node)
{
    std::vector<MaskCell> cells = chain.cells;
    if (chain.from != node)
        std::reverse(cells.begin(), cells.end());
    return cells;
}

double cosineBetween(MaskCell a, MaskCell corner, MaskCell b)
{
    const double ax = corner.column - a.column, ay = corner.row - a.row;
    const double bx = b.column - corner.column, by = b.row - corner.row;
    const double lengths = std::hypot(ax, ay) * std::hypot(bx, by);
    return lengths > 0 ? (ax * bx + ay * by) / lengths : -1;
}

/// The chain that goes on straightest from the end of `walk` at `node`, if any goes on at all.
std::optional<std::size_t> straightOn(const InkChains& joined, std::size_t node, std::size_t last,
                                      const std::vector<MaskCell>& walk)
{
    constexpr std::size_t Look = 6;
    std::optional<std::size_t> best;
    double bestCosine = 0.3;
    for (const std::size_t chain : joined.at[node]) {
        if (chain == last)
            continue;
        const std::vector<MaskCell> cells = cellsFrom(joined.chains[chain], node);
        const double cosine = cosineBetween(walk[walk.size() - 1 - std::min(Look, walk.size() - 1)],
                                            walk.back(), cells[std::min(Look, cells.size() - 1)]);
        if (cosine > bestCosine) {
            bestCosine = cosine;
            best = chain;
        }
    }
    return best;
}

/// Cells inwards from a loose end, about `runCells` of length.
std::vector<MaskCell> inwards(const InkChains& joined, std::size_t node, double runCells)
{
    std::vector<MaskCell> walk = {joined.nodes[node]};
    double length = 0;
    std::optional<std::size_t> chain = joined.at[node].front();
    for (int chains = 0; chain && length < runCells && chains < 8; ++chains) {
        const std::vector<MaskCell> cells = cellsFrom(joined.chains[*chain], node);
        for (std::size_t i = 1; i < cells.size() && length < runCells; ++i) {
            length += std::hypot(cells[i].column - walk.back().column, cells[i].row - walk.back().row);
            walk.push_back(cells[i]);
        }
        const InkChain& piece = joined.chains[*chain];
        node = piece.from == node ? piece.to : piece.from;
        chain = straightOn(joined, node, *chain, walk);
    }
    return walk;
}

/// Pairs within reach of each other, by a coarse grid.
class EndsByPlace {
public:
    EndsByPlace(const std::vector<LooseEnd>& ends, double widest) : m_side(widest)
    {
        for (std::size_t i = 0; i < ends.size(); ++i)
            m_boxes[boxOf(ends[i].cell)].push_back(i);
    }
    template<typename Do>
    void near(MaskCell cell, Do work) const
    {
        const auto [column, row] = boxOf(cell);
        for (int r = row - 1; r <= row + 1; ++r)
            for (int c = column - 1; c <= column + 1; ++c)
                if (const auto box = m_boxes.find({c, r}); box != m_boxes.end())
                    for (const std::size_t i : box->second)
                        work(i);
    }

private:
    std::pair<int, int> boxOf(MaskCell cell) const
    {
        return {static_cast<int>(cell.column / m_side), static_cast<int>(cell.row / m_side)};
    }
    double m_side;
    std::map<std::pair<int, int>, std::vector<std::size_t>> m_boxes;
};

/// True if the straight way between two ends crosses pencil.
bool crossesPencil(const CellMask& skeleton, MaskCell from, MaskCell to, double width)
{
    for (double away = 2.5; away <= width - 2.5; away += 0.5) {
        const int column =
            static_cast<int>(std::lround(from.column + (to.column - from.column) * away / width));
        const int row = static_cast<int>(std::lround(from.row + (to.row - from.row) * away / width));
        if (skeleton.at(column, row))
            return true;
    }
    return false;
}

void addGapsToEnds(const CellMask& skeleton, const std::vector<LooseEnd>& ends, const EndsByPlace& places,
                   double widest, std::vector<PencilGap>& gaps)
{
    constexpr double Away = -0.2; // ends that turn their backs on each other are not joined
    for (std::size_t a = 0; a < ends.size(); ++a)
        places.near(ends[a].cell, [&](std::size_t b) {
            if (b <= a || (ends[a].chain == ends[b].chain && ends[a].strokeCells < 2 * widest))
                return;
            const double dx = ends[b].cell.column - ends[a].cell.column,
                         dy = ends[b].cell.row - ends[a].cell.row;
            const double width = std::hypot(dx, dy);
            if (width > widest || width <= 0)
                return;
            const double fromA = (dx * ends[a].towardsColumn + dy * ends[a].towardsRow) / width;
            const double fromB = -(dx * ends[b].towardsColumn + dy * ends[b].towardsRow) / width;
            if (fromA > Away && fromB > Away && !crossesPencil(skeleton, ends[a].cell, ends[b].cell, width))
                gaps.push_back({ends[a].cell, ends[b].cell, width, std::min(fromA, fromB), false,
                                std::min(ends[a].strokeCells, ends[b].strokeCells)});
        });
}

std::optional<PencilGap> gapToLine(const CellMask& skeleton, const LooseEnd& end, double widest)
{
    std::optional<PencilGap> shortest;
    for (int turn = -6; turn <= 6; ++turn) {
        const double angle = turn * 0.09, c = std::cos(angle), s = std::sin(angle);
        const double dx = c * end.towardsColumn - s * end.towardsRow,
                     dy = s * end.towardsColumn + c * end.towardsRow;
        for (double away = 2.5; away <= widest; away += 0.5) {
            const MaskCell cell = {static_cast<int>(std::lround(end.cell.column + away * dx)),
                                   static_cast<int>(std::lround(end.cell.row + away * dy))};
            if (!skeleton.at(cell.column, cell.row))
                continue;
            if (!shortest || away < shortest->widthCells)
                shortest = PencilGap{end.cell, cell, away, c, true, end.strokeCells};
            break;
        }
    }
    return shortest;
}

} // namespace

std::vector<LooseEnd> looseEnds(const InkChains& joined, double runCells)
{
    std::vector<LooseEnd> ends;
    for (std::size_t node = 0; node < joined.nodes.size(); ++node) {
        if (!joined.isLoose(node))
            continue;
        const std::vector<MaskCell> walk = inwards(joined, node, runCells);
        const double dx = walk.front().column - walk.back().column, dy = walk.front().row - walk.back().row,
                     length = std::hypot(dx, dy);
        if (length < 0.7 * runCells) // too short, or too bent to point anywhere
            continue;
        const std::size_t chain = joined.at[node].front();
        ends.push_back(
            {joined.nodes[node], dx / length, dy / length, chain, lengthOf(joined.chains[chain].cells)});
    }
    return ends;
}

std::vector<PencilGap> gapsBetween(const CellMask& skeleton, const std::vector<LooseEnd>& ends,
                                   double widestCells)
{
    std::vector<PencilGap> gaps;
    const EndsByPlace places(ends, widestCells);
    addGapsToEnds(skeleton, ends, places, widestCells, gaps);
    for (const LooseEnd& end : ends) {
        const std::optional<PencilGap> gap = gapToLine(skeleton, end, widestCells);
        if (!gap)
            continue;
        bool toAnEnd = false; // that gap is there already
        places.near(gap->to, [&](std::size_t i) {
            toAnEnd |=
                std::hypot(ends[i].cell.column - gap->to.column, ends[i].cell.row - gap->to.row) < 4 &&
                !(ends[i].cell == end.cell);
        });
        if (!toAnEnd)
            gaps.push_back(*gap);
    }
    return gaps;
}

} // namespace inkpeg
