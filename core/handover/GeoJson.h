// SPDX-License-Identifier: GPL-3.0-or-later
// Writes layers as GeoJSON (RFC 7946): WGS 84 longitude and latitude, outer rings counter-clockwise.
#pragma once

#include <filesystem>
#include <vector>

#include "core/base/Result.h"
#include "core/handover/FeatureLayer.h"
#include "core/handover/LongitudeLatitude.h"

namespace inkpeg {

/// 1e-8 degree of latitude is 1.1 mm: a tenth of the smallest error a scaled drawing can have. RFC
/// 7946, 11.2, asks not to write more than needed.
inline constexpr int DefaultLonLatDecimals = 8;

/// A tenth of a millimetre, with a digit to spare.
inline constexpr int LevelDecimals = 5;

/// One file, one FeatureCollection. The levels of points stay in the properties: RFC 7946 wants heights
/// above the ellipsoid, which a site datum does not give. What stands in space (sections) would be nothing
/// without them: there the third number is the level above the project's datum, and the hand-over says so.
/// Errors: Unsolvable (a place that cannot be converted; a
/// feature that crosses the antimeridian); System.
Result<void> writeGeoJson(const FeatureLayer& layer, const LongitudeLatitude& toLonLat,
                          const std::filesystem::path& file, int decimals = DefaultLonLatDecimals);

} // namespace inkpeg
