// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkSkeleton.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace inkpeg {

namespace {

// Clockwise from above, as Zhang and Suen number them.
constexpr std::array<MaskCell, 8> Around = {
    {{0, -1}, {1, -1}, {1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}}};

/// The connected cells that hold `start`, of those that `belongs` accepts and `seen` does not hold yet.
template<typename Belongs>
std::vector<MaskCell> gather(CellMask& seen, MaskCell start, Belongs belongs)
{
    std::vector<MaskCell> found = {start};
    seen.set[seen.index(start.column, start.row)] = 1;
    for (std::size_t i = 0; i < found.size(); ++i)
        for (const MaskCell& step : Around) {
            const MaskCell next = {found[i].column + step.column, found[i].row + step.row};
            if (!seen.holds(next.column, next.row) || seen.at(next.column, next.row) || !belongs(next))
                continue;
            seen.set[seen.index(next.column, next.row)] = 1;
            found.push_back(next);
        }
    return found;
}

bool canGo(const CellMask& mask, int column, int row, int pass)
{
    std::array<bool, 8> n{};
    int count = 0, changes = 0;
    for (std::size_t i = 0; i < 8; ++i) {
        n[i] = mask.at(column + Around[i].column, row + Around[i].row);
        count += n[i] ? 1 : 0;
    }
    for (std::size_t i = 0; i < 8; ++i)
        changes += !n[i] && n[(i + 1) % 8] ? 1 : 0;
    if (count < 2 || count > 6 || changes != 1)
        return false;
    const bool above = n[0], right = n[2], below = n[4], left = n[6];
    return pass == 0 ? !(above && right && below) && !(right && below && left)
                     : !(above && right && left) && !(above && below && left);
}

} // namespace

CellMask inkMask(const InkMap& map, double shortestMm)
{
    constexpr float Sure = 0.55F, Weak = 0.25F;
    const InkPlane& strength = map.strength();
    CellMask seen(map.width(), map.height()), mask(map.width(), map.height());
    const double shortest = shortestMm / map.cellMm();
    for (int row = 0; row < map.height(); ++row)
        for (int column = 0; column < map.width(); ++column) {
            if (strength.at(column, row) < Sure || seen.at(column, row))
                continue;
            const auto run = gather(seen, {column, row},
                                    [&](MaskCell c) { return strength.at(c.column, c.row) >= Weak; });
            int left = column, right = column, top = row, bottom = row;
            for (const MaskCell& c : run) {
                left = std::min(left, c.column);
                right = std::max(right, c.column);
                top = std::min(top, c.row);
                bottom = std::max(bottom, c.row);
            }
            if (std::max(right - left, bottom - top) < shortest)
                continue;
            for (const MaskCell& c : run)
                mask.set[mask.index(c.column, c.row)] = 1;
        }
    return mask;
}

CellMask skeletonOf(CellMask mask)
{
    std::vector<MaskCell> live;
    for (int row = 0; row < mask.height; ++row)
        for (int column = 0; column < mask.width; ++column)
            if (mask.at(column, row))
                live.push_back({column, row});
    for (bool changed = true; changed;) {
        changed = false;
        for (const int pass : {0, 1}) {
            std::vector<MaskCell> going;
            for (const MaskCell& c : live)
                if (canGo(mask, c.column, c.row, pass))
                    going.push_back(c);
            for (const MaskCell& c : going)
                mask.set[mask.index(c.column, c.row)] = 0;
            changed |= !going.empty();
            std::erase_if(live, [&](const MaskCell& c) { return !mask.at(c.column, c.row); });
        }
    }
    return mask;
}

std::vector<LooseEnd> looseEnds(const CellMask& skeleton, int runCells)
{
    std::vector<LooseEnd> ends;
    for (int row = 0; row < skeleton.height; ++row)
        for (int column = 0; column < skeleton.width; ++column) {
            if (!skeleton.at(column, row))
                continue;
            int neighbours = 0;
            for (const MaskCell& step : Around)
                neighbours += skeleton.at(column + step.column, row + step.row) ? 1 : 0;
            if (neighbours != 1)
                continue;
            // Walk inwards; the end points from where the walk stopped to where it began.
            std::vector<MaskCell> walk = {{column, row}};
            while (static_cast<int>(walk.size()) <= runCells) {
                const MaskCell here = walk.back();
                const auto step = std::find_if(Around.begin(), Around.end(), [&](const MaskCell& s) {
                    const MaskCell next = {here.column + s.column, here.row + s.row};
                    return skeleton.at(next.column, next.row) &&
                           std::find(walk.begin(), walk.end(), next) == walk.end();
                });
                if (step == Around.end())
                    break;
                walk.push_back({here.column + step->column, here.row + step->row});
            }
            const double dx = column - walk.back().column, dy = row - walk.back().row,
                         length = std::hypot(dx, dy);
            if (static_cast<int>(walk.size()) > runCells && length > 0)
                ends.push_back({{column, row}, dx / length, dy / length});
        }
    return ends;
}

} // namespace inkpeg
