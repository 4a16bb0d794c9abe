// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkPath.h"

#include <cstdlib>
#include <limits>

#include "core/film/InkLine.h"

namespace inkpeg {

namespace {

struct Cell {
    int column = 0, row = 0;
    bool operator==(const Cell&) const = default;
};

/// Part of a cost grid that a search may use, and within it the corridor (empty = all of it).
struct Ground {
    const CostGrid& grid;
    int left = 0, top = 0, width = 0, height = 0;
    std::vector<std::uint8_t> corridor;

    std::size_t index(Cell c) const
    {
        return static_cast<std::size_t>(c.row - top) * static_cast<std::size_t>(width) +
               static_cast<std::size_t>(c.column - left);
    }
    bool holds(Cell c) const
    {
        return c.column >= left && c.row >= top && c.column < left + width && c.row < top + height;
    }
};

struct Step {
    int column, row;
    std::size_t direction;
};
// Clockwise from the right; opposite steps share a direction of StepCosts.
constexpr std::array<Step, 8> Steps = {
    {{1, 0, 0}, {1, 1, 1}, {0, 1, 2}, {-1, 1, 3}, {-1, 0, 0}, {-1, -1, 1}, {0, -1, 2}, {1, -1, 3}}};

Ground groundAround(const CostGrid& grid, Cell a, Cell b, int room)
{
    const int left = std::max(0, std::min(a.column, b.column) - room);
    const int top = std::max(0, std::min(a.row, b.row) - room);
    return {grid,
            left,
            top,
            std::min(grid.width, std::max(a.column, b.column) + room + 1) - left,
            std::min(grid.height, std::max(a.row, b.row) + room + 1) - top,
            {}};
}

/// Cheapest chain of neighbouring cells, both ends included; empty if the corridor does not join them.
std::vector<Cell> cheapestWay(const Ground& ground, Cell from, Cell to)
{
    // A step costs at most twice 74 (priceSteps); so many buckets in a ring never mix two rounds.
    constexpr std::size_t Buckets = 512;
    constexpr std::uint32_t Far = std::numeric_limits<std::uint32_t>::max();
    std::vector<std::uint32_t> reached(
        static_cast<std::size_t>(ground.width) * static_cast<std::size_t>(ground.height), Far);
    std::vector<std::uint8_t> came(reached.size(), 0);
    std::array<std::vector<Cell>, Buckets> buckets;
    std::size_t waiting = 1;
    reached[ground.index(from)] = 0;
    buckets[0].push_back(from);
    for (std::uint32_t now = 0; waiting > 0; ++now) {
        std::vector<Cell>& bucket = buckets[now % Buckets];
        while (!bucket.empty()) {
            const Cell cell = bucket.back();
            bucket.pop_back();
            --waiting;
            if (reached[ground.index(cell)] != now)
                continue; // a cheaper way came first
            if (cell == to) {
                waiting = 0;
                break;
            }
            const StepCosts& here = ground.grid.at(cell.column, cell.row);
            for (std::size_t s = 0; s < Steps.size(); ++s) {
                const Cell next = {cell.column + Steps[s].column, cell.row + Steps[s].row};
                if (!ground.holds(next))
                    continue;
                const std::size_t at = ground.index(next);
                if (!ground.corridor.empty() && !ground.corridor[at])
                    continue;
                const std::uint32_t cost = now + here[Steps[s].direction] +
                                           ground.grid.at(next.column, next.row)[Steps[s].direction];
                if (cost < reached[at]) {
                    reached[at] = cost;
                    came[at] = static_cast<std::uint8_t>(s);
                    buckets[cost % Buckets].push_back(next);
                    ++waiting;
                }
            }
        }
    }
    if (reached[ground.index(to)] == Far)
        return {};
    std::vector<Cell> way = {to};
    while (!(way.back() == from)) {
        const Step& step = Steps[came[ground.index(way.back())]];
        way.push_back({way.back().column - step.column, way.back().row - step.row});
    }
    return {way.rbegin(), way.rend()};
}

/// Opens the cells around a coarse way in the fine ground.
void openCorridor(Ground& fine, const std::vector<Cell>& coarseWay)
{
    constexpr int Room = 4; // coarse cells, about a millimetre
    fine.corridor.assign(static_cast<std::size_t>(fine.width) * static_cast<std::size_t>(fine.height), 0);
    for (const Cell& cell : coarseWay)
        for (int row = 2 * (cell.row - Room); row <= 2 * (cell.row + Room) + 1; ++row) {
            if (row < fine.top || row >= fine.top + fine.height)
                continue;
            const int first = std::max(fine.left, 2 * (cell.column - Room));
            const int last = std::min(fine.left + fine.width - 1, 2 * (cell.column + Room) + 1);
            for (int column = first; column <= last; ++column)
                fine.corridor[fine.index({column, row})] = 1;
        }
}

Cell cellHolding(const InkMap& map, ScanPx position)
{
    const CellPoint p = map.toCell(position);
    return {std::clamp(static_cast<int>(p.column), 0, map.width() - 1),
            std::clamp(static_cast<int>(p.row), 0, map.height() - 1)};
}

std::vector<Cell> wayBetween(const InkMap& map, Cell from, Cell to, double roomMm)
{
    const double spanCells = std::hypot(from.column - to.column, from.row - to.row);
    const int room = static_cast<int>(std::min(roomMm / map.cellMm(), 3 / map.cellMm() + 0.35 * spanCells));
    const Cell coarseFrom = {from.column / 2, from.row / 2}, coarseTo = {to.column / 2, to.row / 2};
    const std::vector<Cell> coarse = cheapestWay(
        groundAround(map.coarseCosts(), coarseFrom, coarseTo, room / 2 + 1), coarseFrom, coarseTo);
    Ground fine = groundAround(map.fineCosts(), from, to, room + 12);
    openCorridor(fine, coarse);
    return cheapestWay(fine, from, to);
}

double shareOnInk(const InkMap& map, const std::vector<Cell>& way)
{
    std::size_t onInk = 0;
    for (const Cell& cell : way)
        onInk += map.strength().at(cell.column, cell.row) > 0.3F ? 1 : 0;
    return static_cast<double>(onInk) / static_cast<double>(way.size());
}

/// At right angles to the line through a cell.
CellPoint normalAt(const InkMap& map, CellPoint cell)
{
    const double angle = map.directionAt(static_cast<int>(cell.column), static_cast<int>(cell.row));
    return {-std::sin(angle), std::cos(angle)};
}

double darknessAside(const InkMap& map, CellPoint cell, CellPoint normal, double shift)
{
    return static_cast<double>(
        map.darkness().sample({cell.column + normal.column * shift, cell.row + normal.row * shift}));
}

/// True if it is no darker a cell further to either side of the line.
bool onCrest(const InkMap& map, CellPoint cell)
{
    const CellPoint normal = normalAt(map, cell);
    const double here = darknessAside(map, cell, normal, 0);
    return here >= darknessAside(map, cell, normal, -1) && here >= darknessAside(map, cell, normal, 1);
}

} // namespace

Result<InkPath> followInk(const InkMap& map, ScanPx from, ScanPx to, const InkPathSettings& settings)
{
    if (!map.covers(from) || !map.covers(to))
        return Error{ErrorCode::BadInput,
                     "follow ink: an end of the line lies outside the part of the scan that was "
                     "read; read a larger part"};
    const std::vector<Cell> way =
        wayBetween(map, cellHolding(map, from), cellHolding(map, to), settings.roomMm);
    std::vector<CellPoint> chain;
    for (const Cell& cell : way)
        chain.push_back({cell.column + 0.5, cell.row + 0.5});
    chain.front() = map.toCell(from);
    if (chain.size() == 1)
        chain.push_back(map.toCell(to));
    chain.back() = map.toCell(to);
    const std::vector<CellPoint> line =
        thinned(centredOnInk(map, chain, false, 0.4), false, settings.toleranceMm / map.cellMm());
    InkPath path;
    path.inkShare = shareOnInk(map, way);
    for (std::size_t i = 0; i < line.size(); ++i) {
        path.vertices.push_back(map.toScan(line[i]));
        path.lengthMm += i > 0 ? distance(line[i - 1], line[i]) * map.cellMm() : 0;
    }
    path.vertices.front() = from;
    path.vertices.back() = to;
    return path;
}

std::optional<ScanPx> nearestInk(const InkMap& map, ScanPx place, double reachMm)
{
    const CellPoint centre = map.toCell(place);
    const double reach = reachMm / map.cellMm();
    std::optional<CellPoint> nearest;
    double nearestAway = reach;
    for (int row = static_cast<int>(centre.row - reach); row <= static_cast<int>(centre.row + reach); ++row)
        for (int column = static_cast<int>(centre.column - reach);
             column <= static_cast<int>(centre.column + reach); ++column) {
            if (!map.strength().holds(column, row) || map.strength().at(column, row) < 0.3F)
                continue;
            const CellPoint p = {column + 0.5, row + 0.5};
            if (const double away = distance(p, centre); away < nearestAway && onCrest(map, p)) {
                nearestAway = away;
                nearest = p;
            }
        }
    if (!nearest)
        return std::nullopt;
    const CellPoint normal = normalAt(map, *nearest);
    const auto look = [&](double shift) { return darknessAside(map, *nearest, normal, shift); };
    const double curvature = look(-1) - 2 * look(0) + look(1);
    const double shift =
        curvature < 0 ? std::clamp(0.5 * (look(-1) - look(1)) / curvature, -1.0, 1.0) : 0.0;
    return map.toScan({nearest->column + normal.column * shift, nearest->row + normal.row * shift});
}

} // namespace inkpeg
