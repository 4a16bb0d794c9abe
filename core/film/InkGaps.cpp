// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkGaps.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

namespace inkpeg {

namespace {

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
            if (b <= a || (ends[a].stroke == ends[b].stroke && ends[a].strokeCells < 2 * widest))
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
                                std::min(ends[a].strokeCells, ends[b].strokeCells), a, b});
        });
}

std::optional<PencilGap> gapToLine(const CellMask& skeleton, const std::vector<LooseEnd>& ends,
                                   std::size_t from, double widest)
{
    const LooseEnd& end = ends[from];
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
                shortest = PencilGap{end.cell, cell, away, c, true, end.strokeCells, from, from};
            break;
        }
    }
    return shortest;
}

} // namespace

std::vector<LooseEnd> looseEnds(const InkChains& joined, const InkStrokes& strokes, double runCells)
{
    std::vector<LooseEnd> ends;
    for (std::size_t node = 0; node < joined.nodes.size(); ++node) {
        if (!joined.isLoose(node))
            continue;
        const std::vector<MaskCell> walk = wayAlong(joined, node, joined.at[node].front(), runCells);
        const double dx = walk.front().column - walk.back().column, dy = walk.front().row - walk.back().row,
                     length = std::hypot(dx, dy);
        if (length < 0.7 * runCells) // too short, or too bent to point anywhere
            continue;
        const std::size_t chain = joined.at[node].front(), stroke = strokes.ofChain[chain];
        ends.push_back({joined.nodes[node], dx / length, dy / length, node, chain, stroke,
                        strokes.strokes[stroke].lengthCells});
    }
    return ends;
}

std::vector<PencilGap> gapsBetween(const CellMask& skeleton, const std::vector<LooseEnd>& ends,
                                   double widestCells)
{
    std::vector<PencilGap> gaps;
    const EndsByPlace places(ends, widestCells);
    addGapsToEnds(skeleton, ends, places, widestCells, gaps);
    for (std::size_t from = 0; from < ends.size(); ++from) {
        const LooseEnd& end = ends[from];
        const std::optional<PencilGap> gap = gapToLine(skeleton, ends, from, widestCells);
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
