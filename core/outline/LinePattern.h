// SPDX-License-Identifier: GPL-3.0-or-later
// The line patterns of edge kinds as plain geometry, for the board and for print alike: dashes that run on
// over vertices, and ticks across the line.
//
//   for (const auto& line : layPattern(ring, true, patternOf(EdgeKind::Uncertain)).lines) draw(line);
#pragma once

#include <span>
#include <utility>
#include <vector>

#include "core/base/Units.h"
#include "core/outline/Outline.h"

namespace inkpeg {

/// Units: millimetres on the paper or screen.
struct LinePattern {
    std::vector<double> dashesMm; ///< stroke, gap, stroke, gap, ...; empty = an unbroken line
    double tickEveryMm = 0;       ///< 0 = no ticks
    double tickLengthMm = 0;      ///< half of it on either side of the line
    bool operator==(const LinePattern&) const = default;
};

/// Certain: unbroken. Uncertain: dashes. Truncated: dash and dot. Limit of excavation: long dashes with
/// ticks. Beyond the sheet: dots. (Unbroken for sure and broken for unsure edges: common practice, no
/// source; the other patterns are this program's own.)
LinePattern patternOf(EdgeKind kind);

/// Positions in millimetres on paper, x right, y either way.
using PaperLine = std::vector<FilmMm>;

struct PatternStrokes {
    std::vector<PaperLine> lines;
    std::vector<std::pair<FilmMm, FilmMm>> ticks;
};

/// The strokes of a line or ring (its first vertex not repeated). The pattern begins at the first vertex
/// and does not begin again at the others; a tick stands in the middle of each `tickEveryMm`.
PatternStrokes layPattern(std::span<const FilmMm> vertices, bool closed, const LinePattern& pattern);

/// A stretch of a ring or line with edges of one kind. Shape: vertices.size() >= 2; a ring of one kind is
/// one closed stretch without its first vertex repeated.
struct KindStretch {
    EdgeKind kind = EdgeKind::Certain;
    std::vector<std::size_t> vertices; ///< indices into the ring
    bool closed = false;
};

/// The stretches of a ring, beginning where the kind changes.
std::vector<KindStretch> kindStretches(std::span<const EdgeKind> kindsOfRing);

} // namespace inkpeg
