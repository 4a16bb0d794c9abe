// SPDX-License-Identifier: GPL-3.0-or-later
// Lays a scan: resamples it into the site grid and writes a tiled GeoTIFF with alpha outside the film.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/base/Units.h"
#include "core/film/Scan.h"
#include "core/fit/GroundTransform.h"

namespace inkpeg {

enum class Kernel { Nearest, Bilinear, Cubic };
enum class Packing { None, Deflate, Zstd };

/// The metadata item of the file that keeps LaySettings::laidFrom.
inline constexpr const char* LaidFromItem = "INKPEG_LAID_FROM";

struct LaySettings {
    Kernel kernel = Kernel::Bilinear;
    Packing packing = Packing::Deflate;
    /// Ground size of an output pixel; by default the scan's own at the sheet's centre.
    std::optional<double> pixelM;
    std::vector<ScanPx> frame; ///< outline of what to lay, in scan pixels; empty = the whole sheet
    double exactnessPx = 0.02; ///< bound on the approximation of the source position
    int threads = 0;           ///< 0 = one for each core
    std::size_t sourceBytes = std::size_t{96} << 20; ///< decoded tiles of the scan kept in memory
    bool overviews = true;
    bool cloudOptimised = false;
    bool worldFile = false;
    std::string laidFrom; ///< what the film is laid from, as a digest; kept in the file (see laidFrom)
};

struct LayReport {
    std::filesystem::path file;
    int widthPx = 0, heightPx = 0;
    double pixelM = 0;
    GroundM upperLeft;
    /// Largest difference found between exact and interpolated source positions.
    double worstApproximationPx = 0;
    std::vector<std::string> damage; ///< unreadable parts of the scan, laid as transparent
};

/// Writes to a temporary name beside `output`, syncs, then renames: there is never half a file.
/// `crs` is whatever PROJ reads as one, e.g. "EPSG:25832".
/// Errors: BadInput (CRS, frame); OutOfSpace; System; Cancelled.
/// Source: OGC 19-008r4 (GeoTIFF 1.1).
Result<LayReport> lay(const Scan& scan, const FilmFrame& film, const GroundTransform& transform,
                      const std::string& crs, const std::filesystem::path& output,
                      const LaySettings& settings, const Progress& progress = {});

/// The LaySettings::laidFrom of a laid file; empty when there is no such file, or it does not say.
std::string laidFrom(const std::filesystem::path& file);

} // namespace inkpeg
