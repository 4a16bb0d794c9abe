// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/Lay.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <condition_variable>
#include <mutex>
#include <thread>

#include <gdal_priv.h>

#include "core/base/ProgressShare.h"
#include "core/film/GdalSession.h"
#include "core/film/LaidLevels.h"
#include "core/film/LayGrid.h"
#include "core/film/Resample.h"
#include "core/film/ScanLocator.h"
#include "core/film/SourceCells.h"
#include "core/film/SourceTiles.h"

namespace inkpeg {
namespace {

constexpr double LargestPatchPx =
    2e6; // 22 MB of RGB for each thread would still be light; more is read in parts
constexpr std::chrono::milliseconds ReportEvery{50};

/// What all threads share.
struct Work {
    const Scan& scan;
    const FilmFrame& film;
    const GroundTransform& transform;
    const LaySettings& settings;
    const LayGrid& grid;
    SourceTiles& source;
    LaidLevels& levels;
    int channels;
    int tileColumns, tileRows;

    std::atomic<int> nextTile{0};
    std::atomic<int> tilesDone{0};
    std::atomic<bool> stop{false};

    std::mutex mutex{};
    std::condition_variable changed{};
    int threadsLeft = 0;
    double worstPx = 0;
    std::optional<Error> error{};

    void fail(const Error& what)
    {
        const std::lock_guard lock(mutex);
        if (!error)
            error = what;
        stop = true;
    }
};

/// The order in which tiles are laid: squares of 4 x 4 one after the other, each along a Z curve. So the
/// four that make up a tile of an overview come together, and a row of squares needs no more of the scan in
/// memory than a band of it, each source tile being read once as long as the sheet is not turned far.
/// Source: G. M. Morton, A computer oriented geodetic data base, IBM 1966 (from memory).
struct TileOrder {
    static constexpr int Side = 4;
    int columns, rows;

    int squaresAcross() const { return (columns + Side - 1) / Side; }
    int count() const { return squaresAcross() * ((rows + Side - 1) / Side) * Side * Side; }
    /// Column and row; nothing where a square reaches beyond the picture.
    std::optional<std::pair<int, int>> at(int i) const
    {
        const int square = i / (Side * Side), z = i % (Side * Side);
        const int column = square % squaresAcross() * Side + ((z & 1) | (z >> 1 & 2));
        const int row = square / squaresAcross() * Side + ((z >> 1 & 1) | (z >> 2 & 2));
        if (column >= columns || row >= rows)
            return std::nullopt;
        return std::pair(column, row);
    }
};

/// One thread's share of the work, with what it must have for itself.
class Worker {
public:
    Worker(Work& work, Scan reader)
        : m_work(work), m_reader(std::move(reader)), m_locator(work.transform, work.film, work.grid),
          m_packer(work.settings.packing)
    {
        const double finer = m_work.grid.finer;
        m_locate = [this, finer](double column, double row) {
            return m_locator(column / finer, row / finer);
        };
    }

    void run()
    {
        const TileOrder order{m_work.tileColumns, m_work.tileRows};
        for (int i = m_work.nextTile++; i < order.count() && !m_work.stop; i = m_work.nextTile++)
            if (const auto tile = order.at(i)) {
                layTile(tile->first, tile->second);
                ++m_work.tilesDone;
            }
        const std::lock_guard lock(m_work.mutex);
        m_work.worstPx = std::max(m_work.worstPx, m_worstPx);
    }

private:
    void layTile(int tileColumn, int tileRow)
    {
        const PxRect area{tileColumn * LaidTilePx, tileRow * LaidTilePx, LaidTilePx, LaidTilePx};
        m_tile.clear(area, m_work.channels);
        if (m_work.grid.touches(area)) {
            fillTile(area);
            if (m_work.grid.framed)
                m_work.grid.cut(area, m_tile.alpha());
        }
        if (const Result<void> put = m_work.levels.put(tileColumn, tileRow, m_tile, m_packer); !put)
            m_work.fail(put.error());
    }

    void fillTile(const PxRect& area)
    {
        const int finer = m_work.grid.finer;
        if (finer == 1)
            return resampleArea(area, m_tile);
        const int side = std::max(1, LaidTilePx / finer);
        for (int row = 0; row < area.height; row += side)
            for (int column = 0; column < area.width; column += side) {
                const PxRect coarse{area.column + column, area.row + row,
                                    std::min(side, area.width - column), std::min(side, area.height - row)};
                const PxRect fine{coarse.column * finer, coarse.row * finer, coarse.width * finer,
                                  coarse.height * finer};
                m_fine.clear(fine, m_work.channels);
                resampleArea(fine, m_fine);
                averageInto(coarse);
            }
    }

    /// Means of the opaque fine pixels; a pixel is opaque when half of its fine pixels are.
    void averageInto(const PxRect& coarse)
    {
        const int finer = m_work.grid.finer;
        for (int row = 0; row < coarse.height; ++row)
            for (int column = 0; column < coarse.width; ++column) {
                std::array<unsigned, 4> sums{};
                unsigned opaque = 0;
                for (int y = row * finer; y < (row + 1) * finer; ++y)
                    for (int x = column * finer; x < (column + 1) * finer; ++x) {
                        const std::size_t i =
                            static_cast<std::size_t>(y) * static_cast<std::size_t>(m_fine.width) +
                            static_cast<std::size_t>(x);
                        if (!m_fine.alpha()[i])
                            continue;
                        ++opaque;
                        for (std::size_t c = 0; c < static_cast<std::size_t>(m_work.channels); ++c)
                            sums[c] += m_fine.planes[c][i];
                    }
                if (2 * opaque < static_cast<unsigned>(finer * finer))
                    continue;
                const std::size_t at = static_cast<std::size_t>(coarse.row + row - m_tile.top) *
                                           static_cast<std::size_t>(m_tile.width) +
                                       static_cast<std::size_t>(coarse.column + column - m_tile.left);
                for (std::size_t c = 0; c < static_cast<std::size_t>(m_work.channels); ++c)
                    m_tile.planes[c][at] = static_cast<std::uint8_t>((sums[c] + opaque / 2) / opaque);
                m_tile.alpha()[at] = 255;
            }
    }

    void resampleArea(const PxRect& area, LaidPlanes& out)
    {
        const double finer = m_work.grid.finer;
        m_locator.aim((area.column + area.width / 2.0) / finer, (area.row + area.height / 2.0) / finer);
        const SourceCells found = coverWithCells(m_locate, area, m_work.settings.exactnessPx);
        if (!found.anywhere)
            return;
        const int margin = kernelReachPx(m_work.settings.kernel) + 2;
        const ScanFacts& facts = m_work.scan.facts();
        const double left = std::max<double>(std::floor(found.left) - margin, -margin);
        const double top = std::max<double>(std::floor(found.top) - margin, -margin);
        const double right = std::min<double>(std::ceil(found.right) + margin, facts.widthPx + margin);
        const double bottom = std::min<double>(std::ceil(found.bottom) + margin, facts.heightPx + margin);
        if (found.right < 0 || found.bottom < 0 || found.left > facts.widthPx || found.top > facts.heightPx)
            return;
        if ((right - left) * (bottom - top) > LargestPatchPx && area.width > 1 && area.height > 1)
            return resampleQuarters(area, out);
        m_worstPx = std::max(m_worstPx, found.worstPx);
        m_work.source.readPatch(m_reader,
                                {static_cast<int>(left), static_cast<int>(top),
                                 static_cast<int>(right - left), static_cast<int>(bottom - top)},
                                m_patch);
        for (const SourceCell& cell : found.cells)
            resampleCell(m_work.settings.kernel, cell, m_locate, m_patch, {facts.widthPx, facts.heightPx},
                         out);
    }

    void resampleQuarters(const PxRect& area, LaidPlanes& out)
    {
        const int width = (area.width + 1) / 2, height = (area.height + 1) / 2;
        for (int row = 0; row < area.height; row += height)
            for (int column = 0; column < area.width; column += width)
                resampleArea({area.column + column, area.row + row, std::min(width, area.width - column),
                              std::min(height, area.height - row)},
                             out);
    }

    Work& m_work;
    Scan m_reader;
    ScanLocator m_locator;
    LocateInScan m_locate;
    TilePacker m_packer;
    LaidPlanes m_tile, m_fine;
    SourcePatch m_patch;
    double m_worstPx = 0;
};

void runWorker(Work& work)
{
    Result<Scan> reader = Scan::open(work.scan.file());
    if (reader)
        Worker(work, std::move(*reader)).run();
    else
        work.fail(reader.error());
    const std::lock_guard lock(work.mutex);
    --work.threadsLeft;
    work.changed.notify_all();
}

/// Runs the threads and tells the progress from this one.
void runAll(Work& work, int threadCount, const Progress& progress)
{
    work.threadsLeft = threadCount;
    std::vector<std::jthread> threads;
    for (int i = 0; i < threadCount; ++i)
        threads.emplace_back([&work] { runWorker(work); });
    std::unique_lock lock(work.mutex);
    while (!work.changed.wait_for(lock, ReportEvery, [&] { return work.threadsLeft == 0; })) {
        lock.unlock();
        const bool goOn = report(progress, double(work.tilesDone) / (work.tileColumns * work.tileRows));
        if (!goOn)
            work.fail({ErrorCode::Cancelled, "laying " + work.scan.file().string() + " was stopped"});
        lock.lock();
    }
}

} // namespace

Result<LayReport> lay(const Scan& scan, const FilmFrame& film, const GroundTransform& transform,
                      const std::string& crs, const std::filesystem::path& output,
                      const LaySettings& settings, const Progress& progress)
{
    std::error_code ignored;
    if (std::filesystem::equivalent(scan.file(), output, ignored))
        return Error{ErrorCode::Conflict,
                     output.string() + ": this is the scan itself; choose another name"};
    const Result<LayGrid> grid = planGrid(scan, film, transform, settings);
    if (!grid)
        return grid.error();
    const int channels = scan.channels();
    auto file = LaidFile::create(output, *grid, channels, crs, settings);
    if (!file)
        return file.error();
    const auto scratch = std::filesystem::absolute(output).parent_path();
    auto source =
        SourceTiles::open(scan.file(), channels, settings.sourceBytes, scratch, shareOf(progress, 0, 0.1));
    if (!source) // its working file lies beside the output
        return source.error().code == ErrorCode::OutOfSpace ? (*file)->trouble(source.error())
                                                            : source.error();
    LaidLevels levels(**file, channels);
    Work work{scan,
              film,
              transform,
              settings,
              *grid,
              **source,
              levels,
              channels,
              (grid->widthPx + LaidTilePx - 1) / LaidTilePx,
              (grid->heightPx + LaidTilePx - 1) / LaidTilePx};
    const int cores = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
    runAll(work, settings.threads > 0 ? settings.threads : cores, shareOf(progress, 0.1, 0.8));
    if (work.error)
        return *work.error;
    if (const Result<void> finished = (*file)->finish(shareOf(progress, 0.8, 1)); !finished)
        return finished.error();
    LayReport report;
    report.file = output;
    report.widthPx = grid->widthPx;
    report.heightPx = grid->heightPx;
    report.pixelM = grid->pixelM;
    report.upperLeft = grid->upperLeft;
    report.worstApproximationPx = work.worstPx;
    report.damage = (*source)->damage();
    return report;
}

std::string laidFrom(const std::filesystem::path& file)
{
    std::error_code ignored;
    if (!std::filesystem::exists(file, ignored))
        return {};
    const GdalSession session;
    const char* const drivers[] = {"GTiff", nullptr};
    const GDALDatasetUniquePtr dataset(
        GDALDataset::Open(file.c_str(), GDAL_OF_RASTER, drivers, nullptr, nullptr));
    const char* item = dataset ? dataset->GetMetadataItem(LaidFromItem) : nullptr;
    return item ? item : std::string();
}

} // namespace inkpeg
