// SPDX-License-Identifier: GPL-3.0-or-later
// Packs the tiles of a laid picture, on whatever thread has just made them.
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "core/film/Lay.h"
#include "core/film/Resample.h"

namespace inkpeg {

/// The levels that GDAL uses unless told otherwise, so that a comparison with it is one of equals.
inline constexpr int DeflateLevel = 6;
inline constexpr int ZstdLevel = 9;

/// One for each thread.
class TilePacker {
public:
    explicit TilePacker(Packing packing);
    ~TilePacker();
    TilePacker(TilePacker&&) noexcept;

    /// The samples of a tile interleaved pixel by pixel (channels, then alpha), packed as the file keeps
    /// them; valid until the next call. Empty when the library refuses, which it does for want of memory.
    /// Source: TIFF 6.0, section 15 (tiles); TIFF Technical Note 3 / RFC 1950 (DEFLATE, tag value 8);
    ///         RFC 8878 (Zstandard; tag value 50000 as registered with libtiff).
    const std::vector<std::uint8_t>& pack(const LaidPlanes& tile);

private:
    struct Libraries;
    void interleave(const LaidPlanes& tile);

    Packing m_packing;
    std::unique_ptr<Libraries> m_libraries;
    std::vector<std::uint8_t> m_samples, m_packed;
};

} // namespace inkpeg
