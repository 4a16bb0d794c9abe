// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/LaidFile.h"

#include <cerrno>
#include <cmath>
#include <cstring>
#include <fstream>

#include <fcntl.h>
#include <unistd.h>

#include <cpl_string.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include "core/base/Text.h"
#include "core/film/GdalSession.h"

namespace inkpeg {
namespace fs = std::filesystem;
namespace {

/// What keeps a file from growing, or 0: GDAL passes on that a write failed, but not always why.
int whyNoRoom(const fs::path& file)
{
    const int descriptor = ::open(file.c_str(), O_WRONLY | O_CLOEXEC);
    if (descriptor < 0)
        return 0;
    constexpr std::size_t Probe = 1 << 20;
    const std::vector<char> bytes(Probe);
    const ssize_t written = ::pwrite(descriptor, bytes.data(), Probe, ::lseek(descriptor, 0, SEEK_END));
    const int number = written < 0 ? errno : written < static_cast<ssize_t>(Probe) ? ENOSPC : 0;
    ::close(descriptor);
    return number;
}

/// `temporary` will not be used any more: it may be written to.
Error writeTrouble(const fs::path& output, const fs::path& temporary, const std::string& reason)
{
    const int number = whyNoRoom(temporary);
    if (number == ENOSPC || number == EFBIG || number == EDQUOT)
        return {ErrorCode::OutOfSpace, output.string() + ": there is no room to write the laid film (" +
                                           std::strerror(number) +
                                           "); free some space or choose another folder"};
    return {ErrorCode::System, output.string() + ": the laid film cannot be written (" + reason + ")"};
}

Result<OGRSpatialReference> readCrs(const std::string& crs)
{
    OGRSpatialReference reference;
    reference.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    const char* const own[] = {"ALLOW_NETWORK_ACCESS=NO", "ALLOW_FILE_ACCESS=NO", nullptr};
    if (crs.empty() || reference.SetFromUserInput(crs.c_str(), own) != OGRERR_NONE)
        return Error{ErrorCode::BadInput,
                     "the CRS \"" + crs + "\" is not known; give one like EPSG:25832 or its WKT"};
    return reference;
}

CPLStringList creationOptions(const LaySettings& settings, bool temporary)
{
    CPLStringList options;
    options.SetNameValue("TILED", "YES");
    options.SetNameValue("BLOCKXSIZE", std::to_string(LaidTilePx).c_str());
    options.SetNameValue("BLOCKYSIZE", std::to_string(LaidTilePx).c_str());
    options.SetNameValue("ALPHA", "NON-PREMULTIPLIED");
    options.SetNameValue("GEOTIFF_VERSION", "1.1");
    options.SetNameValue("BIGTIFF", "IF_SAFER");
    // What the cloud layout is made from is thrown away, and packing it would be work for nothing.
    if (settings.packing != Packing::None && !temporary) {
        options.SetNameValue("COMPRESS", settings.packing == Packing::Zstd ? "ZSTD" : "DEFLATE");
        options.SetNameValue("NUM_THREADS",
                             settings.threads > 0 ? std::to_string(settings.threads).c_str() : "ALL_CPUS");
    }
    return options;
}

Result<void> syncFile(const fs::path& file, const fs::path& output)
{
    const int descriptor = ::open(file.c_str(), O_RDONLY | O_CLOEXEC);
    if (descriptor < 0)
        return writeTrouble(output, file, std::strerror(errno));
    const int failed = ::fsync(descriptor) != 0 ? errno : 0;
    ::close(descriptor);
    if (failed)
        return writeTrouble(output, file, std::strerror(failed));
    return {};
}

int CPL_STDCALL passOn(double share, const char*, void* progress)
{
    return report(*static_cast<const Progress*>(progress), share) ? TRUE : FALSE;
}

Progress part(const Progress& whole, double from, double to)
{
    if (!whole)
        return {};
    return [&whole, from, to](double share) { return whole(from + share * (to - from)); };
}

Error cancelled(const fs::path& output)
{
    return {ErrorCode::Cancelled, output.string() + ": laying was stopped"};
}

} // namespace

struct LaidFile::Open {
    fs::path output;
    fs::path temporary;
    LayGrid grid;
    LaySettings settings;
    GDALDatasetUniquePtr dataset;
    bool renamed = false;
    bool cancelled = false;
};

LaidFile::LaidFile(std::unique_ptr<Open> open) : m_open(std::move(open)) {}

LaidFile::~LaidFile()
{
    const GdalSession quiet;
    m_open->dataset.reset();
    if (m_open->renamed)
        return;
    // The cloud layout is built with helpers beside it, named after it.
    std::error_code ignored;
    const std::string stem = m_open->temporary.filename().string();
    const fs::path folder = m_open->temporary.parent_path();
    for (const auto& entry : fs::directory_iterator(folder.empty() ? "." : folder, ignored))
        if (entry.path().filename().string().starts_with(stem))
            fs::remove(entry.path(), ignored);
}

Result<std::unique_ptr<LaidFile>> LaidFile::create(const fs::path& output, const LayGrid& grid,
                                                   int channels, const std::string& crs,
                                                   const LaySettings& settings)
{
    GdalSession session;
    const Result<OGRSpatialReference> reference = readCrs(crs);
    if (!reference)
        return reference.error();
    auto open = std::make_unique<Open>();
    open->output = fs::absolute(output);
    open->temporary = open->output.parent_path() /
                      ("." + open->output.filename().string() + "." + std::to_string(::getpid()) + ".part");
    open->grid = grid;
    open->settings = settings;
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
    open->dataset.reset(driver->Create(open->temporary.c_str(), grid.widthPx, grid.heightPx, channels + 1,
                                       GDT_Byte,
                                       creationOptions(settings, settings.cloudOptimised).List()));
    std::unique_ptr<LaidFile> file(new LaidFile(std::move(open)));
    GDALDataset* dataset = file->m_open->dataset.get();
    if (!dataset)
        return writeTrouble(output, file->m_open->temporary, session.firstFailure());
    double geotransform[6] = {grid.upperLeft.east, grid.pixelM, 0, grid.upperLeft.north, 0, -grid.pixelM};
    dataset->SetGeoTransform(geotransform);
    dataset->SetSpatialRef(&*reference);
    dataset->SetMetadataItem("AREA_OR_POINT", "Area");
    dataset->GetRasterBand(channels + 1)->SetColorInterpretation(GCI_AlphaBand);
    if (session.failed())
        return writeTrouble(output, file->m_open->temporary, session.firstFailure());
    return file;
}

Result<void> LaidFile::write(int tileColumn, int tileRow, const LaidPlanes& tile)
{
    const std::lock_guard lock(m_mutex);
    GdalSession session;
    for (int band = 0; band <= tile.channels; ++band) {
        auto* samples = const_cast<std::uint8_t*>(tile.planes[static_cast<std::size_t>(band)].data());
        if (m_open->dataset->GetRasterBand(band + 1)->WriteBlock(tileColumn, tileRow, samples) != CE_None ||
            session.failed())
            return writeTrouble(m_open->output, m_open->temporary, session.firstFailure());
    }
    return {};
}

/// Closes the dataset; what GDAL still had to write may fail now.
Result<void> LaidFile::close()
{
    GdalSession session;
    m_open->dataset->FlushCache();
    m_open->dataset.reset();
    if (session.failed())
        return writeTrouble(m_open->output, m_open->temporary, session.firstFailure());
    return {};
}

Result<void> LaidFile::buildOverviews(const Progress& progress)
{
    std::vector<int> factors;
    for (int factor = 2; std::max(m_open->grid.widthPx, m_open->grid.heightPx) > LaidTilePx * factor / 2;
         factor *= 2)
        factors.push_back(factor);
    if (factors.empty())
        return {};
    GdalSession session;
    const CPLErr done =
        m_open->dataset->BuildOverviews("AVERAGE", static_cast<int>(factors.size()), factors.data(), 0,
                                        nullptr, passOn, const_cast<Progress*>(&progress));
    if (!report(progress, 1))
        return cancelled(m_open->output);
    if (done != CE_None || session.failed())
        return writeTrouble(m_open->output, m_open->temporary, session.firstFailure());
    return {};
}

Result<void> LaidFile::rearrangeForCloud(const Progress& progress)
{
    GdalSession session;
    CPLStringList options;
    const Packing packing = m_open->settings.packing;
    options.SetNameValue("COMPRESS", packing == Packing::None   ? "NONE"
                                     : packing == Packing::Zstd ? "ZSTD"
                                                                : "DEFLATE");
    options.SetNameValue("BLOCKSIZE", std::to_string(LaidTilePx).c_str());
    options.SetNameValue("OVERVIEW_RESAMPLING", "AVERAGE");
    options.SetNameValue("OVERVIEWS", m_open->settings.overviews ? "AUTO" : "NONE");
    options.SetNameValue("GEOTIFF_VERSION", "1.1");
    options.SetNameValue("BIGTIFF", "IF_SAFER");
    const fs::path arranged = m_open->temporary.string() + "-cloud";
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("COG");
    GDALDatasetUniquePtr source(GDALDataset::Open(m_open->temporary.c_str(), GDAL_OF_RASTER));
    if (!driver || !source)
        return Error{ErrorCode::System,
                     m_open->output.string() + ": GDAL has no writer for the cloud-optimised layout"};
    GDALDatasetUniquePtr made(driver->CreateCopy(arranged.c_str(), source.get(), FALSE, options.List(),
                                                 passOn, const_cast<Progress*>(&progress)));
    if (!report(progress, 1))
        return cancelled(m_open->output);
    const bool whole = made != nullptr;
    made.reset();
    source.reset();
    if (!whole || session.failed())
        return writeTrouble(m_open->output, m_open->temporary, session.firstFailure());
    std::error_code trouble;
    fs::rename(arranged, m_open->temporary, trouble);
    if (trouble)
        return writeTrouble(m_open->output, m_open->temporary, trouble.message());
    return {};
}

/// Six lines: pixel size and rotation, then the centre of the upper left pixel.
Result<void> LaidFile::writeWorldFile()
{
    const LayGrid& grid = m_open->grid;
    fs::path file = m_open->output;
    file.replace_extension(".tfw");
    const fs::path temporary = m_open->temporary.string() + "-world";
    std::ofstream out(temporary);
    out << exact(grid.pixelM) << "\n0\n0\n"
        << exact(-grid.pixelM) << '\n'
        << exact(grid.upperLeft.east + grid.pixelM / 2) << '\n'
        << exact(grid.upperLeft.north - grid.pixelM / 2) << '\n';
    out.close();
    std::error_code trouble;
    if (out)
        fs::rename(temporary, file, trouble);
    if (!out || trouble)
        return writeTrouble(file, temporary, out ? trouble.message() : std::strerror(errno));
    return {};
}

Result<void> LaidFile::finish(const Progress& progress)
{
    const bool cloud = m_open->settings.cloudOptimised;
    if (m_open->settings.overviews && !cloud)
        if (Result<void> built = buildOverviews(part(progress, 0, 0.9)); !built)
            return built;
    if (Result<void> closed = close(); !closed)
        return closed;
    if (cloud)
        if (Result<void> arranged = rearrangeForCloud(part(progress, 0, 0.9)); !arranged)
            return arranged;
    // GDAL does not say at closing whether everything reached the file: look.
    if (const Result<Scan> whole = Scan::open(m_open->temporary); !whole)
        return writeTrouble(m_open->output, m_open->temporary, "the file is not whole after writing");
    if (Result<void> synced = syncFile(m_open->temporary, m_open->output); !synced)
        return synced;
    if (!report(progress, 1))
        return cancelled(m_open->output);
    if (m_open->settings.worldFile)
        if (Result<void> written = writeWorldFile(); !written)
            return written;
    std::error_code trouble;
    fs::rename(m_open->temporary, m_open->output, trouble);
    if (trouble)
        return writeTrouble(m_open->output, m_open->temporary, trouble.message());
    m_open->renamed = true;
    return syncFile(m_open->output.parent_path(), m_open->output);
}

} // namespace inkpeg
