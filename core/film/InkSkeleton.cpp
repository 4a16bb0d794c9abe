// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkSkeleton.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace inkpeg {

namespace {

// Clockwise from above.
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
    for (std::size_t i = 0; i < 8; ++i)
        n[i] = mask.at(column + Around[i].column, row + Around[i].row);
    int parts = 0, pairs = 0, otherPairs = 0;
    for (std::size_t i = 0; i < 8; i += 2) {
        parts += !n[i] && (n[i + 1] || n[(i + 2) % 8]) ? 1 : 0;
        pairs += n[i] || n[i + 1] ? 1 : 0;
        otherPairs += n[i + 1] || n[(i + 2) % 8] ? 1 : 0;
    }
    const int neighbours = std::min(pairs, otherPairs);
    if (parts != 1 || neighbours < 2 || neighbours > 3)
        return false;
    return pass == 0 ? !((n[0] || n[1] || !n[3]) && n[2]) : !((n[4] || n[5] || !n[7]) && n[6]);
}

/// Two of its neighbours along row and column touch each other, and nothing else needs it.
bool isCornerOfStair(const CellMask& mask, int column, int row)
{
    for (std::size_t quarter = 0; quarter < 8; quarter += 2) {
        const auto at = [&](std::size_t i) {
            const MaskCell& step = Around[(quarter + i) % 8];
            return mask.at(column + step.column, row + step.row);
        };
        if (at(0) && at(2) && !at(4) && !at(5) && !at(6))
            return true;
    }
    return false;
}

/// Sets what is clear in the mask but closed in by it and smaller than a pen point.
void fillPinholes(CellMask& mask)
{
    constexpr std::size_t Pinhole = 8; // cells, an eighth of a square millimetre
    CellMask seen(mask.width, mask.height);
    std::vector<MaskCell> hole;
    for (int row = 1; row < mask.height - 1; ++row)
        for (int column = 1; column < mask.width - 1; ++column) {
            // Only beside pencil: the open paper need not be walked over.
            if (mask.at(column, row) || seen.at(column, row) || !mask.at(column - 1, row))
                continue;
            hole = {{column, row}};
            seen.set[seen.index(column, row)] = 1;
            for (std::size_t i = 0; i < hole.size() && hole.size() <= Pinhole; ++i)
                for (std::size_t s = 0; s < 8; s += 2) {
                    const MaskCell next = {hole[i].column + Around[s].column, hole[i].row + Around[s].row};
                    if (!mask.holds(next.column, next.row) || mask.at(next.column, next.row) ||
                        std::find(hole.begin(), hole.end(), next) != hole.end())
                        continue;
                    hole.push_back(next);
                }
            if (hole.size() <= Pinhole)
                for (const MaskCell& c : hole)
                    mask.set[mask.index(c.column, c.row)] = 1;
        }
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
    fillPinholes(mask);
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
    for (const MaskCell& c : live)
        if (isCornerOfStair(mask, c.column, c.row))
            mask.set[mask.index(c.column, c.row)] = 0;
    return mask;
}

CellMask withoutCrumbs(CellMask skeleton)
{
    constexpr std::size_t Crumb = 4;
    CellMask seen(skeleton.width, skeleton.height);
    for (int row = 0; row < skeleton.height; ++row)
        for (int column = 0; column < skeleton.width; ++column) {
            if (!skeleton.at(column, row) || seen.at(column, row))
                continue;
            const auto cells =
                gather(seen, {column, row}, [&](MaskCell c) { return skeleton.at(c.column, c.row); });
            if (cells.size() <= Crumb)
                for (const MaskCell& c : cells)
                    skeleton.set[skeleton.index(c.column, c.row)] = 0;
        }
    return skeleton;
}

} // namespace inkpeg
