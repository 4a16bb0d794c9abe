// SPDX-License-Identifier: GPL-3.0-or-later
// The GeoTIFF being written: under a temporary name until it is whole.
#pragma once

#include <atomic>
#include <filesystem>
#include <memory>
#include <span>
#include <string>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/film/LayGrid.h"
#include "core/film/RawFile.h"
#include "core/film/TiffSkeleton.h"

namespace inkpeg {

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

    /// The picture, then its overviews.
    const std::vector<TiffLevel>& levels() const { return m_skeleton.levels; }

    /// One packed tile. Any thread; each tile once, in any order. Errors: OutOfSpace; System.
    Result<void> write(std::size_t level, std::size_t tile, std::span<const std::uint8_t> packed);

    /// Brings the tiles into order where the cloud-optimised layout asks for it, writes the directory, the
    /// world file as asked; then syncs and renames. Errors: OutOfSpace; System; Cancelled.
    Result<void> finish(const Progress& progress);

    /// What went wrong while working for this file, in words that name it.
    Error trouble(const Error& error) const;

private:
    struct Place {
        std::uint64_t offset = 0;
        std::uint32_t bytes = 0;
    };

    LaidFile(const std::filesystem::path& output, const LayGrid& grid, const LaySettings& settings,
             TiffSkeleton skeleton);
    Result<void> arrange(const Progress& progress);
    Result<void> writeDirectory();
    Result<void> writeWorldFile();

    std::filesystem::path m_output, m_temporary;
    LayGrid m_grid;
    bool m_cloud, m_worldFile;
    TiffSkeleton m_skeleton;
    RawFile m_file;
    RawFile m_unordered; ///< the tiles as they come, where their order in the file is given
    std::vector<std::vector<Place>> m_places;
    std::atomic<std::uint64_t> m_end;
    bool m_renamed = false;
};

} // namespace inkpeg
