// SPDX-License-Identifier: GPL-3.0-or-later
// Decoded tiles of a scan, shared by the threads that lay it; each is decoded once as long as memory
// allows.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <filesystem>
#include <list>
#include <memory>
#include <mutex>
#include <string>
#include <unordered_map>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/film/RawFile.h"
#include "core/film/Scan.h"

namespace inkpeg {

/// 8-bit samples, `channels` interleaved, rows of the full tile width even where the scan ends before.
struct SourceTile {
    std::vector<std::uint8_t> pixels;
    bool damaged = false;
};

/// A part of a scan; beyond its edge the outermost pixels go on.
struct SourcePatch {
    int left = 0, top = 0;     ///< scan position of its first pixel; may be negative
    int width = 0, height = 0; ///< pixels
    std::vector<std::uint8_t> pixels;
    std::vector<std::uint8_t> damaged; ///< 1 for each pixel that could not be read; empty when all could
};

class SourceTiles {
public:
    /// A scan that can be entered anywhere (a tiled TIFF) is read as it is asked for. Any other is decoded
    /// once from top to bottom into a nameless file in `scratchFolder`, which the system keeps in memory
    /// while it can.
    ///
    /// Units:  `budgetBytes` bounds the decoded tiles kept in memory.
    /// Errors: as Scan::open; OutOfSpace, System (scratch file); Cancelled.
    static Result<std::unique_ptr<SourceTiles>> open(const std::filesystem::path& scan, int channels,
                                                     std::size_t budgetBytes,
                                                     const std::filesystem::path& scratchFolder,
                                                     const Progress& progress);

    /// Fills `patch` with the scan from `part` (which may reach beyond it). `reader` is the calling
    /// thread's own.
    void readPatch(const Scan& reader, const PxRect& part, SourcePatch& patch);

    /// Unreadable parts met so far, in words, each once.
    std::vector<std::string> damage() const;

    int tileWidth() const { return m_tileWidth; }
    int tileHeight() const { return m_tileHeight; }
    std::size_t tilesDecoded() const { return m_decoded; }

private:
    using TilePointer = std::shared_ptr<const SourceTile>;
    struct Slot {
        TilePointer tile; ///< empty while a thread decodes it
        std::list<std::int64_t>::iterator age;
    };

    SourceTiles(const Scan& scan, int channels, std::size_t budgetBytes);
    Result<void> spool(const Scan& scan, const std::filesystem::path& folder, const Progress& progress);
    void readRows(const Scan& scan, int firstRow, int rows, std::uint8_t* band);
    TilePointer tile(const Scan& reader, int column, int row);
    std::shared_ptr<SourceTile> decode(const Scan& reader, int column, int row);
    void forgetOldest();
    void noteDamage(const std::string& words);
    std::size_t tileBytes() const;
    void copyTile(const SourceTile& tile, int column, int row, const PxRect& inside,
                  SourcePatch& patch) const;
    void markDamage(const PxRect& inside, SourcePatch& patch) const;
    void extendEdges(const PxRect& inside, SourcePatch& patch) const;

    int m_width, m_height, m_channels;
    int m_tileWidth, m_tileHeight, m_tileColumns, m_tileRows;
    std::size_t m_slotsAtMost;
    RawFile m_spool;
    /// Of a spooled scan, one flag for each row; empty when all are sound.
    std::vector<std::uint8_t> m_rowDamaged;

    mutable std::mutex m_mutex;
    std::condition_variable m_decodedOne;
    std::unordered_map<std::int64_t, Slot> m_slots;
    std::list<std::int64_t> m_ages; ///< most recently used first
    std::vector<std::string> m_damage;
    std::size_t m_decoded = 0;
};

} // namespace inkpeg
