// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/RingVisits.h"

#include <algorithm>

namespace inkpeg {

FootOnEdge footOnEdge(ScanPx position, ScanPx a, ScanPx b)
{
    const double columns = b.column - a.column, rows = b.row - a.row;
    const double squared = columns * columns + rows * rows;
    if (squared == 0)
        return {distance(position, a), 0};
    const double along = std::clamp(
        ((position.column - a.column) * columns + (position.row - a.row) * rows) / squared, 0.0, 1.0);
    return {distance(position, {a.column + along * columns, a.row + along * rows}), along};
}

void ScanBox::take(ScanPx position)
{
    if (isEmpty()) {
        *this = {position.column, position.row, position.column, position.row};
        return;
    }
    left = std::min(left, position.column);
    right = std::max(right, position.column);
    top = std::min(top, position.row);
    bottom = std::max(bottom, position.row);
}

void ScanBox::take(const ScanBox& other)
{
    if (other.isEmpty())
        return;
    take(ScanPx{other.left, other.top});
    take(ScanPx{other.right, other.bottom});
}

ScanBox boxOf(std::span<const ScanPx> positions)
{
    ScanBox box;
    for (const ScanPx& position : positions)
        box.take(position);
    return box;
}

ScanBox boxOf(std::span<const Part> parts)
{
    ScanBox box;
    for (const Part& part : parts)
        for (const ScanPx& vertex : part.outer.vertices)
            box.take(vertex);
    return box;
}

} // namespace inkpeg
