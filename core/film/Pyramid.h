// SPDX-License-Identifier: GPL-3.0-or-later
// A scan at every size, for looking at: level 0 is the scan itself, each further level half as wide and
// high.
//
//   auto cache = std::make_shared<TileCache>();                       // one for the whole program, 256 MiB
//   auto pyramid = TilePyramid::open(scanFile, projectFolder / TilePyramid::FolderName, cache, sha256);
//   if (!(*pyramid)->isBuilt())
//       (*pyramid)->startBuilding([](double share) { ...; return true; });   // own thread
//   Result<RgbImage> coarse = (*pyramid)->firstLook(1024);            // from the coarsest level that
//   serves PyramidTilePointer tile = (*pyramid)->cached({level, column, row});        // never waits tile =
//   (*pyramid)->tile({level, column, row});               // decodes; for a thread that may wait
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/film/Scan.h"
#include "core/film/TileCache.h"

namespace inkpeg {

/// Place of a tile: its level, and its column and row in tiles of TilePyramid::TilePx.
struct TilePlace {
    int level = 0, column = 0, row = 0;
    bool operator==(const TilePlace&) const = default;
};

/// Thread-safe; built levels are kept in one file named after the SHA-256 of the scan, and never touch the
/// scan.
class TilePyramid {
public:
    static constexpr int TilePx = 256;
    static constexpr const char* FolderName = ".inkpeg-cache"; ///< beside the project file

    /// Opens the scan, and its built levels where `cacheFolder` has them and they belong to this scan (same
    /// SHA-256, size and time of change). `sha256` is computed when empty, which reads the whole file.
    /// Errors: as Scan::open.
    static Result<std::shared_ptr<TilePyramid>> open(const std::filesystem::path& scanFile,
                                                     const std::filesystem::path& cacheFolder,
                                                     std::shared_ptr<TileCache> cache,
                                                     std::string sha256 = {});
    ~TilePyramid(); ///< stops building; a pyramid that was not finished leaves nothing
    TilePyramid(const TilePyramid&) = delete;
    TilePyramid& operator=(const TilePyramid&) = delete;

    const ScanFacts& facts() const { return m_facts; }
    int channels() const { return m_channels; }

    /// Levels there are when built: the coarsest fits into one tile.
    int levels() const;
    int levelWidth(int level) const; ///< pixels; half of the level below, rounded up
    int levelHeight(int level) const;

    /// True when every level can be read.
    bool isBuilt() const { return m_built; }

    /// Builds all levels on the calling thread and its helpers (`threads`, 0 = one for each core). Returns
    /// at once when built. Unreadable parts of the scan become white and are listed by damage(). Errors:
    /// OutOfSpace; System; Cancelled.
    Result<void> build(const Progress& progress = {}, int threads = 0);

    /// build() on a thread of its own, which gives way to all others and ends with the pyramid. `done` is
    /// called from that thread and must not let go of the last pointer to the pyramid.
    void startBuilding(Progress progress, std::function<void(const Result<void>&)> done = {},
                       int threads = 0);

    /// The tile if it is in memory; never waits for a disk or a decoder.
    PyramidTilePointer cached(const TilePlace& place) const;

    /// The tile from memory, from the built levels, or (level 0, and finer levels of a scan that is not
    /// built yet) from the scan. Nothing when there is no such tile, or when it would have to be made from
    /// more than 16 tiles of the scan before the pyramid is built.
    PyramidTilePointer tile(const TilePlace& place);

    /// The whole scan at most `longestSidePx` long: from the built levels, or by averaging the scan on all
    /// cores. Errors: System (reading).
    Result<RgbImage> firstLook(int longestSidePx);

    /// Unreadable parts met so far, in words.
    std::vector<std::string> damage() const;
    /// The tiles of the finest kept level that hold such parts, in scan pixels.
    std::vector<PxRect> damagedParts() const;

private:
    struct Index;
    TilePyramid() = default;
    PyramidTilePointer readBuilt(const TilePlace& place) const;
    PyramidTilePointer readScan(const TilePlace& place);
    Result<RgbImage> lookFromLevels(int level, int width, int height);
    Result<RgbImage> lookFromScan(int width, int height) const;
    bool openBuilt();
    void noteDamage(const std::vector<std::string>& words, const std::vector<PxRect>& parts);

    std::filesystem::path m_scanFile;
    std::filesystem::path m_file; ///< of the built levels
    ScanFacts m_facts;
    int m_channels = 1;
    std::uint64_t m_id = 0;
    std::uint64_t m_scanBytes = 0;
    std::int64_t m_scanChanged = 0; ///< time of change, as the file system counts it
    std::shared_ptr<TileCache> m_cache;

    std::atomic<bool> m_built{false};
    std::unique_ptr<Index> m_index; ///< set before m_built
    mutable std::mutex m_mutex;
    std::vector<Scan> m_idleReaders;
    std::vector<std::string> m_damage;
    std::vector<PxRect> m_damagedParts;
    std::atomic<bool> m_stop{false};
    std::mutex m_building;
    std::thread m_builder;
};

} // namespace inkpeg
