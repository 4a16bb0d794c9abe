// SPDX-License-Identifier: GPL-3.0-or-later
// Finished tiles on their way into the file: each is packed and written, and its means go into the tile of
// the next coarser level, which follows as soon as its four are done. So overviews cost no second reading,
// and only few of their tiles are in memory at a time.
#pragma once

#include <map>
#include <memory>
#include <mutex>

#include "core/film/LaidFile.h"
#include "core/film/TilePacker.h"

namespace inkpeg {

class LaidLevels {
public:
    LaidLevels(LaidFile& file, int channels) : m_file(file), m_channels(channels) {}

    /// A tile of the picture. Any thread, each with its own `packer`; each tile once.
    Result<void> put(int column, int row, const LaidPlanes& tile, TilePacker& packer)
    {
        return put(0, column, row, tile, packer);
    }

private:
    struct Parent {
        LaidPlanes planes;
        int childrenLeft = 0;
    };
    struct Key {
        std::size_t level;
        int column, row;
        auto operator<=>(const Key&) const = default;
    };

    Result<void> put(std::size_t level, int column, int row, const LaidPlanes& tile, TilePacker& packer);
    std::shared_ptr<Parent> parentAt(const Key& key);

    LaidFile& m_file;
    int m_channels;
    std::mutex m_mutex;
    std::map<Key, std::shared_ptr<Parent>> m_parents;
};

/// Halves `fine` in both directions into `coarse`, whose first pixel to be written is (column, row): means
/// of the opaque pixels among four; opaque where at least half of those that lie within `valid` columns and
/// rows are.
/// Shape: sides of `fine` are even.
void halveInto(const LaidPlanes& fine, int validWidth, int validHeight, LaidPlanes& coarse, int column,
               int row);

} // namespace inkpeg
