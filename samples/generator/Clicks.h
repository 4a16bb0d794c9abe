// SPDX-License-Identifier: GPL-3.0-or-later
// Where an illustrator would click to have the outlines of the demo traced: a place inside each outline,
// and way-points along those that run off the sheet. Never the outline itself.
#pragma once

#include <filesystem>

#include "samples/generator/Demo.h"

namespace inkpeg::demo {

/// One click. `way` is "area" (inside an outline), or how the line goes on from here to the next click:
/// "ink" (follow the pencil) or "straight".
struct Click {
    std::string drawing, context, way, edge;
    ScanPx at;
    int wider = 0; ///< so many times the next wider of the outlines around the place was asked for
};

/// A place inside an outline, chosen by chance among those well clear of every edge, stone, timber and
/// find, outside smaller outlines and stones if there is room.
Click clickInside(const Demo& demo, const DrawingPlan& drawing, const DrawnOutline& outline);

/// As an illustrator would: one click inside where all edges are of one kind, else way-points along the
/// line, one wherever the kind changes and about every 4 cm; they miss it by 0.1 mm in each direction.
std::vector<Click> clicksFor(const Demo& demo, const DrawingPlan& drawing, const DrawnOutline& outline);

/// Writes tracing/seeds.csv (clicksFor every outline) and tracing/areas.csv (clickInside every outline that
/// is drawn all round) for `inkpeg trace`. Returns an empty text, or what went wrong.
std::string writeClicks(const Demo& demo, const std::filesystem::path& folder);

} // namespace inkpeg::demo
