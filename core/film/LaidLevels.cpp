// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/LaidLevels.h"

#include <algorithm>

namespace inkpeg {
namespace {

bool isBlank(const LaidPlanes& tile)
{
    const auto& alpha = tile.planes[static_cast<std::size_t>(tile.channels)];
    return std::all_of(alpha.begin(), alpha.end(), [](std::uint8_t a) { return a == 0; });
}

} // namespace

void halveInto(const LaidPlanes& fine, int validWidth, int validHeight, LaidPlanes& coarse, int column,
               int row)
{
    const auto channels = static_cast<std::size_t>(fine.channels);
    const auto width = static_cast<std::size_t>(fine.width);
    const std::uint8_t* alpha = fine.planes[channels].data();
    for (int y = 0; 2 * y < validHeight; ++y)
        for (int x = 0; 2 * x < validWidth; ++x) {
            const std::size_t first =
                2 * static_cast<std::size_t>(y) * width + 2 * static_cast<std::size_t>(x);
            const std::size_t four[] = {first, first + 1, first + width, first + width + 1};
            const bool right = 2 * x + 1 < validWidth, below = 2 * y + 1 < validHeight;
            const unsigned weights[] = {alpha[four[0]] != 0, right && alpha[four[1]] != 0,
                                        below && alpha[four[2]] != 0,
                                        right && below && alpha[four[3]] != 0};
            const unsigned opaque = weights[0] + weights[1] + weights[2] + weights[3];
            const unsigned present = (right ? 2U : 1U) * (below ? 2U : 1U);
            if (2 * opaque < present || opaque == 0)
                continue;
            const std::size_t at =
                static_cast<std::size_t>(row + y) * static_cast<std::size_t>(coarse.width) +
                static_cast<std::size_t>(column + x);
            for (std::size_t c = 0; c < channels; ++c) {
                unsigned sum = opaque / 2;
                for (std::size_t k = 0; k < 4; ++k)
                    sum += weights[k] * fine.planes[c][four[k]];
                coarse.planes[c][at] = static_cast<std::uint8_t>(sum / opaque);
            }
            coarse.planes[channels][at] = 255;
        }
}

std::shared_ptr<LaidLevels::Parent> LaidLevels::parentAt(const Key& key)
{
    const std::lock_guard lock(m_mutex);
    std::shared_ptr<Parent>& parent = m_parents[key];
    if (!parent) {
        parent = std::make_shared<Parent>();
        parent->planes.clear({0, 0, LaidTilePx, LaidTilePx}, m_channels);
        const TiffLevel& below = m_file.levels()[key.level - 1];
        parent->childrenLeft =
            std::min(2, below.tileColumns - 2 * key.column) * std::min(2, below.tileRows - 2 * key.row);
    }
    return parent;
}

Result<void> LaidLevels::put(std::size_t level, int column, int row, const LaidPlanes& tile,
                             TilePacker& packer)
{
    const TiffLevel& here = m_file.levels()[level];
    const std::size_t index = static_cast<std::size_t>(row) * static_cast<std::size_t>(here.tileColumns) +
                              static_cast<std::size_t>(column);
    if (Result<void> written = m_file.write(level, index, packer.pack(tile)); !written)
        return written;
    if (level + 1 >= m_file.levels().size())
        return {};
    const Key key{level + 1, column / 2, row / 2};
    const std::shared_ptr<Parent> parent = parentAt(key);
    // The four write to four different quarters: no lock is needed for that.
    if (!isBlank(tile))
        halveInto(tile, std::min(LaidTilePx, here.widthPx - column * LaidTilePx),
                  std::min(LaidTilePx, here.heightPx - row * LaidTilePx), parent->planes,
                  column % 2 * LaidTilePx / 2, row % 2 * LaidTilePx / 2);
    {
        const std::lock_guard lock(m_mutex);
        if (--parent->childrenLeft > 0)
            return {};
        m_parents.erase(key);
    }
    return put(key.level, key.column, key.row, parent->planes, packer);
}

} // namespace inkpeg
