// SPDX-License-Identifier: GPL-3.0-or-later
// Writes layers through GDAL's vector drivers: GeoPackage, GML and shapefile.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/handover/FeatureLayer.h"

namespace inkpeg {

/// One GeoPackage (OGC 12-128r17) with every layer, those without geometry as attribute tables. Levels that
/// are known become Z. `crs` is an authority code; `at` (ISO 8601, UTC) is written as the time of the last
/// change. Errors: BadInput (CRS); System; OutOfSpace; Cancelled.
Result<void> writeGeoPackage(const std::vector<FeatureLayer>& layers, const std::string& crs,
                             const std::filesystem::path& file, const std::string& at,
                             const Progress& progress = {});

/// GML 3.2 (ISO 19136) with its application schema beside it; only layers with geometry that hold features.
Result<void> writeGml(const std::vector<FeatureLayer>& layers, const std::string& crs,
                      const std::filesystem::path& file, const Progress& progress = {});

/// One shapefile for each layer with geometry that holds features, for those who still need it; names are
/// shortened to ten letters by a table written beside them (short-names.csv), values to 254 bytes at a
/// whole letter. `remarks` receives how many values were shortened.
Result<void> writeShapefiles(const std::vector<FeatureLayer>& layers, const std::string& crs,
                             const std::filesystem::path& folder, std::vector<std::string>& remarks,
                             const Progress& progress = {});

} // namespace inkpeg
