// SPDX-License-Identifier: GPL-3.0-or-later
// Posts, stakes and piles: a round timber between its top and bottom levels, upright or leaning, as it
// shows in plan and in elevation.
//
//   const Result<UprightTimber> post = uprightTimber({.name = "T-04", .top = {553'120, 6'203'040},
//                                                     .topM = 42.2, .bottomM = 41.4, .diameterM = 0.18});
//   const std::vector<GroundM> seenFromAbove = planOutline(*post);
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/base/Units.h"
#include "core/section/SectionFrame.h"

namespace inkpeg {

/// What a register may say of one. Metres and degrees; the lean is from the vertical, its bearing the way
/// the top leans, clockwise from grid north.
struct TimberAsRecorded {
    std::string name;
    GroundM top; ///< middle of the top
    std::optional<double> topM = {}, bottomM = {}, lengthM = {}, diameterM = {};
    std::optional<double> leanDegrees = {}, leanBearingDegrees = {};
};

/// Complete and consistent: axis from `top` down to `bottom`. Metres, radians.
struct UprightTimber {
    std::string name;
    SpacePoint top, bottom;
    double diameterM = 0; ///< 0 when not recorded
    double leanRad = 0;
    double leanBearingRad = 0;
    double lengthM = 0; ///< of the axis
    /// Length as recorded less length from the levels and the lean, where both are given.
    std::optional<double> lengthMisfitM = {};
};

/// Fills in what follows from the rest: the bottom from top, length and lean, or the length from the levels
/// and the lean; no lean recorded = upright.
/// Errors: BadInput naming the timber: no top level; neither bottom nor length; a bottom above the top; a
///         lean of 90 degrees or more; a lean without its bearing.
Result<UprightTimber> uprightTimber(const TimberAsRecorded& recorded);

/// Its outline from above: the hull of its two ends, each a circle across (a leaning end is an ellipse by
/// less than the cosine of the lean; it is drawn as the circle of its diameter). Counter-clockwise; a
/// polygon of `corners` for each circle. Empty without a diameter.
std::vector<GroundM> planOutline(const UprightTimber& timber, int corners = 32);

/// Its outline on a section: the axis seen square to the line at its foot, as wide as its diameter.
/// Counter-clockwise from the bottom left; without a diameter the axis alone, two points.
std::vector<SectionPoint> elevationOutline(const UprightTimber& timber, const SectionFrame& frame);

} // namespace inkpeg
