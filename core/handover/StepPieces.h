// SPDX-License-Identifier: GPL-3.0-or-later
// Outlines of a stepped section, taken apart where its line steps sideways: what is one area on the film
// stands in two planes that do not meet.
#pragma once

#include <vector>

#include "core/outline/Outline.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

struct StepPiece {
    std::size_t piece = 0; ///< as SectionFrame::toSpace counts them
    std::vector<Part> parts;
};

/// The whole outline as one piece where the line has no step. Edges along a cut are truncated.
/// Errors: System (GEOS gave up: its words); Unsolvable (a step has no place on the film).
Result<std::vector<StepPiece>> cutAtSteps(const std::vector<Part>& parts, const DrawingGround& ground);

} // namespace inkpeg
