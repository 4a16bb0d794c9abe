// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>

#include "core/base/Result.h"

namespace inkpeg {

/// Writes a file under another name first, so that a reader never meets half of it; a former one is
/// replaced. Errors: OutOfSpace; System.
Result<void> writeWhole(const std::filesystem::path& file, const std::string& bytes);

} // namespace inkpeg
