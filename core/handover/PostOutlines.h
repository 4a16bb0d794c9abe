// SPDX-License-Identifier: GPL-3.0-or-later
// Upright timbers as a plan or a section shows them: by their outlines, from above or square on.
#pragma once

#include <string>
#include <vector>

#include "core/section/SectionFrame.h"
#include "core/store/Project.h"

namespace inkpeg {

struct PostOutline {
    std::string timber, context;
    std::vector<GroundM> ring; ///< ground metres; on a face, distance along the line and level
};

/// Every timber that stands and has a diameter.
std::vector<PostOutline> postsFromAbove(const Project& project);

/// Those that stand within half a metre of a section's line, between its ends (common practice, no source).
/// Without a diameter the axis alone, two places.
std::vector<PostOutline> postsOnFace(const Project& project, const SectionFrame& frame);

} // namespace inkpeg
