// SPDX-License-Identifier: GPL-3.0-or-later
// Timbers of the register as posts that are thought to stand in a row or ring.
#pragma once

#include <string>
#include <vector>

#include "core/section/Alignment.h"
#include "core/store/Project.h"

namespace inkpeg {

/// Timbers by their numbers, in that order, with their surveyed places.
/// Errors: NotFound; BadInput (no place, named twice).
Result<std::vector<AlignedPost>> surveyedPosts(const Project& project,
                                               const std::vector<std::string>& numbers);

} // namespace inkpeg
