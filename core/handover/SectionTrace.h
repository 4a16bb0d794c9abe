// SPDX-License-Identifier: GPL-3.0-or-later
// A section as it shows on the ground: its line, and along it the stretches in which each context is drawn.
#pragma once

#include <string>
#include <vector>

#include "core/store/DrawingFit.h"

namespace inkpeg {

/// A stretch of the line in which a context is drawn.
struct DrawnSpan {
    std::string context;
    double fromM = 0, toM = 0; ///< along the line
    std::vector<GroundM> line; ///< on the ground, over the bends
    int lane = 0;              ///< spans that overlap lie in lanes of their own, from 0
};

struct SectionTrace {
    std::string drawing;
    std::vector<GroundM> line;    ///< from A over the bends to B
    double facingRad = 0;         ///< the way the face looks, clockwise from grid north
    std::vector<DrawnSpan> spans; ///< by where they begin
};

/// Of an upright drawing with its tie to the ground.
SectionTrace sectionTrace(const Project& project, const Drawing& drawing, const DrawingGround& ground);

} // namespace inkpeg
