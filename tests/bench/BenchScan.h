// SPDX-License-Identifier: GPL-3.0-or-later
// The film that the bench lays, and its pins.
#pragma once

#include <filesystem>
#include <vector>

#include "core/base/Units.h"
#include "core/fit/ControlFit.h"

namespace inkpeg::bench {

/// 8-bit grey, tiled, DEFLATE: toned film with scanner noise, a printed grid and some hundred lines.
bool writeScan(const std::filesystem::path& file, int width, int height);

FilmFrame frameOf(int width, int height);

/// Sixteen pins of a film turned by 3 degrees; with `cockleMm` it lies in waves of that height.
std::vector<ControlPoint> pinsOf(const FilmFrame& film, double cockleMm);

/// Copies `scan` and gives the copy what GDAL's warper needs to know: the same pins as ground control
/// points.
bool writeWithPins(const std::filesystem::path& scan, const std::filesystem::path& copy,
                   const FilmFrame& film, const std::vector<ControlPoint>& pins);

/// The same with the affine map itself.
bool writeWithAffine(const std::filesystem::path& scan, const std::filesystem::path& copy,
                     const FilmFrame& film, const GroundTransform& transform);

} // namespace inkpeg::bench
