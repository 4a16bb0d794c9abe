// SPDX-License-Identifier: GPL-3.0-or-later
// Finds and reads the scan that the sheet register names.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/records/Records.h"

namespace inkpeg {

/// Puts the scan's path (relative to `projectFolder`), size, resolution and digest into `sheet`.
/// `written` is looked for in each of `folders` in turn. The resolution is the file's own; `dpi` counts
/// where the file says none, or something else by more than 1 %, which is then told in `remarks`. Errors:
/// NotFound naming the places looked at; BadInput (no scan, cut short; or nobody says its resolution).
Result<void> readSheetScan(Sheet& sheet, const std::string& written, std::optional<double> dpi,
                           const std::filesystem::path& projectFolder,
                           const std::vector<std::filesystem::path>& folders,
                           std::vector<std::string>& remarks);

} // namespace inkpeg
