// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/BoxIndex.h"

#include <algorithm>
#include <cmath>

namespace inkpeg {

void GroundBox::take(GroundM point)
{
    if (isEmpty()) {
        *this = {point.east, point.north, point.east, point.north};
        return;
    }
    west = std::min(west, point.east);
    east = std::max(east, point.east);
    south = std::min(south, point.north);
    north = std::max(north, point.north);
}

double GroundBox::distanceTo(GroundM point) const
{
    const double aside = std::max({west - point.east, 0.0, point.east - east});
    const double upright = std::max({south - point.north, 0.0, point.north - north});
    return std::hypot(aside, upright);
}

GroundBox boxOf(std::span<const GroundM> points)
{
    GroundBox box;
    for (const GroundM point : points)
        box.take(point);
    return box;
}

BoxIndex::BoxIndex(std::span<const GroundBox> boxes)
{
    for (std::size_t i = 0; i < boxes.size(); ++i)
        if (!boxes[i].isEmpty())
            m_items.push_back(static_cast<std::uint32_t>(i));
    if (m_items.empty())
        return;
    // Vertical slices by east, each sorted by north, so that consecutive items lie together.
    const auto byEast = [&](std::uint32_t a, std::uint32_t b) {
        return boxes[a].west + boxes[a].east < boxes[b].west + boxes[b].east;
    };
    const auto byNorth = [&](std::uint32_t a, std::uint32_t b) {
        return boxes[a].south + boxes[a].north < boxes[b].south + boxes[b].north;
    };
    std::sort(m_items.begin(), m_items.end(), byEast);
    const double leaves = std::ceil(static_cast<double>(m_items.size()) / Fanout);
    const std::size_t slice = static_cast<std::size_t>(std::ceil(std::sqrt(leaves))) * Fanout;
    for (std::size_t begin = 0; begin < m_items.size(); begin += slice)
        std::sort(m_items.begin() + static_cast<std::ptrdiff_t>(begin),
                  m_items.begin() + static_cast<std::ptrdiff_t>(std::min(begin + slice, m_items.size())),
                  byNorth);
    for (const std::uint32_t item : m_items)
        m_itemBoxes.push_back(boxes[item]);

    const auto extend = [](GroundBox& box, const GroundBox& by) {
        box.take({by.west, by.south});
        box.take({by.east, by.north});
    };
    const auto group = [&](std::size_t begin, std::size_t end, bool isLeaf) {
        for (std::size_t first = begin; first < end; first += Fanout) {
            Node node;
            node.first = static_cast<std::uint32_t>(first);
            node.last = static_cast<std::uint32_t>(std::min(first + Fanout, end));
            node.isLeaf = isLeaf;
            for (std::uint32_t child = node.first; child < node.last; ++child)
                extend(node.box, isLeaf ? m_itemBoxes[child] : m_nodes[child].box);
            m_nodes.push_back(node);
        }
    };
    group(0, m_items.size(), true);
    for (std::size_t begin = 0, end = m_nodes.size(); end - begin > 1; begin = end, end = m_nodes.size())
        group(begin, end, false);
}

} // namespace inkpeg
