// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/PyramidFile.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cstring>
#include <thread>

#include <unistd.h>

#include <cpl_conv.h>

#include "core/film/Pyramid.h"

namespace inkpeg {
namespace fs = std::filesystem;
namespace {

constexpr int TilePx = TilePyramid::TilePx;
constexpr std::array<char, 8> Magic{'I', 'N', 'K', 'P', 'Y', 'R', '0', '1'};

struct Header {
    std::array<char, 8> magic = Magic;
    PyramidShape shape;
    std::uint64_t entries = 0;
    std::uint64_t damageBytes = 0;
    std::uint64_t damageOffset = 0;
};

std::size_t entryCount(const PyramidShape& shape)
{
    std::size_t count = 0;
    for (int level = shape.firstLevel; level < shape.levels; ++level)
        count += static_cast<std::size_t>(shape.tileColumns(level)) *
                 static_cast<std::size_t>(shape.tileRows(level));
    return count;
}

std::size_t entryIndex(const PyramidShape& shape, int level, int column, int row)
{
    std::size_t before = 0;
    for (int i = shape.firstLevel; i < level; ++i)
        before +=
            static_cast<std::size_t>(shape.tileColumns(i)) * static_cast<std::size_t>(shape.tileRows(i));
    return before + static_cast<std::size_t>(row) * static_cast<std::size_t>(shape.tileColumns(level)) +
           static_cast<std::size_t>(column);
}

int halvedOften(int size, int times)
{
    for (; times > 0; --times)
        size = (size + 1) / 2;
    return size;
}

} // namespace

int PyramidShape::levelWidth(int level) const
{
    return halvedOften(width, level);
}
int PyramidShape::levelHeight(int level) const
{
    return halvedOften(height, level);
}
int PyramidShape::tileColumns(int level) const
{
    return (levelWidth(level) + TilePx - 1) / TilePx;
}
int PyramidShape::tileRows(int level) const
{
    return (levelHeight(level) + TilePx - 1) / TilePx;
}

PyramidShape pyramidShape(const ScanFacts& facts, int channels)
{
    PyramidShape shape;
    shape.width = facts.widthPx;
    shape.height = facts.heightPx;
    shape.channels = channels;
    while (shape.levelWidth(shape.levels - 1) > TilePx || shape.levelHeight(shape.levels - 1) > TilePx)
        ++shape.levels;
    shape.firstLevel = canBeEnteredAnywhere(facts) ? 1 : 0;
    return shape;
}

std::unique_ptr<PyramidFile> PyramidFile::open(const fs::path& file, const PyramidShape& shape)
{
    auto opened = std::make_unique<PyramidFile>();
    Header header;
    if (!opened->m_file.openForReading(file) || !opened->m_file.read(0, &header, sizeof header) ||
        header.magic != Magic || !(header.shape == shape) || header.entries != entryCount(shape))
        return nullptr;
    opened->m_shape = shape;
    opened->m_entries.resize(header.entries);
    if (!opened->m_file.read(sizeof header, opened->m_entries.data(), header.entries * sizeof(Entry)))
        return nullptr;
    constexpr std::uint64_t MostDamageBytes = 1 << 24;
    std::string damage(std::min(header.damageBytes, MostDamageBytes), '\0');
    if (!opened->m_file.read(header.damageOffset, damage.data(), damage.size()))
        return nullptr;
    for (std::size_t from = 0, to; (to = damage.find('\n', from)) != std::string::npos; from = to + 1)
        opened->m_damage.push_back(damage.substr(from, to - from));
    return opened;
}

std::vector<PxRect> PyramidFile::damagedParts() const
{
    std::vector<PxRect> parts;
    const int level = m_shape.firstLevel, side = TilePx << level;
    if (!hasLevel(level))
        return parts;
    for (int row = 0; row < m_shape.tileRows(level); ++row)
        for (int column = 0; column < m_shape.tileColumns(level); ++column)
            if (m_entries[entryIndex(m_shape, level, column, row)].damaged)
                parts.push_back({column * side, row * side, std::min(side, m_shape.width - column * side),
                                 std::min(side, m_shape.height - row * side)});
    return parts;
}

PyramidTilePointer PyramidFile::tile(int level, int column, int row) const
{
    const Entry& entry = m_entries[entryIndex(m_shape, level, column, row)];
    auto tile = std::make_shared<PyramidTile>();
    tile->width = std::min(TilePx, m_shape.levelWidth(level) - column * TilePx);
    tile->height = std::min(TilePx, m_shape.levelHeight(level) - row * TilePx);
    tile->channels = m_shape.channels;
    tile->damaged = entry.damaged != 0;
    tile->pixels.resize(static_cast<std::size_t>(tile->width) * static_cast<std::size_t>(tile->height) *
                        static_cast<std::size_t>(tile->channels));
    constexpr std::uint32_t LongestPacked = TilePx * TilePx * 3 * 2;
    if (entry.length > LongestPacked)
        return nullptr;
    std::vector<std::uint8_t> packed(entry.length);
    std::size_t length = 0;
    if (!m_file.read(entry.offset, packed.data(), packed.size()) ||
        !CPLZLibInflate(packed.data(), packed.size(), tile->pixels.data(), tile->pixels.size(), &length) ||
        length != tile->pixels.size())
        return nullptr;
    return tile;
}

std::vector<std::uint8_t> halveRows(const std::vector<std::uint8_t>& rows, int width, int height,
                                    int channels)
{
    const int halfWidth = (width + 1) / 2, halfHeight = (height + 1) / 2;
    const auto stride = static_cast<std::size_t>(width) * static_cast<std::size_t>(channels);
    std::vector<std::uint8_t> half(static_cast<std::size_t>(halfWidth) *
                                   static_cast<std::size_t>(halfHeight) *
                                   static_cast<std::size_t>(channels));
    std::uint8_t* out = half.data();
    for (int y = 0; y < halfHeight; ++y) {
        const std::uint8_t* upper = rows.data() + static_cast<std::size_t>(2 * y) * stride;
        const std::uint8_t* lower = 2 * y + 1 < height ? upper + stride : upper;
        for (int x = 0; x < halfWidth; ++x) {
            const int left = 2 * x * channels;
            const int right = 2 * x + 1 < width ? left + channels : left;
            for (int c = 0; c < channels; ++c)
                *out++ = static_cast<std::uint8_t>(
                    (upper[left + c] + upper[right + c] + lower[left + c] + lower[right + c] + 2) / 4);
        }
    }
    return half;
}

namespace {

/// Runs work(0) ... work(count - 1) on up to `threads` threads.
template<typename Work>
void inParallel(int count, int threads, const Work& work)
{
    std::atomic<int> next{0};
    const auto run = [&] {
        for (int i = next++; i < count; i = next++)
            work(i);
    };
    std::vector<std::jthread> helpers;
    for (int i = 1; i < std::min(threads, count); ++i)
        helpers.emplace_back(run);
    run();
}

class Builder {
public:
    Builder(const PyramidShape& shape, int threads) : m_shape(shape), m_threads(threads)
    {
        m_levels.resize(static_cast<std::size_t>(shape.levels));
        m_entries.resize(entryCount(shape));
        m_offset = sizeof(Header) + m_entries.size() * sizeof(PyramidFile::Entry);
    }

    Result<void> create(const fs::path& file) { return m_file.create(file); }

    /// Takes `rows` rows of a level, in order from the top; `damagedTiles` has a flag for each tile column.
    Result<void> add(int level, std::vector<std::uint8_t> pixels, int rows, std::vector<bool> damagedTiles)
    {
        Level& to = m_levels[static_cast<std::size_t>(level)];
        to.pixels.insert(to.pixels.end(), pixels.begin(), pixels.end());
        to.rows += rows;
        to.damaged.resize(static_cast<std::size_t>(m_shape.tileColumns(level)));
        for (std::size_t i = 0; i < to.damaged.size(); ++i)
            to.damaged[i] = to.damaged[i] || damagedTiles[i];
        if (to.rows < TilePx && to.tileRow * TilePx + to.rows < m_shape.levelHeight(level))
            return {};
        if (level >= m_shape.firstLevel)
            if (Result<void> written = writeTileRow(level); !written)
                return written;
        Level band;
        std::swap(band, to);
        to.tileRow = band.tileRow + 1;
        if (level + 1 == m_shape.levels)
            return {};
        std::vector<bool> coarser(static_cast<std::size_t>(m_shape.tileColumns(level + 1)));
        for (std::size_t i = 0; i < band.damaged.size(); ++i)
            coarser[i / 2] = coarser[i / 2] || band.damaged[i];
        return add(level + 1,
                   halveRows(band.pixels, m_shape.levelWidth(level), band.rows, m_shape.channels),
                   (band.rows + 1) / 2, std::move(coarser));
    }

    Result<void> finish(const std::vector<std::string>& damage)
    {
        std::string words;
        for (const std::string& word : damage)
            words += word + '\n';
        Header header;
        header.shape = m_shape;
        header.entries = m_entries.size();
        header.damageBytes = words.size();
        header.damageOffset = m_offset;
        if (Result<void> done = m_file.write(m_offset, words.data(), words.size()); !done)
            return done;
        if (Result<void> done = m_file.write(sizeof header, m_entries.data(),
                                             m_entries.size() * sizeof(PyramidFile::Entry));
            !done)
            return done;
        if (Result<void> done = m_file.write(0, &header, sizeof header); !done)
            return done;
        return m_file.sync();
    }

private:
    struct Level {
        std::vector<std::uint8_t> pixels;
        std::vector<bool> damaged;
        int rows = 0;
        int tileRow = 0;
    };

    std::vector<std::uint8_t> packTile(int level, int column) const
    {
        const Level& band = m_levels[static_cast<std::size_t>(level)];
        const int width = m_shape.levelWidth(level);
        const auto channels = static_cast<std::size_t>(m_shape.channels);
        const std::size_t stride = static_cast<std::size_t>(width) * channels;
        const std::size_t tileStride =
            static_cast<std::size_t>(std::min(TilePx, width - column * TilePx)) * channels;
        std::vector<std::uint8_t> tile(tileStride * static_cast<std::size_t>(band.rows));
        for (std::size_t row = 0; row < static_cast<std::size_t>(band.rows); ++row)
            std::memcpy(tile.data() + row * tileStride,
                        band.pixels.data() + row * stride +
                            static_cast<std::size_t>(column) * static_cast<std::size_t>(TilePx) * channels,
                        tileStride);
        std::size_t length = 0;
        constexpr int Quick = 1; // looking is to be fast, and a cache may be a little larger
        auto* packed = static_cast<std::uint8_t*>(
            CPLZLibDeflate(tile.data(), tile.size(), Quick, nullptr, 0, &length));
        std::vector<std::uint8_t> result(packed, packed + length);
        VSIFree(packed);
        return result;
    }

    Result<void> writeTileRow(int level)
    {
        const Level& band = m_levels[static_cast<std::size_t>(level)];
        std::vector<std::vector<std::uint8_t>> packed(static_cast<std::size_t>(m_shape.tileColumns(level)));
        inParallel(m_shape.tileColumns(level), m_threads,
                   [&](int column) { packed[static_cast<std::size_t>(column)] = packTile(level, column); });
        for (std::size_t column = 0; column < packed.size(); ++column) {
            if (Result<void> done = m_file.write(m_offset, packed[column].data(), packed[column].size());
                !done)
                return done;
            m_entries[entryIndex(m_shape, level, static_cast<int>(column), band.tileRow)] = {
                m_offset, static_cast<std::uint32_t>(packed[column].size()),
                band.damaged[column] ? 1u : 0u};
            m_offset += packed[column].size();
        }
        return {};
    }

    PyramidShape m_shape;
    int m_threads;
    std::vector<Level> m_levels;
    std::vector<PyramidFile::Entry> m_entries;
    std::uint64_t m_offset = 0;
    RawFile m_file;
};

/// One band of the scan, as read by one thread.
struct Band {
    std::vector<std::uint8_t> pixels;
    std::vector<std::string> damage;
    std::vector<bool> damagedTiles;
};

void readBand(const Scan& scan, const PyramidShape& shape, int tileRow, Band& band)
{
    const int top = tileRow * TilePx, rows = std::min(TilePx, shape.height - top);
    const std::size_t stride =
        static_cast<std::size_t>(shape.width) * static_cast<std::size_t>(shape.channels);
    band.pixels.resize(stride * static_cast<std::size_t>(rows));
    band.damagedTiles.assign(static_cast<std::size_t>(shape.tileColumns(0)), false);
    band.damage.clear();
    if (scan.readPixels({0, top, shape.width, rows}, shape.channels, band.pixels.data(), stride))
        return;
    for (int column = 0; column < shape.tileColumns(0); ++column) {
        const int left = column * TilePx;
        const auto damage = scan.readSoundPixels(
            {left, top, std::min(TilePx, shape.width - left), rows}, shape.channels,
            band.pixels.data() + static_cast<std::size_t>(left) * static_cast<std::size_t>(shape.channels),
            stride);
        band.damagedTiles[static_cast<std::size_t>(column)] = !damage.empty();
        for (const std::string& words : damage)
            if (std::find(band.damage.begin(), band.damage.end(), words) == band.damage.end())
                band.damage.push_back(words);
    }
}

Result<void> readAndHalve(std::vector<Scan>& readers, const PyramidShape& shape, Builder& builder,
                          std::vector<std::string>& damage, const Progress& progress)
{
    const int tileRows = shape.tileRows(0), together = static_cast<int>(readers.size());
    std::vector<Band> bands(readers.size());
    for (int first = 0; first < tileRows; first += together) {
        if (!report(progress, double(first) / tileRows))
            return Error{ErrorCode::Cancelled,
                         "looking through " + readers[0].file().string() + " was stopped"};
        const int count = std::min(together, tileRows - first);
        inParallel(count, together, [&](int i) {
            readBand(readers[static_cast<std::size_t>(i)], shape, first + i,
                     bands[static_cast<std::size_t>(i)]);
        });
        for (int i = 0; i < count; ++i) {
            Band& band = bands[static_cast<std::size_t>(i)];
            damage.insert(damage.end(), band.damage.begin(), band.damage.end());
            const int rows = std::min(TilePx, shape.height - (first + i) * TilePx);
            if (Result<void> added =
                    builder.add(0, std::move(band.pixels), rows, std::move(band.damagedTiles));
                !added)
                return added;
            band = {};
        }
    }
    return {};
}

} // namespace

Result<void> buildPyramidFile(const fs::path& scan, const PyramidShape& shape, const fs::path& file,
                              int threads, const Progress& progress)
{
    std::error_code trouble;
    fs::create_directories(file.parent_path(), trouble);
    const fs::path temporary = file.string() + "." + std::to_string(::getpid()) + ".part";
    std::vector<Scan> readers;
    do {
        Result<Scan> reader = Scan::open(scan);
        if (!reader)
            return reader.error();
        readers.push_back(std::move(*reader));
        // JPEG and PNG decode from the top: a second reader would decode everything once more.
    } while (readers[0].facts().format == "TIFF" && static_cast<int>(readers.size()) < threads);
    Result<void> done;
    {
        Builder builder(shape, threads);
        std::vector<std::string> damage;
        done = builder.create(temporary);
        if (done)
            done = readAndHalve(readers, shape, builder, damage, progress);
        if (done)
            done = builder.finish(damage);
    }
    if (done) {
        fs::rename(temporary, file, trouble);
        if (trouble)
            done =
                Error{ErrorCode::System, file.string() + ": cannot be written (" + trouble.message() + ")"};
    }
    if (!done)
        fs::remove(temporary, trouble);
    return done;
}

} // namespace inkpeg
