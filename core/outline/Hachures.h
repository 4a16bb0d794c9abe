// SPDX-License-Identifier: GPL-3.0-or-later
// Hachures between the top and the bottom of a slope, as plain geometry for the board and for print.
//
// A hachure begins at the top with a head and tapers down the slope; long ones reach the bottom, and
// between two long ones stands one of half the length. The steeper, the closer they stand. (Heads at the
// top, long and short by turns, closer where steeper: common practice, no source.)
#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/Units.h"

namespace inkpeg {

/// One hachure, in millimetres on paper.
struct Hachure {
    FilmMm head, tail;
    double headWidthMm = 0;
    bool isLong = true;

    /// The tapering stroke: the two corners of the head, then the tail.
    std::array<FilmMm, 3> wedge() const;
    bool operator==(const Hachure&) const = default;
};

struct HachureStyle {
    double headWidthMm = 0.6;
    double closestMm = 1.2;  ///< between hachures on a slope of 60 degrees and steeper
    double widestMm = 4.0;   ///< on one of 5 degrees and less
    double loneLengthMm = 5; ///< where there is no bottom line: the slope runs to the right of the top line
};

/// Slope from a drop and a run of the ground, in radians; 0 for no run.
double slopeRad(double dropM, double runM);

/// Spacing on paper for a slope: closestMm to widestMm, in proportion to the angle.
double hachureSpacingMm(double slopeRad, const HachureStyle& style = {});

/// Hachures from `top` down to `bottom`, both in millimetres on paper at 1 : scaleDenominator.
///
/// Shape:  lines of 2 vertices or more; a line whose last vertex is its first is closed. Without a bottom
///         line short ones of loneLengthMm hang on the right of the top line.
/// Each tail is the place of the bottom line nearest to its head; one that would cross the hachure before
/// it is left out. With `dropM` the slope is that of the ground, drop over run; without it, the spacing is
/// a third of the length on paper, within the style's bounds.
std::vector<Hachure> hachures(std::span<const FilmMm> top, std::span<const FilmMm> bottom,
                              double scaleDenominator, std::optional<double> dropM,
                              const HachureStyle& style = {});

/// A break of slope as drawn, in millimetres on paper.
struct SlopeBreak {
    std::string context;
    bool isTop = true;
    std::vector<FilmMm> line;
};

struct LevelOnPaper {
    FilmMm at;
    double levelM = 0;
};

/// How far from a break of slope a written level may stand and still be its own, on film (common practice,
/// no source).
inline constexpr double LevelReachMm = 15;

/// The hachures of one top among the breaks and levels of its drawing: down to the bottom of the same
/// context that begins nearest to it, by the drop between the levels written nearest to the two lines, each
/// within `reachMm`.
std::vector<Hachure> hachuresBelow(const SlopeBreak& top, std::span<const SlopeBreak> breaks,
                                   std::span<const LevelOnPaper> levels, double scaleDenominator,
                                   double reachMm);

} // namespace inkpeg
