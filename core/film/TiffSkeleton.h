// SPDX-License-Identifier: GPL-3.0-or-later
// The first bytes of a tiled GeoTIFF: header and directories of the picture and its overviews, with room
// for where each tile will lie. GDAL writes them, as it knows how a CRS is said; the tiles come after, from
// whichever thread has one ready.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/film/Lay.h"
#include "core/film/LayGrid.h"

namespace inkpeg {

inline constexpr int LaidTilePx = 256;

/// One picture of the file: the laid film itself, or an overview of it.
struct TiffLevel {
    int widthPx = 0, heightPx = 0;
    int tileColumns = 0, tileRows = 0;
    std::uint64_t offsetsAt = 0, countsAt = 0;   ///< where in the skeleton each array begins
    std::size_t offsetBytes = 0, countBytes = 0; ///< size of an entry: 2, 4 or 8

    std::size_t tiles() const
    {
        return static_cast<std::size_t>(tileColumns) * static_cast<std::size_t>(tileRows);
    }
};

struct TiffSkeleton {
    std::vector<std::uint8_t> bytes;
    std::vector<TiffLevel> levels; ///< the full picture first, then each half the size of the one before

    /// Writes a tile's place into the arrays. Errors: System (the place does not fit the file's kind).
    Result<void> place(std::size_t level, std::size_t tile, std::uint64_t offset, std::uint64_t count);
};

/// For `settings.cloudOptimised` the layout is told in the header, as readers over a network look for it.
/// Errors: BadInput (CRS); System (GDAL's words).
/// Source: TIFF 6.0, sections 2 and 15; BigTIFF (version number 43, 8-byte offsets); OGC 19-008r4 (GeoTIFF
/// 1.1);
///         OGC 21-026 (Cloud Optimized GeoTIFF).
Result<TiffSkeleton> makeSkeleton(const LayGrid& grid, int channels, const std::string& crs,
                                  const LaySettings& settings);

} // namespace inkpeg
