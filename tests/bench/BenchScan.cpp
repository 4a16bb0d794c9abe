// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/bench/BenchScan.h"

#include <algorithm>
#include <cmath>
#include <string>

#include <cpl_string.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

namespace inkpeg::bench {
namespace {

constexpr double Pi = 3.14159265358979323846;
constexpr int BandPx = 256;

/// One band of rows: noise from a small generator, so that the film packs as badly as a scan does.
void drawBand(std::vector<std::uint8_t>& pixels, int width, int top, int rows, std::uint32_t& state)
{
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < width; ++column) {
            state = state * 1664525u + 1013904223u;
            const int noise = static_cast<int>((state >> 30) + ((state >> 28) & 3u)); // 0 to 6, mean 3
            const int y = top + row;
            int grey = 228 + noise;
            if (column % 24 == 0 || y % 24 == 0)
                grey -= 12;
            if ((column + y / 3) % 1700 < 6 || (y * 2 + column / 5) % 2300 < 9)
                grey -= 120;
            pixels[static_cast<std::size_t>(row) * static_cast<std::size_t>(width) +
                   static_cast<std::size_t>(column)] = static_cast<std::uint8_t>(grey);
        }
}

OGRSpatialReference crs()
{
    OGRSpatialReference reference;
    reference.importFromEPSG(25832);
    reference.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return reference;
}

GDALDatasetUniquePtr openCopy(const std::filesystem::path& scan, const std::filesystem::path& copy)
{
    std::filesystem::copy_file(scan, copy, std::filesystem::copy_options::overwrite_existing);
    return GDALDatasetUniquePtr(GDALDataset::Open(copy.c_str(), GDAL_OF_RASTER | GDAL_OF_UPDATE));
}

} // namespace

bool writeScan(const std::filesystem::path& file, int width, int height)
{
    GDALAllRegister();
    CPLStringList options;
    options.SetNameValue("TILED", "YES");
    options.SetNameValue("COMPRESS", "DEFLATE");
    options.SetNameValue("NUM_THREADS", "ALL_CPUS");
    GDALDatasetUniquePtr dataset(GetGDALDriverManager()->GetDriverByName("GTiff")->Create(
        file.c_str(), width, height, 1, GDT_Byte, options.List()));
    if (!dataset)
        return false;
    std::vector<std::uint8_t> band(static_cast<std::size_t>(width) * BandPx);
    std::uint32_t state = 1;
    for (int top = 0; top < height; top += BandPx) {
        const int rows = std::min(BandPx, height - top);
        drawBand(band, width, top, rows, state);
        if (dataset->GetRasterBand(1)->RasterIO(GF_Write, 0, top, width, rows, band.data(), width, rows,
                                                GDT_Byte, 0, 0, nullptr) != CE_None)
            return false;
    }
    return true;
}

FilmFrame frameOf(int width, int height)
{
    return {double(width), double(height), 600, 600, false};
}

std::vector<ControlPoint> pinsOf(const FilmFrame& film, double cockleMm)
{
    const double widthMm = film.widthPx * MillimetresPerInch / film.dpiX;
    const double heightMm = film.heightPx * MillimetresPerInch / film.dpiY;
    const double c = 0.02 * std::cos(3 * Pi / 180), s = 0.02 * std::sin(3 * Pi / 180); // 1:20
    std::vector<ControlPoint> pins;
    for (int i = 0; i < 4; ++i)
        for (int k = 0; k < 4; ++k) {
            const FilmMm place{widthMm * (0.05 + 0.3 * i), heightMm * (0.05 + 0.3 * k)};
            const double x = place.x + cockleMm * std::sin(3.1 * k + i),
                         y = place.y + cockleMm * std::cos(2.3 * i - k);
            pins.push_back({"P" + std::to_string(4 * i + k),
                            place,
                            {565000 + c * x - s * y, 5932000 + s * x + c * y}});
        }
    return pins;
}

bool writeWithPins(const std::filesystem::path& scan, const std::filesystem::path& copy,
                   const FilmFrame& film, const std::vector<ControlPoint>& pins)
{
    const auto dataset = openCopy(scan, copy);
    std::vector<GDAL_GCP> points(pins.size());
    GDALInitGCPs(static_cast<int>(points.size()), points.data());
    for (std::size_t i = 0; i < pins.size(); ++i) {
        const ScanPx place = film.toScan(pins[i].film);
        points[i].dfGCPPixel = place.column;
        points[i].dfGCPLine = place.row;
        points[i].dfGCPX = pins[i].ground.east;
        points[i].dfGCPY = pins[i].ground.north;
    }
    const OGRSpatialReference reference = crs();
    const bool done =
        dataset && dataset->SetGCPs(static_cast<int>(points.size()), points.data(), &reference) == CE_None;
    GDALDeinitGCPs(static_cast<int>(points.size()), points.data());
    return done;
}

bool writeWithAffine(const std::filesystem::path& scan, const std::filesystem::path& copy,
                     const FilmFrame& film, const GroundTransform& transform)
{
    const auto dataset = openCopy(scan, copy);
    const auto ground = [&](double column, double row) {
        return transform.toGround(film.toFilm({column, row}));
    };
    const GroundM origin = ground(0, 0), right = ground(1000, 0), down = ground(0, 1000);
    double geotransform[6] = {
        origin.east,  (right.east - origin.east) / 1000,   (down.east - origin.east) / 1000,
        origin.north, (right.north - origin.north) / 1000, (down.north - origin.north) / 1000};
    const OGRSpatialReference reference = crs();
    return dataset && dataset->SetGeoTransform(geotransform) == CE_None &&
           dataset->SetSpatialRef(&reference) == CE_None;
}

} // namespace inkpeg::bench
