// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/OutlineIndex.h"

#include <algorithm>
#include <cmath>

#include "core/outline/Area.h"

namespace inkpeg {
namespace {

constexpr std::size_t stretchLength = 32;
constexpr int leastLevel = 4; // cells of 16 px: no outline worth its number is smaller

std::uint64_t tileKey(std::int64_t column, std::int64_t row)
{
    return (static_cast<std::uint64_t>(column) << 32) ^ (static_cast<std::uint64_t>(row) & 0xffffffffULL);
}

std::int64_t tileOf(std::int64_t cell)
{
    return cell >> 3; // downwards, also left of and above the origin
}

std::int64_t cellOf(double position, double cellPx)
{
    return static_cast<std::int64_t>(std::floor(position / cellPx));
}

int levelOf(const ScanBox& box)
{
    const double side = std::max({box.right - box.left, box.bottom - box.top, 1.0});
    return std::max(leastLevel, static_cast<int>(std::ceil(std::log2(side))));
}

} // namespace

void OutlineIndex::put(std::int64_t id, std::span<const Part> parts)
{
    remove(id);
    auto shape = std::make_unique<Shape>();
    shape->id = id;
    shape->box = boxOf(parts);
    shape->areaPx2 = areaPx2(parts);
    forEachRing(parts, [&](const Ring& ring) {
        const auto first = static_cast<std::uint32_t>(shape->vertices.size());
        const auto count = static_cast<std::uint32_t>(ring.vertices.size());
        for (std::uint32_t i = 0; i < count; ++i) {
            shape->vertices.push_back(ring.vertices[i]);
            shape->kinds.push_back(ring.kinds[i]);
            shape->next.push_back(first + (i + 1) % count);
        }
    });
    shape->stretches.resize((shape->vertices.size() + stretchLength - 1) / stretchLength);
    for (std::size_t i = 0; i < shape->vertices.size(); ++i) {
        shape->stretches[i / stretchLength].take(shape->vertices[i]);
        shape->stretches[i / stretchLength].take(shape->vertices[shape->next[i]]);
    }
    if (!shape->box.isEmpty())
        file(*shape);
    m_shapes[id] = std::move(shape);
}

void OutlineIndex::file(Shape& shape)
{
    shape.level = levelOf(shape.box);
    const double cellPx = std::ldexp(1.0, shape.level);
    const std::int64_t column = cellOf(shape.box.left, cellPx), row = cellOf(shape.box.top, cellPx);
    shape.tile = tileKey(tileOf(column), tileOf(row));
    shape.cell = Tile::cellAt(column, row);
    Tile& tile = m_levels[shape.level][shape.tile];
    tile.cells[shape.cell].push_back({shape.box, &shape});
    ++tile.shapes;
}

void OutlineIndex::unfile(const Shape& shape)
{
    if (shape.box.isEmpty())
        return;
    Level& level = m_levels[shape.level];
    Tile& tile = level[shape.tile];
    std::erase_if(tile.cells[shape.cell], [&](const Filed& filed) { return filed.shape == &shape; });
    if (--tile.shapes == 0)
        level.erase(shape.tile);
    if (level.empty())
        m_levels.erase(shape.level);
}

void OutlineIndex::remove(std::int64_t id)
{
    const auto there = m_shapes.find(id);
    if (there == m_shapes.end())
        return;
    unfile(*there->second);
    m_shapes.erase(there);
}

void OutlineIndex::clear()
{
    m_levels.clear();
    m_shapes.clear();
}

template<typename Found>
void OutlineIndex::eachMeeting(const ScanBox& box, Found goOnFrom, double leastSidePx) const
{
    const auto goOnFromCell = [&](const std::vector<Filed>& cell) {
        return std::ranges::all_of(
            cell, [&](const Filed& filed) { return !filed.box.meets(box) || goOnFrom(*filed.shape); });
    };
    for (const auto& [level, tiles] : m_levels) {
        const double cellPx = std::ldexp(1.0, level);
        if (cellPx < leastSidePx)
            continue; // no box of a level is larger than its cells
        // A box reaches at most one cell beyond that of its upper left corner.
        const std::int64_t left = cellOf(box.left, cellPx) - 1, right = cellOf(box.right, cellPx);
        const std::int64_t top = cellOf(box.top, cellPx) - 1, bottom = cellOf(box.bottom, cellPx);
        const double wanted = static_cast<double>(tileOf(right) - tileOf(left) + 1) *
                              static_cast<double>(tileOf(bottom) - tileOf(top) + 1);
        if (wanted > static_cast<double>(tiles.size())) {
            for (const auto& [key, tile] : tiles)
                if (!std::ranges::all_of(tile.cells, goOnFromCell))
                    return;
            continue;
        }
        for (std::int64_t row = top; row <= bottom; row = (tileOf(row) + 1) * Tile::side)
            for (std::int64_t column = left; column <= right; column = (tileOf(column) + 1) * Tile::side) {
                const auto tile = tiles.find(tileKey(tileOf(column), tileOf(row)));
                if (tile == tiles.end())
                    continue;
                const std::int64_t lastRow = std::min(bottom, tileOf(row) * Tile::side + Tile::side - 1);
                const std::int64_t lastColumn =
                    std::min(right, tileOf(column) * Tile::side + Tile::side - 1);
                for (std::int64_t r = row; r <= lastRow; ++r)
                    for (std::int64_t c = column; c <= lastColumn; ++c)
                        if (!goOnFromCell(tile->second.cells[Tile::cellAt(c, r)]))
                            return;
            }
    }
}

template<typename Visit>
void OutlineIndex::eachEdgeNear(const Shape& shape, const ScanBox& box, Visit visit)
{
    for (std::size_t s = 0; s < shape.stretches.size(); ++s) {
        if (!shape.stretches[s].meets(box))
            continue;
        const std::size_t end = std::min((s + 1) * stretchLength, shape.vertices.size());
        for (std::size_t i = s * stretchLength; i < end; ++i)
            visit(i);
    }
}

std::optional<OutlineIndex::Vertex> OutlineIndex::nearestVertex(ScanPx position, double reachPx,
                                                                std::optional<ScanPx> leaveOut) const
{
    std::optional<Vertex> nearest;
    const ScanBox box = boxAbout(position, reachPx);
    eachMeeting(box, [&](const Shape& shape) {
        eachEdgeNear(shape, box, [&](std::size_t i) {
            const ScanPx vertex = shape.vertices[i];
            const double away = distance(vertex, position);
            if (away > reachPx || (leaveOut && vertex == *leaveOut))
                return;
            if (!nearest || away < nearest->distancePx ||
                (away == nearest->distancePx && shape.id < nearest->id))
                nearest = Vertex{shape.id, vertex, away};
        });
        return true;
    });
    return nearest;
}

std::optional<OutlineIndex::Edge> OutlineIndex::nearestEdgeOf(const Shape& shape, ScanPx position,
                                                              double reachPx,
                                                              std::optional<ScanPx> leaveOut)
{
    std::optional<Edge> nearest;
    eachEdgeNear(shape, boxAbout(position, reachPx), [&](std::size_t i) {
        const ScanPx a = shape.vertices[i], b = shape.vertices[shape.next[i]];
        if (a == b || (leaveOut && (a == *leaveOut || b == *leaveOut)))
            return;
        const double along = footOnEdge(position, a, b).along;
        const ScanPx foot =
            onLattice({a.column + along * (b.column - a.column), a.row + along * (b.row - a.row)});
        const double away = distance(foot, position);
        if (away <= reachPx && (!nearest || away < nearest->distancePx))
            nearest = Edge{shape.id, a, b, foot, shape.kinds[i], away};
    });
    return nearest;
}

std::optional<OutlineIndex::Edge> OutlineIndex::nearestEdge(ScanPx position, double reachPx,
                                                            std::optional<ScanPx> leaveOut) const
{
    std::optional<Edge> nearest;
    eachMeeting(boxAbout(position, reachPx), [&](const Shape& shape) {
        const std::optional<Edge> edge = nearestEdgeOf(shape, position, reachPx, leaveOut);
        if (edge && (!nearest || edge->distancePx < nearest->distancePx ||
                     (edge->distancePx == nearest->distancePx && edge->id < nearest->id)))
            nearest = edge;
        return true;
    });
    return nearest;
}

/// By counting the edges that a ray to the right crosses; holes count as the rings they are.
bool OutlineIndex::Shape::contains(ScanPx position) const
{
    bool inside = false;
    for (std::size_t i = 0; i < vertices.size(); ++i) {
        const ScanPx a = vertices[i], b = vertices[next[i]];
        if ((a.row > position.row) == (b.row > position.row))
            continue;
        if (position.column < a.column + (position.row - a.row) / (b.row - a.row) * (b.column - a.column))
            inside = !inside;
    }
    return inside;
}

std::optional<std::int64_t> OutlineIndex::smallestAt(ScanPx position, double reachPx,
                                                     std::int64_t leaveOut) const
{
    const Shape* smallest = nullptr;
    eachMeeting(boxAbout(position, reachPx), [&](const Shape& shape) {
        const bool larger =
            smallest && std::pair(smallest->areaPx2, smallest->id) < std::pair(shape.areaPx2, shape.id);
        if (shape.id != leaveOut && !larger &&
            (shape.contains(position) || nearestEdgeOf(shape, position, reachPx, std::nullopt)))
            smallest = &shape;
        return true;
    });
    return smallest ? std::optional(smallest->id) : std::nullopt;
}

std::vector<std::int64_t> OutlineIndex::meeting(const ScanBox& box, double leastSidePx) const
{
    std::vector<std::int64_t> ids;
    eachMeeting(
        box,
        [&](const Shape& shape) {
            ids.push_back(shape.id);
            return true;
        },
        leastSidePx);
    std::ranges::sort(ids);
    return ids;
}

bool OutlineIndex::moreMeetThan(std::size_t count, const ScanBox& box) const
{
    std::size_t met = 0;
    eachMeeting(box, [&](const Shape&) { return ++met <= count; });
    return met > count;
}

} // namespace inkpeg
