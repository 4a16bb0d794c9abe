// SPDX-License-Identifier: GPL-3.0-or-later
// Writes two halves as one scan.
#include <algorithm>
#include <cerrno>
#include <cmath>
#include <cstring>

#include <fcntl.h>
#include <unistd.h>

#include <cpl_string.h>
#include <gdal_priv.h>

#include "core/base/ProgressShare.h"
#include "core/base/Text.h"
#include "core/film/GdalSession.h"
#include "core/film/Resample.h"
#include "core/film/SourceCells.h"
#include "core/film/SourceTiles.h"
#include "core/film/Stitch.h"

namespace inkpeg {
namespace fs = std::filesystem;
namespace {

constexpr int TilePx = 256;
constexpr double PassageMm = 1;
constexpr double ExactnessPx = 0.02;
constexpr std::size_t TileBytes = std::size_t{64} << 20;
constexpr double LargestSidePx = 400'000;

/// The picture that holds both halves; (left, top) is its corner in pixels of the first half.
struct Sheet {
    int left = 0, top = 0, width = 0, height = 0;
};

Sheet sheetOf(const Scan& first, const Scan& second, const Stitching& stitching)
{
    double left = 0, top = 0, right = first.facts().widthPx, bottom = first.facts().heightPx;
    const double width = second.facts().widthPx, height = second.facts().heightPx;
    for (const ScanPx corner : {ScanPx{0, 0}, {width, 0}, {0, height}, {width, height}}) {
        const ScanPx at = stitching.toFirst(corner);
        left = std::min(left, at.column), right = std::max(right, at.column);
        top = std::min(top, at.row), bottom = std::max(bottom, at.row);
    }
    const double x = std::floor(left), y = std::floor(top);
    if (!(right - x < LargestSidePx && bottom - y < LargestSidePx))
        return {};
    return {static_cast<int>(x), static_cast<int>(y), static_cast<int>(std::ceil(right - x)),
            static_cast<int>(std::ceil(bottom - y))};
}

/// How far a place lies within a scan, in pixels; negative outside.
double depth(const ScanFacts& facts, ScanPx at)
{
    return std::min({at.column, at.row, facts.widthPx - at.column, facts.heightPx - at.row});
}

class Composer {
public:
    Composer(const Scan& first, const Scan& second, const Stitching& stitching, HalvesDpi dpi,
             SourceTiles& firstTiles, SourceTiles& secondTiles, int channels)
        : m_first(first), m_second(second), m_stitching(stitching), m_firstTiles(firstTiles),
          m_secondTiles(secondTiles), m_channels(channels),
          m_passagePx(PassageMm * dpi.first / MillimetresPerInch),
          m_firstPxPerSecondPx(1 / std::hypot(stitching.a, stitching.b))
    {
    }

    /// `area` in pixels of the first half.
    LaidPlanes& compose(const PxRect& area)
    {
        m_out.clear(area, m_channels);
        copyFirst(area);
        if (resampleSecond(area))
            merge(area);
        return m_out;
    }

private:
    void copyFirst(const PxRect& area)
    {
        const int left = std::max(area.column, 0), top = std::max(area.row, 0);
        const int right = std::min(area.column + area.width, m_first.facts().widthPx);
        const int bottom = std::min(area.row + area.height, m_first.facts().heightPx);
        if (left >= right || top >= bottom)
            return;
        m_firstTiles.readPatch(m_first, {left, top, right - left, bottom - top}, m_patch);
        std::size_t from = 0;
        for (int row = top; row < bottom; ++row)
            for (int column = left; column < right; ++column, ++from) {
                if (!m_patch.damaged.empty() && m_patch.damaged[from])
                    continue;
                const std::size_t to = index(area, column, row);
                for (std::size_t c = 0; c < channels(); ++c)
                    m_out.planes[c][to] = m_patch.pixels[from * channels() + c];
                m_out.alpha()[to] = 255;
            }
    }

    bool resampleSecond(const PxRect& area)
    {
        const LocateInScan locate = [this](double column, double row) -> std::optional<ScanPx> {
            return m_stitching.toSecond({column, row});
        };
        const SourceCells found = coverWithCells(locate, area, ExactnessPx);
        const ScanFacts& facts = m_second.facts();
        const int margin = kernelReachPx(Kernel::Cubic) + 2;
        const double left = std::max<double>(std::floor(found.left) - margin, -margin);
        const double top = std::max<double>(std::floor(found.top) - margin, -margin);
        const double right = std::min<double>(std::ceil(found.right) + margin, facts.widthPx + margin);
        const double bottom = std::min<double>(std::ceil(found.bottom) + margin, facts.heightPx + margin);
        if (left >= right || top >= bottom || found.right < 0 || found.bottom < 0 ||
            found.left > facts.widthPx || found.top > facts.heightPx)
            return false;
        m_secondTiles.readPatch(m_second,
                                {static_cast<int>(left), static_cast<int>(top),
                                 static_cast<int>(right - left), static_cast<int>(bottom - top)},
                                m_patch);
        m_other.clear(area, m_channels);
        for (const SourceCell& cell : found.cells)
            resampleCell(Kernel::Cubic, cell, locate, m_patch, {facts.widthPx, facts.heightPx}, m_other);
        return true;
    }

    void merge(const PxRect& area)
    {
        for (int row = area.row; row < area.row + area.height; ++row)
            for (int column = area.column; column < area.column + area.width; ++column) {
                const std::size_t i = index(area, column, row);
                if (!m_other.alpha()[i])
                    continue;
                const double share = m_out.alpha()[i] ? shareOfSecond({column + 0.5, row + 0.5}) : 1.0;
                for (std::size_t c = 0; c < channels() && share > 0; ++c)
                    m_out.planes[c][i] = static_cast<std::uint8_t>(
                        std::lround((1 - share) * m_out.planes[c][i] + share * m_other.planes[c][i]));
                m_out.alpha()[i] = 255;
            }
    }

    double shareOfSecond(ScanPx at) const
    {
        const double first = depth(m_first.facts(), at);
        const double second = depth(m_second.facts(), m_stitching.toSecond(at)) * m_firstPxPerSecondPx;
        return std::clamp(0.5 + (second - first) / (2 * m_passagePx), 0.0, 1.0);
    }

    std::size_t channels() const { return static_cast<std::size_t>(m_channels); }
    static std::size_t index(const PxRect& area, int column, int row)
    {
        return static_cast<std::size_t>(row - area.row) * static_cast<std::size_t>(area.width) +
               static_cast<std::size_t>(column - area.column);
    }

    const Scan &m_first, &m_second;
    const Stitching& m_stitching;
    SourceTiles &m_firstTiles, &m_secondTiles;
    int m_channels;
    double m_passagePx, m_firstPxPerSecondPx;
    SourcePatch m_patch;
    LaidPlanes m_out, m_other;
};

/// The file under its temporary name; taken away unless kept.
class Output {
public:
    explicit Output(const fs::path& file)
        : m_file(fs::absolute(file)),
          m_temporary(m_file.parent_path() /
                      ("." + m_file.filename().string() + "." + std::to_string(::getpid()) + ".part"))
    {
    }
    ~Output()
    {
        const GdalSession quiet;
        m_dataset.reset();
        std::error_code ignored;
        if (!m_kept)
            fs::remove(m_temporary, ignored);
    }
    Output(const Output&) = delete;
    Output& operator=(const Output&) = delete;

    Result<void> begin(const Sheet& sheet, int channels, double dpi)
    {
        GdalSession session;
        CPLStringList options;
        for (const char* option : {"TILED=YES", "BLOCKXSIZE=256", "BLOCKYSIZE=256", "COMPRESS=DEFLATE",
                                   "NUM_THREADS=ALL_CPUS", "BIGTIFF=IF_SAFER", "INTERLEAVE=PIXEL"})
            options.AddString(option);
        options.SetNameValue("PHOTOMETRIC", channels == 3 ? "RGB" : "MINISBLACK");
        m_dataset.reset(GetGDALDriverManager()->GetDriverByName("GTiff")->Create(
            m_temporary.c_str(), sheet.width, sheet.height, channels, GDT_Byte, options.List()));
        if (!m_dataset)
            return trouble(session);
        m_dataset->SetMetadataItem("TIFFTAG_RESOLUTIONUNIT", "2"); // inches, TIFF 6.0 section 8
        m_dataset->SetMetadataItem("TIFFTAG_XRESOLUTION", exact(dpi).c_str());
        m_dataset->SetMetadataItem("TIFFTAG_YRESOLUTION", exact(dpi).c_str());
        return {};
    }
    Result<void> write(int tileColumn, int tileRow, const LaidPlanes& tile)
    {
        GdalSession session;
        for (int band = 0; band < tile.channels; ++band) {
            auto* samples = const_cast<std::uint8_t*>(tile.planes[static_cast<std::size_t>(band)].data());
            if (m_dataset->GetRasterBand(band + 1)->WriteBlock(tileColumn, tileRow, samples) != CE_None ||
                session.failed())
                return trouble(session);
        }
        return {};
    }
    Result<void> keep()
    {
        GdalSession session;
        m_dataset->FlushCache();
        m_dataset.reset();
        if (session.failed())
            return trouble(session);
        if (const Result<Scan> whole = Scan::open(m_temporary); !whole) // GDAL does not tell all at closing
            return trouble(session);
        const int descriptor = ::open(m_temporary.c_str(), O_RDONLY | O_CLOEXEC);
        const bool synced = descriptor >= 0 && ::fsync(descriptor) == 0;
        if (descriptor >= 0)
            ::close(descriptor);
        std::error_code failed;
        if (synced)
            fs::rename(m_temporary, m_file, failed);
        if (!synced || failed)
            return trouble(session);
        m_kept = true;
        return {};
    }

private:
    /// GDAL passes on that a write failed, but not always why: the disk is asked.
    Error trouble(const GdalSession& session)
    {
        std::error_code ignored;
        constexpr std::uintmax_t Little = 1 << 20;
        if (fs::space(m_file.parent_path(), ignored).available < Little)
            return {ErrorCode::OutOfSpace, m_file.string() +
                                               ": there is no room to write the stitched scan; "
                                               "free some space or choose another folder"};
        return {ErrorCode::System,
                m_file.string() + ": the stitched scan cannot be written (" + session.firstFailure() + ")"};
    }

    fs::path m_file, m_temporary;
    GDALDatasetUniquePtr m_dataset;
    bool m_kept = false;
};

} // namespace

Result<StitchedScan> stitchHalves(const Scan& first, const Scan& second, const Stitching& stitching,
                                  HalvesDpi dpi, const fs::path& output, const Progress& progress)
{
    std::error_code ignored;
    for (const Scan* half : {&first, &second})
        if (fs::equivalent(half->file(), output, ignored))
            return Error{ErrorCode::Conflict,
                         output.string() + ": this is one of the halves; choose another name"};
    const Sheet sheet = sheetOf(first, second, stitching);
    if (sheet.width <= 0)
        return Error{ErrorCode::Unsolvable, output.string() + ": the halves would lie far apart"};
    const int channels = std::max(first.channels(), second.channels());
    const fs::path scratch = fs::absolute(output).parent_path();
    const auto firstTiles =
        SourceTiles::open(first.file(), channels, TileBytes, scratch, shareOf(progress, 0, 0.15));
    if (!firstTiles)
        return firstTiles.error();
    const auto secondTiles =
        SourceTiles::open(second.file(), channels, TileBytes, scratch, shareOf(progress, 0.15, 0.3));
    if (!secondTiles)
        return secondTiles.error();
    Output file(output);
    if (Result<void> begun = file.begin(sheet, channels, dpi.first); !begun)
        return begun.error();
    Composer composer(first, second, stitching, dpi, **firstTiles, **secondTiles, channels);
    const int columns = (sheet.width + TilePx - 1) / TilePx, rows = (sheet.height + TilePx - 1) / TilePx;
    for (int i = 0; i < columns * rows; ++i) {
        if (!report(progress, 0.3 + 0.7 * i / (columns * rows)))
            return Error{ErrorCode::Cancelled, output.string() + ": stitching was stopped"};
        const PxRect area{sheet.left + i % columns * TilePx, sheet.top + i / columns * TilePx, TilePx,
                          TilePx};
        if (Result<void> written = file.write(i % columns, i / columns, composer.compose(area)); !written)
            return written.error();
    }
    if (Result<void> kept = file.keep(); !kept)
        return kept.error();
    StitchedScan done{fs::absolute(output),
                      sheet.width,
                      sheet.height,
                      {double(-sheet.left), double(-sheet.top)},
                      (*firstTiles)->damage()};
    for (const std::string& words : (*secondTiles)->damage())
        done.damage.push_back(words);
    return done;
}

} // namespace inkpeg
