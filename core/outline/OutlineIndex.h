// SPDX-License-Identifier: GPL-3.0-or-later
// Where the outlines of a drawing lie: which vertex, edge or outline is nearest, which are in view. Kept up
// to date outline by outline, so that an edit costs no new index.
//
//   index.put(outline.id, outline.parts);                       // new or changed
//   if (const auto vertex = index.nearestVertex(pointer, reachPx)) snapTo(vertex->at);
//
// Boxes of outlines lie in grids whose cells are a power of two wide, each box in the grid of the cell that
// is just larger than it, under the cell of its upper left corner; within an outline, boxes about 32 edges
// at a time.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <unordered_map>
#include <vector>

#include "core/outline/Outline.h"
#include "core/outline/RingVisits.h"

namespace inkpeg {

class OutlineIndex {
public:
    struct Vertex {
        std::int64_t id = 0;
        ScanPx at;
        double distancePx = 0;
    };
    struct Edge {
        std::int64_t id = 0;
        ScanPx from, to;
        ScanPx foot; ///< nearest place on the edge, on the lattice
        EdgeKind kind = EdgeKind::Certain;
        double distancePx = 0; ///< to `foot`
    };

    /// Takes an outline in, or its new geometry.
    void put(std::int64_t id, std::span<const Part> parts);
    void remove(std::int64_t id);
    void clear();
    std::size_t size() const { return m_shapes.size(); }

    /// The nearest vertex within reach; one at `leaveOut` does not count.
    std::optional<Vertex> nearestVertex(ScanPx position, double reachPx,
                                        std::optional<ScanPx> leaveOut = std::nullopt) const;
    /// The nearest edge within reach; those that begin or end at `leaveOut` do not count.
    std::optional<Edge> nearestEdge(ScanPx position, double reachPx,
                                    std::optional<ScanPx> leaveOut = std::nullopt) const;
    /// The outline of the smallest area that holds the position, or has an edge within reach of it: a
    /// posthole within a pit can be reached. `leaveOut` does not count.
    std::optional<std::int64_t> smallestAt(ScanPx position, double reachPx,
                                           std::int64_t leaveOut = 0) const;
    /// Outlines whose boxes meet `box`, by rising id; those smaller than `leastSidePx` need not be among
    /// them.
    std::vector<std::int64_t> meeting(const ScanBox& box, double leastSidePx = 0) const;
    /// Looks at no more of them than it takes to know.
    bool moreMeetThan(std::size_t count, const ScanBox& box) const;

private:
    /// An outline's rings one after the other, with boxes about stretches of edges.
    struct Shape {
        std::int64_t id = 0;
        ScanBox box;
        double areaPx2 = 0;
        std::vector<ScanPx> vertices;
        std::vector<EdgeKind> kinds;
        std::vector<std::uint32_t> next; ///< vertex after each one in its ring
        std::vector<ScanBox> stretches;  ///< about vertices 32 i to 32 i + 31 and the edges that leave them
        bool contains(ScanPx position) const;
        int level = 0;
        std::uint64_t tile = 0;
        std::size_t cell = 0; ///< of the tile
    };
    struct Filed {
        ScanBox box; ///< the shape's, at hand without looking it up
        const Shape* shape = nullptr;
    };
    /// Cells side by side: looking through a strip of the drawing finds eight of them at a time.
    struct Tile {
        static constexpr std::int64_t side = 8;
        static std::size_t cellAt(std::int64_t column, std::int64_t row)
        {
            return static_cast<std::size_t>((row & (side - 1)) * side + (column & (side - 1)));
        }
        std::array<std::vector<Filed>, side * side> cells;
        std::size_t shapes = 0;
    };
    using Level = std::unordered_map<std::uint64_t, Tile>;

    /// `goOnFrom(shape)` is false to stop.
    template<typename Found>
    void eachMeeting(const ScanBox& box, Found goOnFrom, double leastSidePx = 0) const;
    template<typename Visit>
    static void eachEdgeNear(const Shape& shape, const ScanBox& box, Visit visit);
    static std::optional<Edge> nearestEdgeOf(const Shape& shape, ScanPx position, double reachPx,
                                             std::optional<ScanPx> leaveOut);
    void file(Shape& shape);
    void unfile(const Shape& shape);

    std::unordered_map<std::int64_t, std::unique_ptr<Shape>> m_shapes;
    std::map<int, Level> m_levels;
};

} // namespace inkpeg
