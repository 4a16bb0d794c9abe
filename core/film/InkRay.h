// SPDX-License-Identifier: GPL-3.0-or-later
// A ray from a place to a side of an ink map: what it crosses tells what goes round the place.
#pragma once

#include <cmath>
#include <optional>
#include <vector>

#include "core/film/InkPlane.h"
#include "core/film/InkSkeleton.h"

namespace inkpeg {

/// A ray to one of the four sides. Cells have their centres at whole numbers here; the ray runs between.
struct InkRay {
    bool alongRow = true;
    double sign = 1;
    double from = 0, level = 0;

    InkRay(CellPoint place, int side) : alongRow(side % 2 == 0), sign(side < 2 ? 1 : -1)
    {
        // The centre of cell (c, r) is (c + 0.5, r + 0.5) in the map.
        from = (alongRow ? place.column : place.row) - 0.5;
        level = std::floor(alongRow ? place.row : place.column) - 0.5 + 0.25;
    }

    /// How far from the place, in cells, the straight way between two cells crosses the ray, if it does.
    std::optional<double> crossing(MaskCell a, MaskCell b) const
    {
        const double la = alongRow ? a.row : a.column, lb = alongRow ? b.row : b.column;
        if ((la > level) == (lb > level))
            return std::nullopt;
        const double fa = alongRow ? a.column : a.row, fb = alongRow ? b.column : b.row;
        const double away = sign * (fa + (fb - fa) * (level - la) / (lb - la) - from);
        return away > 0 ? std::optional(away) : std::nullopt;
    }
    bool crossesOddly(const std::vector<MaskCell>& cells) const
    {
        bool odd = false;
        for (std::size_t i = 1; i < cells.size(); ++i)
            odd ^= crossing(cells[i - 1], cells[i]).has_value();
        return odd;
    }
};

} // namespace inkpeg
