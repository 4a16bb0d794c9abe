// SPDX-License-Identifier: GPL-3.0-or-later
// Skelder Rigg as a project that is registered, pinned and traced: its registers and true outlines without
// the pixels of its scans.
#pragma once

#include <filesystem>

#include "core/store/Project.h"

namespace inkpeg::demoproject {

/// Throws std::runtime_error when the project refuses an act.
Project make(const std::filesystem::path& file);

} // namespace inkpeg::demoproject
