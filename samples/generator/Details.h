// SPDX-License-Identifier: GPL-3.0-or-later
// What is drawn inside outlines and is no outline of a context: hachures of cuts, stones of walls.
#pragma once

#include <vector>

#include "samples/generator/Demo.h"

namespace inkpeg::demo {

/// A short tapering stroke down a slope: the first half is pressed harder.
struct HachureStroke {
    FilmMm from, middle, to;
};

struct OutlineDetails {
    std::vector<HachureStroke> hachures;
    std::vector<std::vector<Metres>> stones; ///< closed lines, the first place not repeated
};

/// Of each outline of the drawing, in their order.
std::vector<OutlineDetails> detailsOf(const DrawingPlan& drawing);

} // namespace inkpeg::demo
