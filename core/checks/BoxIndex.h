// SPDX-License-Identifier: GPL-3.0-or-later
// A packed R-tree over boxes, made once: which boxes meet a box, and which come nearest to a point.
//
// Source: Leutenegger, Lopez & Edgington, STR: a simple and efficient algorithm for R-tree packing, ICDE
// 1997.
#pragma once

#include <cstdint>
#include <queue>
#include <span>
#include <vector>

#include "core/base/Units.h"

namespace inkpeg {

/// Closed on all sides; empty (meets nothing) as made by default.
struct GroundBox {
    double west = 1, south = 1, east = -1, north = -1;

    bool isEmpty() const { return west > east; }
    void take(GroundM point);
    bool meets(const GroundBox& other) const
    {
        return west <= other.east && other.west <= east && south <= other.north && other.south <= north;
    }
    GroundBox grownBy(double metres) const
    {
        return {west - metres, south - metres, east + metres, north + metres};
    }
    double distanceTo(GroundM point) const;
};

GroundBox boxOf(std::span<const GroundM> points);

class BoxIndex {
public:
    BoxIndex() = default;
    /// Items are the indices of `boxes`; empty boxes are never found.
    explicit BoxIndex(std::span<const GroundBox> boxes);

    /// Calls `found(item)` for each box that meets `box`, in no order.
    template<typename Found>
    void eachMeeting(const GroundBox& box, Found found) const
    {
        if (m_nodes.empty())
            return;
        std::uint32_t stack[MostOpen];
        std::uint32_t* top = stack;
        *top++ = static_cast<std::uint32_t>(m_nodes.size() - 1);
        while (top != stack) {
            const Node& node = m_nodes[*--top];
            if (!node.box.meets(box))
                continue;
            for (std::uint32_t child = node.first; child < node.last; ++child) {
                if (!node.isLeaf)
                    *top++ = child;
                else if (m_itemBoxes[child].meets(box))
                    found(static_cast<std::size_t>(m_items[child]));
            }
        }
    }

    /// Goes through the items by rising distance of their boxes from `point` while `go(item, distanceM)`
    /// says so.
    template<typename Go>
    void eachByDistance(GroundM point, Go go) const
    {
        if (m_nodes.empty())
            return;
        struct Waiting {
            double distanceM;
            std::uint32_t index;
            bool isItem;
            bool operator<(const Waiting& other) const { return distanceM > other.distanceM; }
        };
        std::priority_queue<Waiting> queue;
        queue.push(
            {m_nodes.back().box.distanceTo(point), static_cast<std::uint32_t>(m_nodes.size() - 1), false});
        while (!queue.empty()) {
            const Waiting next = queue.top();
            queue.pop();
            if (next.isItem) {
                if (!go(static_cast<std::size_t>(m_items[next.index]), next.distanceM))
                    return;
                continue;
            }
            const Node& node = m_nodes[next.index];
            for (std::uint32_t child = node.first; child < node.last; ++child)
                queue.push({(node.isLeaf ? m_itemBoxes[child] : m_nodes[child].box).distanceTo(point),
                            child, node.isLeaf});
        }
    }

private:
    static constexpr std::size_t Fanout = 16;
    static constexpr std::size_t MostOpen = Fanout * 12; ///< 16^8 items are 8 levels
    struct Node {
        GroundBox box;
        std::uint32_t first = 0, last = 0; ///< into m_nodes, or into m_items for a leaf
        bool isLeaf = true;
    };

    std::vector<std::uint32_t> m_items;
    std::vector<GroundBox> m_itemBoxes; ///< in the order of m_items
    std::vector<Node> m_nodes;          ///< level by level; the last is the root
};

} // namespace inkpeg
