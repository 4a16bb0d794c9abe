// SPDX-License-Identifier: GPL-3.0-or-later
// How each drawing was looked at last. Kept among the person's own settings on this computer, not in the
// project: it alters no record, so it is no act, stands in no journal, and serves those who may only read.
#pragma once

#include <filesystem>
#include <string>

#include "app/board/ViewSettings.h"

namespace inkpeg {

/// As scanned, when nothing is remembered.
ViewSettings rememberedView(const std::filesystem::path& projectFile, const std::string& drawingNumber);
void rememberView(const std::filesystem::path& projectFile, const std::string& drawingNumber,
                  const ViewSettings& view);

} // namespace inkpeg
