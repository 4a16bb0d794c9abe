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

/// One file, one FeatureCollection. Levels stay in the properties: RFC 7946 wants heights above the
/// ellipsoid, which a site datum does not give. Errors: Unsolvable (a place that cannot be converted; a
/// feature that crosses the antimeridian); System.
Result<void> writeGeoJson(const FeatureLayer& layer, const LongitudeLatitude& toLonLat,
                          const std::filesystem::path& file, int decimals = DefaultLonLatDecimals);

} // namespace inkpeg
