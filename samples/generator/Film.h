// SPDX-License-Identifier: GPL-3.0-or-later
// The film itself as a scanner sees it: its tone, printed millimetre grid, smudges and tape, with the
// pencil on top.
#pragma once

#include <filesystem>

#include "samples/generator/Demo.h"
#include "samples/generator/Pencil.h"

namespace inkpeg::demo {

/// Pixels of a finished scan, bands one after the other.
struct ScanImage {
    int width = 0, height = 0, bands = 1;
    std::vector<std::uint8_t> pixels;
};

ScanImage exposeSheet(const SheetPlan& sheet, const Graphite& graphite);

/// Writes TIFF (tiles or strips, DEFLATE), JPEG (quality 75) or PNG through GDAL, as the sheet says.
/// Returns an empty text, or what went wrong.
std::string writeScan(const SheetPlan& sheet, const ScanImage& image, const std::filesystem::path& file);

} // namespace inkpeg::demo
