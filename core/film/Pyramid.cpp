// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/Pyramid.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <sys/resource.h>
#include <unistd.h>

#include "core/base/Digest.h"
#include "core/film/PyramidFile.h"

namespace inkpeg {
namespace {

constexpr int BuilderNiceness = 10;
constexpr int MostTilesOfScan = 16; // what one tile may be made from while the levels are being built

std::uint64_t nextId()
{
    static std::atomic<std::uint64_t> last{0};
    return ++last;
}

TileKey keyOf(std::uint64_t pyramid, const TilePlace& place)
{
    return {pyramid, place.level, place.column, place.row};
}

int coreCount()
{
    return std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}

void spreadGrey(const std::vector<std::uint8_t>& from, int channels, std::size_t pixel, std::uint8_t* rgb)
{
    for (std::size_t c = 0; c < 3; ++c)
        rgb[c] = channels == 1 ? from[pixel] : from[3 * pixel + c];
}

} // namespace

struct TilePyramid::Index {
    PyramidShape shape;
    std::unique_ptr<PyramidFile> file;
};

Result<std::shared_ptr<TilePyramid>> TilePyramid::open(const std::filesystem::path& scanFile,
                                                       const std::filesystem::path& cacheFolder,
                                                       std::shared_ptr<TileCache> cache, std::string sha256)
{
    Result<Scan> scan = Scan::open(scanFile);
    if (!scan)
        return scan.error();
    if (sha256.empty()) {
        Result<std::string> digest = digestOfFile(scanFile);
        if (!digest)
            return digest.error();
        sha256 = *digest;
    }
    std::shared_ptr<TilePyramid> pyramid(new TilePyramid());
    std::error_code ignored;
    pyramid->m_scanFile = scanFile;
    pyramid->m_file = cacheFolder / (sha256 + ".levels");
    pyramid->m_facts = scan->facts();
    pyramid->m_channels = scan->channels();
    pyramid->m_id = nextId();
    pyramid->m_cache = std::move(cache);
    pyramid->m_index = std::make_unique<Index>();
    PyramidShape& shape = pyramid->m_index->shape;
    shape = pyramidShape(pyramid->m_facts, pyramid->m_channels);
    shape.scanBytes = std::filesystem::file_size(scanFile, ignored);
    shape.scanChanged = std::filesystem::last_write_time(scanFile, ignored).time_since_epoch().count();
    pyramid->m_idleReaders.push_back(std::move(*scan));
    pyramid->openBuilt();
    return pyramid;
}

TilePyramid::~TilePyramid()
{
    m_stop = true;
    if (m_builder.joinable())
        m_builder.join();
    m_cache->forgetPyramid(m_id);
}

int TilePyramid::levels() const
{
    return m_index->shape.levels;
}
int TilePyramid::levelWidth(int level) const
{
    return m_index->shape.levelWidth(level);
}
int TilePyramid::levelHeight(int level) const
{
    return m_index->shape.levelHeight(level);
}

bool TilePyramid::openBuilt()
{
    auto file = PyramidFile::open(m_file, m_index->shape);
    if (!file)
        return false;
    noteDamage(file->damage(), file->damagedParts());
    m_index->file = std::move(file);
    m_built = true;
    return true;
}

Result<void> TilePyramid::build(const Progress& progress, int threads)
{
    const std::lock_guard lock(m_building);
    if (m_built)
        return {};
    const auto goOn = [&](double share) { return !m_stop && report(progress, share); };
    const Result<void> done =
        buildPyramidFile(m_scanFile, m_index->shape, m_file, threads > 0 ? threads : coreCount(), goOn);
    if (!done)
        return done;
    if (!openBuilt())
        return Error{ErrorCode::System, m_file.string() + ": cannot be read back after writing"};
    return {};
}

void TilePyramid::startBuilding(Progress progress, std::function<void(const Result<void>&)> done,
                                int threads)
{
    const std::lock_guard lock(m_mutex);
    if (m_builder.joinable())
        return;
    m_builder = std::thread([this, progress = std::move(progress), done = std::move(done), threads] {
        // On Linux a thread has a niceness of its own, which its helpers inherit. Refused, it only builds
        // at the expense of others.
        ::setpriority(PRIO_PROCESS, static_cast<id_t>(::gettid()), BuilderNiceness);
        const Result<void> built = build(progress, threads);
        if (done)
            done(built);
    });
}

PyramidTilePointer TilePyramid::cached(const TilePlace& place) const
{
    return m_cache->find(keyOf(m_id, place));
}

PyramidTilePointer TilePyramid::tile(const TilePlace& place)
{
    const PyramidShape& shape = m_index->shape;
    if (place.level < 0 || place.level >= shape.levels || place.column < 0 || place.row < 0 ||
        place.column >= shape.tileColumns(place.level) || place.row >= shape.tileRows(place.level))
        return nullptr;
    if (auto found = cached(place))
        return found;
    PyramidTilePointer made = readBuilt(place);
    if (!made)
        made = readScan(place);
    if (made)
        m_cache->keep(keyOf(m_id, place), made);
    return made;
}

PyramidTilePointer TilePyramid::readBuilt(const TilePlace& place) const
{
    if (!m_built || !m_index->file->hasLevel(place.level))
        return nullptr;
    return m_index->file->tile(place.level, place.column, place.row);
}

PyramidTilePointer TilePyramid::readScan(const TilePlace& place)
{
    const int times = 1 << place.level;
    if (times * times > MostTilesOfScan)
        return nullptr;
    std::optional<Scan> reader;
    {
        const std::lock_guard lock(m_mutex);
        if (!m_idleReaders.empty()) {
            reader = std::move(m_idleReaders.back());
            m_idleReaders.pop_back();
        }
    }
    if (!reader) {
        Result<Scan> opened = Scan::open(m_scanFile);
        if (!opened)
            return nullptr;
        reader = std::move(*opened);
    }
    const int side = TilePx * times, left = place.column * side, top = place.row * side;
    const PxRect window{left, top, std::min(side, m_facts.widthPx - left),
                        std::min(side, m_facts.heightPx - top)};
    auto tile = std::make_shared<PyramidTile>();
    tile->channels = m_channels;
    tile->width = std::min(TilePx, levelWidth(place.level) - place.column * TilePx);
    tile->height = std::min(TilePx, levelHeight(place.level) - place.row * TilePx);
    const auto stride = static_cast<std::size_t>(window.width) * static_cast<std::size_t>(m_channels);
    std::vector<std::uint8_t> whole(stride * static_cast<std::size_t>(window.height));
    const auto damage = reader->readSoundPixels(window, m_channels, whole.data(), stride);
    tile->damaged = !damage.empty();
    if (tile->damaged)
        noteDamage(damage, {window});
    int width = window.width, height = window.height;
    for (int level = 0; level < place.level; ++level) {
        whole = halveRows(whole, width, height, m_channels);
        width = (width + 1) / 2;
        height = (height + 1) / 2;
    }
    tile->pixels = std::move(whole);
    const std::lock_guard lock(m_mutex);
    m_idleReaders.push_back(std::move(*reader));
    return tile;
}

Result<RgbImage> TilePyramid::firstLook(int longestSidePx)
{
    const double longest = std::max(m_facts.widthPx, m_facts.heightPx);
    const double share = std::min(1.0, std::max(longestSidePx, 1) / longest);
    const int width = std::max(1, static_cast<int>(std::lround(m_facts.widthPx * share)));
    const int height = std::max(1, static_cast<int>(std::lround(m_facts.heightPx * share)));
    if (!m_built)
        return lookFromScan(width, height);
    int level = levels() - 1;
    while (level > 0 && (levelWidth(level) < width || levelHeight(level) < height))
        --level;
    return lookFromLevels(level, width, height);
}

/// Joins the tiles of a level and takes the nearest pixel: the level is at most twice as large as asked
/// for.
Result<RgbImage> TilePyramid::lookFromLevels(int level, int width, int height)
{
    RgbImage look{width, height, {}};
    look.pixels.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height) * 3);
    const double stepX = double(levelWidth(level)) / width, stepY = double(levelHeight(level)) / height;
    for (int y = 0; y < height; ++y) {
        const int row = std::min(static_cast<int>((y + 0.5) * stepY), levelHeight(level) - 1);
        PyramidTilePointer held;
        int heldColumn = -1;
        for (int x = 0; x < width; ++x) {
            const int column = std::min(static_cast<int>((x + 0.5) * stepX), levelWidth(level) - 1);
            if (column / TilePx != heldColumn) {
                heldColumn = column / TilePx;
                held = tile({level, heldColumn, row / TilePx});
            }
            if (!held)
                return Error{ErrorCode::System,
                             m_file.string() + ": cannot be read; remove it to have it built again"};
            const auto pixel =
                static_cast<std::size_t>(row % TilePx) * static_cast<std::size_t>(held->width) +
                static_cast<std::size_t>(column % TilePx);
            spreadGrey(held->pixels, m_channels, pixel,
                       look.pixels.data() + (static_cast<std::size_t>(y) * static_cast<std::size_t>(width) +
                                             static_cast<std::size_t>(x)) *
                                                3);
        }
    }
    return look;
}

/// Averages the scan; a TIFF on all cores, each with a share of the rows.
Result<RgbImage> TilePyramid::lookFromScan(int width, int height) const
{
    const int parts = m_facts.format == "TIFF" ? std::min(coreCount(), height) : 1;
    std::vector<Result<RgbImage>> looks(static_cast<std::size_t>(parts), RgbImage{});
    const auto edge = [&](int part, int size) {
        return static_cast<int>(std::int64_t{size} * part / parts);
    };
    const auto run = [&](int part) {
        const int top = edge(part, height), rows = edge(part + 1, height) - top;
        const int scanTop = static_cast<int>(std::int64_t{top} * m_facts.heightPx / height);
        const int scanEnd = static_cast<int>(std::int64_t{top + rows} * m_facts.heightPx / height);
        auto& look = looks[static_cast<std::size_t>(part)];
        const Result<Scan> reader = Scan::open(m_scanFile);
        if (!reader)
            look = reader.error();
        else
            look = reader->readSoundRgb({0, scanTop, m_facts.widthPx, scanEnd - scanTop}, width, rows);
    };
    {
        std::vector<std::jthread> helpers;
        for (int part = 1; part < parts; ++part)
            helpers.emplace_back(run, part);
        run(0);
    }
    RgbImage whole{width, height, {}};
    for (const auto& look : looks) {
        if (!look)
            return look.error();
        whole.pixels.insert(whole.pixels.end(), look->pixels.begin(), look->pixels.end());
    }
    return whole;
}

void TilePyramid::noteDamage(const std::vector<std::string>& words, const std::vector<PxRect>& parts)
{
    const std::lock_guard lock(m_mutex);
    for (const std::string& word : words)
        if (std::find(m_damage.begin(), m_damage.end(), word) == m_damage.end())
            m_damage.push_back(word);
    for (const PxRect& part : parts)
        if (std::find(m_damagedParts.begin(), m_damagedParts.end(), part) == m_damagedParts.end())
            m_damagedParts.push_back(part);
}

std::vector<PxRect> TilePyramid::damagedParts() const
{
    const std::lock_guard lock(m_mutex);
    return m_damagedParts;
}

std::vector<std::string> TilePyramid::damage() const
{
    const std::lock_guard lock(m_mutex);
    return m_damage;
}

} // namespace inkpeg
