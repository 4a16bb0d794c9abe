// SPDX-License-Identifier: GPL-3.0-or-later
// Writes small TIFF files of every kind through GDAL, for the tests of this folder.
#pragma once

#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include <cpl_string.h>
#include <gdal_priv.h>

namespace inkpeg::test {

/// `bands` interleaved samples a pixel. `options` are those of GDAL's GTiff driver.
struct TiffPicture {
    int width = 0, height = 0, bands = 1;
    std::vector<std::uint16_t> samples;
    GDALDataType type = GDT_Byte;
    CPLStringList options;
    CPLStringList tags; ///< e.g. TIFFTAG_XRESOLUTION=400
    std::vector<GDALColorEntry> palette;
};

inline bool writeTiff(const std::filesystem::path& file, const TiffPicture& picture)
{
    GDALAllRegister();
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
    GDALDatasetUniquePtr dataset(driver->Create(file.c_str(), picture.width, picture.height, picture.bands,
                                                picture.type, picture.options.List()));
    if (!dataset)
        return false;
    for (int i = 0; i < picture.tags.size(); ++i) {
        char* key = nullptr;
        const char* value = CPLParseNameValue(picture.tags[i], &key);
        dataset->SetMetadataItem(key, value);
        CPLFree(key);
    }
    if (!picture.palette.empty()) {
        GDALColorTable table;
        for (std::size_t i = 0; i < picture.palette.size(); ++i)
            table.SetColorEntry(static_cast<int>(i), &picture.palette[i]);
        dataset->GetRasterBand(1)->SetColorTable(&table);
    }
    return dataset->RasterIO(GF_Write, 0, 0, picture.width, picture.height,
                             const_cast<std::uint16_t*>(picture.samples.data()), picture.width,
                             picture.height, GDT_UInt16, picture.bands, nullptr, picture.bands * 2,
                             static_cast<GSpacing>(picture.bands) * picture.width * 2, 2,
                             nullptr) == CE_None;
}

/// Grey waves with a little of everything, deterministic.
inline TiffPicture wavesPicture(int width, int height, const CPLStringList& options = {})
{
    TiffPicture picture;
    picture.width = width;
    picture.height = height;
    picture.options = options;
    picture.samples.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    std::uint32_t state = 12345;
    for (int row = 0; row < height; ++row)
        for (int column = 0; column < width; ++column) {
            state = state * 1664525u + 1013904223u;
            const int wave = 128 + (column * 7 + row * 3) % 97 - 48;
            picture.samples[static_cast<std::size_t>(row) * static_cast<std::size_t>(width) +
                            static_cast<std::size_t>(column)] =
                static_cast<std::uint16_t>(wave + static_cast<int>(state >> 27));
        }
    return picture;
}

inline std::string contentOf(const std::filesystem::path& file)
{
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

inline void writeContent(const std::filesystem::path& file, const std::string& content)
{
    std::ofstream(file, std::ios::binary) << content;
}

} // namespace inkpeg::test
