// SPDX-License-Identifier: GPL-3.0-or-later
// Finds room for the numbers on a drawing, as a draughtsman does: clear of lines, marks and other numbers.
#pragma once

#include <optional>
#include <vector>

#include "samples/generator/Demo.h"

namespace inkpeg::demo {

/// A rectangle on the film, mm.
struct FilmBox {
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0;
};

class Labels {
public:
    explicit Labels(const DrawingPlan& drawing);

    void take(const FilmBox& box) { m_taken.push_back(box); }

    /// Lower left corner for a number of the given size: inside its outline if `inside` and there is room,
    /// else beside it. The place counts as taken from then on.
    FilmMm placeFor(const DrawnOutline& outline, double width, double height, bool inside);

private:
    bool isClear(const FilmBox& box, const DrawnOutline& outline, bool inside) const;
    std::optional<FilmBox> within(const DrawnOutline& outline, double width, double height) const;
    std::optional<FilmBox> beside(const DrawnOutline& outline, double width, double height) const;

    const DrawingPlan& m_drawing;
    std::vector<FilmBox> m_taken;
};

} // namespace inkpeg::demo
