// SPDX-License-Identifier: GPL-3.0-or-later
// Where the name of a mark may stand on a page: rooms about it, to be weighed against what they would hide.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "app/print/ResidualPicture.h"

namespace inkpeg {

/// The room that a name takes on the page.
struct LabelBox {
    double left = 0, right = 0, top = 0, bottom = 0;
    double preference = 0; ///< small: decides only between places that hide nothing

    bool meets(const LabelBox& other) const
    {
        return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
    }
    bool holds(PageMm at, double marginMm) const
    {
        return at.x > left - marginMm && at.x < right + marginMm && at.y > top - marginMm &&
               at.y < bottom + marginMm;
    }

    /// Places about a mark, on three rings, right above first.
    static std::vector<LabelBox> around(PageMm at, const std::string& name)
    {
        constexpr double LetterMm = 1.75, HeightMm = 2.9; // of the labels' 7.5 points, bold
        const double width = LetterMm * static_cast<double>(name.size());
        std::vector<LabelBox> boxes;
        for (const double away : {1.7, 4.2, 7.5})
            for (const auto& [x, y] :
                 {std::pair{1, -1}, {-1, -1}, {1, 1}, {-1, 1}, {1, 0}, {-1, 0}, {0, -1}, {0, 1}}) {
                const double left = at.x + (x > 0 ? away : x < 0 ? -away - width : -width / 2);
                const double top = at.y + (y > 0   ? away - 0.9
                                           : y < 0 ? -away - HeightMm + 0.9
                                                   : -HeightMm / 2);
                boxes.push_back({left, left + width, top, top + HeightMm, 0.01 * double(boxes.size())});
            }
        return boxes;
    }
};

} // namespace inkpeg
