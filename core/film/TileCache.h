// SPDX-License-Identifier: GPL-3.0-or-later
// Decoded tiles in memory, the least recently used thrown out first.
#pragma once

#include <compare>
#include <cstdint>
#include <list>
#include <map>
#include <memory>
#include <mutex>
#include <vector>

namespace inkpeg {

/// One tile of a level of a pyramid.
struct PyramidTile {
    int width = 0; ///< less than a whole tile at the right and lower edge
    int height = 0;
    int channels = 1;                 ///< 1 = grey, 3 = red, green, blue
    std::vector<std::uint8_t> pixels; ///< interleaved, row by row without gaps
    bool damaged = false;             ///< holds a part of the scan that cannot be read; that part is white
};

using PyramidTilePointer = std::shared_ptr<const PyramidTile>;

struct TileKey {
    std::uint64_t pyramid = 0;
    int level = 0, column = 0, row = 0;
    auto operator<=>(const TileKey&) const = default;
};

/// Thread-safe. One cache serves all pyramids, so that memory is bounded however many drawings are shown.
class TileCache {
public:
    explicit TileCache(std::size_t budgetBytes = std::size_t{256} << 20) : m_budget(budgetBytes) {}

    /// The tile, or nothing; a tile that was found becomes the most recently used.
    PyramidTilePointer find(const TileKey& key);
    void keep(const TileKey& key, PyramidTilePointer tile);
    void forgetPyramid(std::uint64_t pyramid);
    std::size_t bytesHeld() const;

private:
    struct Held {
        PyramidTilePointer tile;
        std::list<TileKey>::iterator age;
    };
    void drop(std::map<TileKey, Held>::iterator held);

    mutable std::mutex m_mutex;
    std::size_t m_budget;
    std::size_t m_bytes = 0;
    std::map<TileKey, Held> m_held;
    std::list<TileKey> m_ages; ///< most recently used first
};

} // namespace inkpeg
