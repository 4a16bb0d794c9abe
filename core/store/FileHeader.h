// SPDX-License-Identifier: GPL-3.0-or-later
// Tells by its first bytes whether a file can be a project, and what else it looks like.
#pragma once

#include <filesystem>

#include "core/base/Result.h"

namespace inkpeg {

/// Errors: NotFound; System; BadInput saying what the file is instead of an SQLite database.
Result<void> checkHeader(const std::filesystem::path& file);

} // namespace inkpeg
