// SPDX-License-Identifier: GPL-3.0-or-later
// The file that keeps the built levels of a scan: a cache on this machine, rebuilt whenever it does not
// fit.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/film/RawFile.h"
#include "core/film/Scan.h"
#include "core/film/TileCache.h"

namespace inkpeg {

/// What the levels belong to and how they are cut.
struct PyramidShape {
    std::int32_t width = 0, height = 0; ///< of the scan
    std::int32_t channels = 1;
    std::int32_t levels = 1;
    std::int32_t firstLevel = 1; ///< 0 when the scan itself cannot be entered anywhere
    std::uint64_t scanBytes = 0;
    std::int64_t scanChanged = 0;

    int levelWidth(int level) const;
    int levelHeight(int level) const;
    int tileColumns(int level) const;
    int tileRows(int level) const;
    bool operator==(const PyramidShape&) const = default;
};

PyramidShape pyramidShape(const ScanFacts& facts, int channels);

class PyramidFile {
public:
    /// The levels in `file`, or nothing unless they are whole and of this shape.
    static std::unique_ptr<PyramidFile> open(const std::filesystem::path& file, const PyramidShape& shape);

    /// The tile, or nothing when there is none or it cannot be read.
    PyramidTilePointer tile(int level, int column, int row) const;
    const std::vector<std::string>& damage() const { return m_damage; }
    /// The tiles of the finest level kept here that hold damage, in scan pixels.
    std::vector<PxRect> damagedParts() const;
    bool hasLevel(int level) const { return level >= m_shape.firstLevel && level < m_shape.levels; }

    struct Entry {
        std::uint64_t offset = 0;
        std::uint32_t length = 0;
        std::uint32_t damaged = 0;
    };

private:
    PyramidShape m_shape;
    std::vector<Entry> m_entries;
    std::vector<std::string> m_damage;
    RawFile m_file;
};

/// Reads the scan once from top to bottom, halves it as often as needed, and writes the file under a
/// temporary name that becomes `file` when all is written. Errors: as Scan::open; OutOfSpace; System;
/// Cancelled.
Result<void> buildPyramidFile(const std::filesystem::path& scan, const PyramidShape& shape,
                              const std::filesystem::path& file, int threads, const Progress& progress);

/// Means of 2 x 2 pixels; at an odd edge of what there is.
std::vector<std::uint8_t> halveRows(const std::vector<std::uint8_t>& rows, int width, int height,
                                    int channels);

} // namespace inkpeg
