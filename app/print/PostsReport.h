// SPDX-License-Identifier: GPL-3.0-or-later
// Posts in a supposed row or ring as a page: the best line or arc, residuals, spacing, how each post stands.
#pragma once

#include <string>
#include <vector>

#include "app/print/TableReport.h"
#include "core/store/Project.h"

namespace inkpeg {

enum class PostShape { Line, Arc };

/// Errors: as surveyedPosts, alignOnLine and alignOnCircle.
Result<TableReport> postsReport(const Project& project, const std::vector<std::string>& numbers,
                                PostShape shape);

} // namespace inkpeg
