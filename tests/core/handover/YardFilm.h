// SPDX-License-Identifier: GPL-3.0-or-later
// Scans for the sheets of the yard: grey film with its pencil lines, as large as its records say.
#pragma once

#include <random>

#include <gdal_priv.h>

#include "core/base/Digest.h"
#include "tests/core/handover/YardProject.h"

namespace inkpeg::yard {

/// Film with the grain and the veil that scanners see; the kiln's outline stands on it. Drawn from a fixed
/// seed, compressed without loss as scans are kept. Writes film/F1.tif and film/F2.tif beside the project
/// and states their digests in its sheets.
inline void scanFilm(Project& project)
{
    GDALAllRegister();
    const std::filesystem::path folder = project.file().parent_path() / "film";
    std::filesystem::create_directories(folder);
    const int width = static_cast<int>(Film.widthPx), height = static_cast<int>(Film.heightPx);
    std::vector<unsigned char> grey(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    std::mt19937 chance(4);
    for (unsigned char& pixel : grey)
        pixel = static_cast<unsigned char>(220 + chance() % 24);
    const auto line = [&](int column, int row, int across, int down) {
        for (int y = row; y < row + down; ++y)
            for (int x = column; x < column + across; ++x)
                grey[static_cast<std::size_t>(y) * static_cast<std::size_t>(width) +
                     static_cast<std::size_t>(x)] = 40;
    };
    line(500, 500, 1000, 6);
    line(500, 1394, 1000, 6);
    line(500, 500, 6, 900);
    line(1494, 500, 6, 900);
    for (const char* number : {"F1", "F2"}) {
        Sheet sheet = project.byKey<Sheet>(number).value();
        const std::filesystem::path file = project.file().parent_path() / sheet.scanFile;
        GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
        const char* compressed[] = {"COMPRESS=DEFLATE", "TILED=YES", nullptr};
        GDALDatasetUniquePtr scan(
            driver->Create(file.c_str(), width, height, 1, GDT_Byte, const_cast<char**>(compressed)));
        if (!scan || scan->GetRasterBand(1)->RasterIO(GF_Write, 0, 0, width, height, grey.data(), width,
                                                      height, GDT_Byte, 0, 0) != CE_None)
            throw std::runtime_error("no scan " + file.string());
        scan.reset();
        sheet.scanSha256 = digestOfFile(file).value();
        const Result<Change> stated =
            project.act("scan a sheet", [&](Editor& edit) { return edit.put(sheet); });
        if (!stated)
            throw std::runtime_error(stated.error().message);
    }
}

} // namespace inkpeg::yard
