// SPDX-License-Identifier: GPL-3.0-or-later
// Hands over a project as open geodata: a folder that is complete or not there.
//
//   const Result<HandOverReport> done = handOverGeodata(project, "hand-over", {.gml = true}, progress);
//   for (const std::string& remark : done->remarks) tell(remark);
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/handover/FeatureLayers.h"
#include "core/handover/GeoJson.h"
#include "core/handover/LongitudeLatitude.h"
#include "core/store/Project.h"

namespace inkpeg {

struct GeodataSettings {
    GatherSettings gather;
    bool geoPackage = true;
    bool geoJson = true;
    bool csv = true; ///< one table for each layer, places as well-known text
    bool gml = false;
    bool shapefile = false;
    int lonLatDecimals = DefaultLonLatDecimals;
    bool replace = false; ///< a former hand-over in the same place
};

struct HandedOverFile {
    std::string name; ///< relative to the folder, with '/'
    std::uint64_t bytes = 0;
    std::string sha256;
};

struct HandOverReport {
    std::filesystem::path folder;
    std::string crs;
    std::string at; ///< ISO 8601, UTC: SOURCE_DATE_EPOCH if it is set, else the project's last act
    /// Features in each layer, in the order of the layers.
    std::vector<std::pair<std::string, std::size_t>> counts;
    std::vector<std::string> remarks; ///< what stayed behind, and cautions
    GatherSettings gather;            ///< what was asked for
    ConversionFacts conversion;       ///< of the GeoJSON
    int lonLatDecimals = DefaultLonLatDecimals;
    std::vector<HandedOverFile> files;
    /// South-west and north-east of all that has a place; empty if nothing has.
    std::vector<GroundM> corners;
};

/// Writes geodata.gpkg, geojson/LAYER.geojson, csv/LAYER.csv, geodata.gml, shapefile/LAYER.shp as asked,
/// and always data-dictionary.csv, README.txt and hand-over.json (this report). Same project, same
/// settings, same machine: same bytes. Errors: Conflict (the folder is taken); BadInput (CRS); Unsolvable;
/// OutOfSpace; System; Cancelled.
Result<HandOverReport> handOverGeodata(const Project& project, const std::filesystem::path& folder,
                                       const GeodataSettings& settings = {}, const Progress& progress = {});

/// The same into a folder that exists already and that the caller puts in its place. What lies there
/// already is listed in hand-over.json as well, and `remarks` are made part of the report's.
Result<HandOverReport> writeGeodata(const Project& project, const std::filesystem::path& folder,
                                    const GeodataSettings& settings, const Progress& progress = {},
                                    const std::vector<std::string>& remarks = {});

/// The cautions that go with every report (positions come from scaled hand drawings, ...).
const std::vector<std::string>& cautions();

/// The time that stands for "now" in what is handed over, e.g. "2026-07-01T12:00:00.000Z".
std::string handOverTime(const Project& project);

/// The report as JSON, for programs.
std::string handOverJson(const HandOverReport& report);

/// One layer as CSV (RFC 4180): the fields in order, then, where the layer has places, their well-known
/// text.
std::string layerCsv(const FeatureLayer& layer);

} // namespace inkpeg
