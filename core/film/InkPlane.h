// SPDX-License-Identifier: GPL-3.0-or-later
// A plane of numbers over the cells of an ink map.
#pragma once

#include <algorithm>
#include <cmath>
#include <vector>

namespace inkpeg {

/// Position among the cells: the centre of the first cell is (0.5, 0.5).
struct CellPoint {
    double column = 0, row = 0;
    bool operator==(const CellPoint&) const = default;
};

inline double distance(CellPoint a, CellPoint b)
{
    return std::hypot(a.column - b.column, a.row - b.row);
}

/// Shape: values.size() == width * height, row by row.
struct InkPlane {
    int width = 0, height = 0;
    std::vector<float> values;

    InkPlane() = default;
    InkPlane(int w, int h, float value = 0)
        : width(w), height(h), values(static_cast<std::size_t>(w) * static_cast<std::size_t>(h), value)
    {
    }

    bool holds(int column, int row) const
    {
        return column >= 0 && row >= 0 && column < width && row < height;
    }
    std::size_t index(int column, int row) const
    {
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(width) +
               static_cast<std::size_t>(column);
    }
    float at(int column, int row) const { return values[index(column, row)]; }
    float& at(int column, int row) { return values[index(column, row)]; }

    /// The nearest cell inside for places outside.
    float clamped(int column, int row) const
    {
        return at(std::clamp(column, 0, width - 1), std::clamp(row, 0, height - 1));
    }

    /// Linear between the centres of cells.
    float sample(CellPoint p) const
    {
        const double column = p.column - 0.5, row = p.row - 0.5;
        const double left = std::floor(column), top = std::floor(row);
        const auto across = static_cast<float>(column - left), down = static_cast<float>(row - top);
        const int c = static_cast<int>(left), r = static_cast<int>(top);
        const float upper = clamped(c, r) * (1 - across) + clamped(c + 1, r) * across;
        const float lower = clamped(c, r + 1) * (1 - across) + clamped(c + 1, r + 1) * across;
        return upper * (1 - down) + lower * down;
    }
};

/// `plane` smoothed with a Gauss curve of `sigma` cells.
InkPlane smoothed(const InkPlane& plane, double sigma);

} // namespace inkpeg
