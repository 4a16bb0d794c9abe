// SPDX-License-Identifier: GPL-3.0-or-later
// The pencil lines of an ink map as chains one cell wide.
#pragma once

#include <cstdint>
#include <vector>

#include "core/film/InkMap.h"

namespace inkpeg {

/// A cell that is set or not, over the cells of an ink map.
struct CellMask {
    int width = 0, height = 0;
    std::vector<std::uint8_t> set;

    CellMask() = default;
    CellMask(int w, int h)
        : width(w), height(h), set(static_cast<std::size_t>(w) * static_cast<std::size_t>(h), 0)
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
    bool at(int column, int row) const { return holds(column, row) && set[index(column, row)] != 0; }
};

struct MaskCell {
    int column = 0, row = 0;
    bool operator==(const MaskCell&) const = default;
};

/// Cells on a line: sure ones, and weaker ones joined to them; runs shorter than `shortestMm` are dropped,
/// pinholes filled.
CellMask inkMask(const InkMap& map, double shortestMm);

/// `mask` thinned to chains one cell wide that join as the mask joined (eight neighbours), without the
/// corners of stairs.
/// Source: Guo & Hall, Parallel thinning with two-subiteration algorithms, Comm. ACM 32 (1989), algorithm
/// A1 (from memory). (That of Zhang & Suen, 1984, eats slanting strokes of even width from their ends: more
/// than a millimetre of a dash.)
CellMask skeletonOf(CellMask mask);

/// `skeleton` without what hangs together in a few cells only: crumbs of lines cut away.
CellMask withoutCrumbs(CellMask skeleton);

} // namespace inkpeg
