// SPDX-License-Identifier: GPL-3.0-or-later
// Posts in a supposed row or ring as a page: the best line or arc, residuals, spacing, and how each post
// stands.
#pragma once

#include <string>
#include <vector>

#include "app/print/TableReport.h"
#include "core/section/Alignment.h"
#include "core/store/Project.h"

namespace inkpeg {

/// Timbers by their numbers, with their surveyed places.
/// Errors: NotFound; BadInput (no place, named twice).
Result<std::vector<AlignedPost>> postsOf(const Project& project, const std::vector<std::string>& numbers);

/// "line at 83.0 degrees from grid north; RMSE 14.3 mm; spacing 0.824 m, deviation 25 mm".
std::string alignmentInWords(const LineAlignment& line);
std::string alignmentInWords(const CircleAlignment& circle);

enum class PostShape { Line, Arc };

/// Errors: as postsOf, alignOnLine and alignOnCircle.
Result<TableReport> postsReport(const Project& project, const std::vector<std::string>& numbers,
                                PostShape shape);

} // namespace inkpeg
