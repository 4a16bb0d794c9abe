// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/SourceTiles.h"

#include <algorithm>
#include <cstring>

namespace inkpeg {
namespace {

constexpr int SpoolTilePx = 256;
} // namespace

SourceTiles::SourceTiles(const Scan& scan, int channels, std::size_t budgetBytes)
    : m_width(scan.facts().widthPx), m_height(scan.facts().heightPx), m_channels(channels)
{
    const bool enter = canBeEnteredAnywhere(scan.facts());
    m_tileWidth = enter ? scan.facts().blockWidth : SpoolTilePx;
    m_tileHeight = enter ? scan.facts().blockHeight : SpoolTilePx;
    m_tileColumns = (m_width + m_tileWidth - 1) / m_tileWidth;
    m_tileRows = (m_height + m_tileHeight - 1) / m_tileHeight;
    m_slotsAtMost = std::max<std::size_t>(budgetBytes / tileBytes(), 8);
}

std::size_t SourceTiles::tileBytes() const
{
    return static_cast<std::size_t>(m_tileWidth) * static_cast<std::size_t>(m_tileHeight) *
           static_cast<std::size_t>(m_channels);
}

Result<std::unique_ptr<SourceTiles>> SourceTiles::open(const std::filesystem::path& scanFile, int channels,
                                                       std::size_t budgetBytes,
                                                       const std::filesystem::path& scratchFolder,
                                                       const Progress& progress)
{
    const Result<Scan> scan = Scan::open(scanFile);
    if (!scan)
        return scan.error();
    std::unique_ptr<SourceTiles> tiles(new SourceTiles(*scan, channels, budgetBytes));
    if (!canBeEnteredAnywhere(scan->facts()))
        if (const Result<void> spooled = tiles->spool(*scan, scratchFolder, progress); !spooled)
            return spooled.error();
    return tiles;
}

/// Rows as far as they can be read; what cannot is white and marked.
void SourceTiles::readRows(const Scan& scan, int firstRow, int rows, std::uint8_t* band)
{
    const auto rowBytes = static_cast<std::size_t>(m_width) * static_cast<std::size_t>(m_channels);
    const Result<void> all = scan.readPixels({0, firstRow, m_width, rows}, m_channels, band, rowBytes);
    if (all)
        return;
    m_rowDamaged.resize(static_cast<std::size_t>(m_height));
    for (int row = 0; row < rows; ++row) {
        std::uint8_t* out = band + static_cast<std::size_t>(row) * rowBytes;
        const Result<void> one =
            scan.readPixels({0, firstRow + row, m_width, 1}, m_channels, out, rowBytes);
        if (one)
            continue;
        noteDamage(one.error().message);
        std::fill(out, out + rowBytes, std::uint8_t{255});
        m_rowDamaged[static_cast<std::size_t>(firstRow + row)] = 1;
    }
}

Result<void> SourceTiles::spool(const Scan& scan, const std::filesystem::path& folder,
                                const Progress& progress)
{
    if (Result<void> created = m_spool.createNameless(folder); !created)
        return created;
    const auto rowBytes = static_cast<std::size_t>(m_width) * static_cast<std::size_t>(m_channels);
    const auto tileRowBytes = static_cast<std::size_t>(m_tileWidth) * static_cast<std::size_t>(m_channels);
    std::vector<std::uint8_t> band(rowBytes * static_cast<std::size_t>(m_tileHeight));
    std::vector<std::uint8_t> tile(tileBytes());
    for (int tileRow = 0; tileRow < m_tileRows; ++tileRow) {
        if (!report(progress, double(tileRow) / m_tileRows))
            return Error{ErrorCode::Cancelled, "stopped while reading " + scan.file().string()};
        const int firstRow = tileRow * m_tileHeight;
        const int rows = std::min(m_tileHeight, m_height - firstRow);
        readRows(scan, firstRow, rows, band.data());
        for (int tileColumn = 0; tileColumn < m_tileColumns; ++tileColumn) {
            const auto offset = static_cast<std::size_t>(tileColumn) * tileRowBytes;
            const std::size_t count = std::min(tileRowBytes, rowBytes - offset);
            for (int row = 0; row < rows; ++row)
                std::memcpy(tile.data() + static_cast<std::size_t>(row) * tileRowBytes,
                            band.data() + static_cast<std::size_t>(row) * rowBytes + offset, count);
            const auto index =
                static_cast<std::uint64_t>(tileRow) * static_cast<std::uint64_t>(m_tileColumns) +
                static_cast<std::uint64_t>(tileColumn);
            if (Result<void> written = m_spool.write(index * tileBytes(), tile.data(), tile.size());
                !written)
                return written;
        }
    }
    return {};
}

void SourceTiles::noteDamage(const std::string& words)
{
    const std::lock_guard lock(m_mutex);
    if (std::find(m_damage.begin(), m_damage.end(), words) == m_damage.end())
        m_damage.push_back(words);
}

std::vector<std::string> SourceTiles::damage() const
{
    const std::lock_guard lock(m_mutex);
    return m_damage;
}

std::shared_ptr<SourceTile> SourceTiles::decode(const Scan& reader, int column, int row)
{
    auto tile = std::make_shared<SourceTile>();
    tile->pixels.resize(tileBytes());
    if (m_spool.isOpen()) {
        const auto index = static_cast<std::uint64_t>(row) * static_cast<std::uint64_t>(m_tileColumns) +
                           static_cast<std::uint64_t>(column);
        tile->damaged = !m_spool.read(index * tileBytes(), tile->pixels.data(), tileBytes());
        return tile;
    }
    const PxRect area{column * m_tileWidth, row * m_tileHeight,
                      std::min(m_tileWidth, m_width - column * m_tileWidth),
                      std::min(m_tileHeight, m_height - row * m_tileHeight)};
    const Result<void> read =
        reader.readPixels(area, m_channels, tile->pixels.data(),
                          static_cast<std::size_t>(m_tileWidth) * static_cast<std::size_t>(m_channels));
    if (!read) {
        tile->damaged = true;
        noteDamage(read.error().message);
        std::fill(tile->pixels.begin(), tile->pixels.end(), std::uint8_t{255});
    }
    return tile;
}

void SourceTiles::forgetOldest()
{
    for (auto age = m_ages.end(); m_slots.size() > m_slotsAtMost && age != m_ages.begin();) {
        --age;
        const auto slot = m_slots.find(*age);
        if (!slot->second.tile)
            continue; // being decoded
        m_slots.erase(slot);
        age = m_ages.erase(age);
    }
}

SourceTiles::TilePointer SourceTiles::tile(const Scan& reader, int column, int row)
{
    const std::int64_t key = std::int64_t{row} * m_tileColumns + column;
    {
        std::unique_lock lock(m_mutex);
        if (auto found = m_slots.find(key); found != m_slots.end()) {
            m_decodedOne.wait(lock, [&] {
                found = m_slots.find(key); // the wait lets others change the map
                return found == m_slots.end() || found->second.tile;
            });
            if (found != m_slots.end()) {
                m_ages.splice(m_ages.begin(), m_ages, found->second.age);
                return found->second.tile;
            }
        }
        m_ages.push_front(key);
        m_slots[key] = {nullptr, m_ages.begin()};
        ++m_decoded;
    }
    TilePointer decoded = decode(reader, column, row);
    {
        const std::lock_guard lock(m_mutex);
        m_slots[key].tile = decoded;
        forgetOldest();
    }
    m_decodedOne.notify_all();
    return decoded;
}

/// Copies the part of a tile that lies in `inside` (scan pixels) to its place in the patch.
void SourceTiles::copyTile(const SourceTile& tile, int column, int row, const PxRect& inside,
                           SourcePatch& patch) const
{
    const int left = std::max(inside.column, column * m_tileWidth);
    const int right = std::min(inside.column + inside.width, (column + 1) * m_tileWidth);
    const int top = std::max(inside.row, row * m_tileHeight);
    const int bottom = std::min(inside.row + inside.height, (row + 1) * m_tileHeight);
    const auto at = [](int x, int y, int width) {
        return static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x);
    };
    const auto channels = static_cast<std::size_t>(m_channels);
    for (int y = top; y < bottom; ++y) {
        const std::size_t to = at(left - patch.left, y - patch.top, patch.width);
        const std::size_t from = at(left - column * m_tileWidth, y - row * m_tileHeight, m_tileWidth);
        const auto count = static_cast<std::size_t>(right - left);
        std::memcpy(patch.pixels.data() + to * channels, tile.pixels.data() + from * channels,
                    count * channels);
        if (tile.damaged) {
            patch.damaged.resize(at(0, patch.height, patch.width));
            std::fill_n(patch.damaged.begin() + static_cast<std::ptrdiff_t>(to), count, std::uint8_t{1});
        }
    }
}

void SourceTiles::markDamage(const PxRect& inside, SourcePatch& patch) const
{
    if (m_rowDamaged.empty())
        return;
    const auto width = static_cast<std::size_t>(patch.width);
    for (int y = inside.row; y < inside.row + inside.height; ++y)
        if (m_rowDamaged[static_cast<std::size_t>(y)]) {
            patch.damaged.resize(width * static_cast<std::size_t>(patch.height));
            std::fill_n(patch.damaged.begin() +
                            static_cast<std::ptrdiff_t>(static_cast<std::size_t>(y - patch.top) * width),
                        width, std::uint8_t{1});
        }
}

void SourceTiles::extendEdges(const PxRect& inside, SourcePatch& patch) const
{
    const auto channels = static_cast<std::size_t>(m_channels);
    const auto rowBytes = static_cast<std::size_t>(patch.width) * channels;
    const int first = inside.column - patch.left, end = first + inside.width;
    for (int y = inside.row - patch.top; y < inside.row - patch.top + inside.height; ++y) {
        std::uint8_t* row = patch.pixels.data() + static_cast<std::size_t>(y) * rowBytes;
        for (int x = first - 1; x >= 0; --x)
            std::copy_n(row + static_cast<std::size_t>(first) * channels, channels,
                        row + static_cast<std::size_t>(x) * channels);
        for (int x = end; x < patch.width; ++x)
            std::copy_n(row + static_cast<std::size_t>(end - 1) * channels, channels,
                        row + static_cast<std::size_t>(x) * channels);
    }
    const auto copyRow = [&](int from, int to) {
        std::memcpy(patch.pixels.data() + static_cast<std::size_t>(to) * rowBytes,
                    patch.pixels.data() + static_cast<std::size_t>(from) * rowBytes, rowBytes);
    };
    const int top = inside.row - patch.top, bottom = top + inside.height;
    for (int y = top - 1; y >= 0; --y)
        copyRow(top, y);
    for (int y = bottom; y < patch.height; ++y)
        copyRow(bottom - 1, y);
}

void SourceTiles::readPatch(const Scan& reader, const PxRect& part, SourcePatch& patch)
{
    patch.left = part.column;
    patch.top = part.row;
    patch.width = part.width;
    patch.height = part.height;
    patch.damaged.clear();
    patch.pixels.resize(static_cast<std::size_t>(part.width) * static_cast<std::size_t>(part.height) *
                        static_cast<std::size_t>(m_channels));
    PxRect inside;
    inside.column = std::clamp(part.column, 0, m_width - 1);
    inside.row = std::clamp(part.row, 0, m_height - 1);
    inside.width = std::clamp(part.column + part.width, inside.column + 1, m_width) - inside.column;
    inside.height = std::clamp(part.row + part.height, inside.row + 1, m_height) - inside.row;
    for (int row = inside.row / m_tileHeight; row * m_tileHeight < inside.row + inside.height; ++row)
        for (int column = inside.column / m_tileWidth; column * m_tileWidth < inside.column + inside.width;
             ++column)
            copyTile(*tile(reader, column, row), column, row, inside, patch);
    markDamage(inside, patch);
    extendEdges(inside, patch);
}

} // namespace inkpeg
