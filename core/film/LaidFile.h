// SPDX-License-Identifier: GPL-3.0-or-later
// The GeoTIFF being written: under a temporary name until it is whole.
#pragma once

#include <filesystem>
#include <memory>
#include <mutex>
#include <string>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/film/LayGrid.h"
#include "core/film/Resample.h"

namespace inkpeg {

inline constexpr int LaidTilePx = 256;

class LaidFile {
public:
    /// Errors: BadInput (CRS); OutOfSpace; System.
    static Result<std::unique_ptr<LaidFile>> create(const std::filesystem::path& output,
                                                    const LayGrid& grid, int channels,
                                                    const std::string& crs, const LaySettings& settings);

    /// Removes the temporary file unless finish() succeeded.
    ~LaidFile();
    LaidFile(const LaidFile&) = delete;
    LaidFile& operator=(const LaidFile&) = delete;

    /// One tile, whole even at the right and lower edge. Any thread; tiles in any order.
    Result<void> write(int tileColumn, int tileRow, const LaidPlanes& tile);

    /// Overviews, cloud-optimised layout and world file as asked; then sync and rename.
    Result<void> finish(const Progress& progress);

private:
    struct Open;
    explicit LaidFile(std::unique_ptr<Open> open);
    Result<void> close();
    Result<void> buildOverviews(const Progress& progress);
    Result<void> rearrangeForCloud(const Progress& progress);
    Result<void> writeWorldFile();

    std::mutex m_mutex;
    std::unique_ptr<Open> m_open;
};

} // namespace inkpeg
