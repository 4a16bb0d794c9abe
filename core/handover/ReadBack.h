// SPDX-License-Identifier: GPL-3.0-or-later
// Reads handed-over geodata again and holds the formats against each other, record by record.
//
//   const Result<ReadBackReport> held = holdGeodata("bag/data/geodata");
//   const Result<ReadBackReport> same = holdGeodata("bag/data/geodata", {&content.layers});   // and the project
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/handover/FeatureLayer.h"

namespace inkpeg {

/// Places of a geometry in the order of the file: x, y, level (not a number where there is none), cut into
/// rings or lines.
struct FlatGeometry {
    std::vector<std::array<double, 3>> places;
    std::vector<std::size_t> rings; ///< places in each
};

/// A feature as it was read: values in the order of the dictionary's fields.
struct ReadFeature {
    FlatGeometry geometry;
    std::vector<FieldValue> values;
};

struct ReadLayer {
    LayerSchema schema; ///< from the data dictionary; `space` is told by the name
    std::vector<ReadFeature> features;
};

/// The layers that data-dictionary.csv describes. Errors: NotFound; BadInput (names the line).
Result<std::vector<LayerSchema>> schemasOfDictionary(const std::filesystem::path& dictionary);

/// Errors: NotFound; BadInput naming file, layer and field that is not as the dictionary says.
Result<ReadLayer> readGeoPackageLayer(const std::filesystem::path& file, const LayerSchema& schema);
Result<ReadLayer> readCsvLayer(const std::filesystem::path& file, const LayerSchema& schema);
Result<ReadLayer> readGeoJsonLayer(const std::filesystem::path& file, const LayerSchema& schema);
Result<ReadLayer> readGmlLayer(const std::filesystem::path& file, const LayerSchema& schema);
/// Values are left out: a shapefile cuts texts and rounds numbers to its columns.
Result<ReadLayer> readShapefileLayer(const std::filesystem::path& file, const LayerSchema& schema);

/// The features of a layer as read back from nowhere: what reading must give.
ReadLayer asRead(const FeatureLayer& layer);

struct Likeness {
    double place = 1e-4;         ///< 0.1 mm; of GeoJSON in degrees
    double levelM = 1e-4;        ///< 0.1 mm
    bool degrees = false;        ///< places are longitude and latitude
    bool values = true;          ///< compare values too
    bool anyRingStart = false;   ///< rings may start elsewhere and run the other way round
    bool lineFeeds = false;      ///< every line end may be read as a line feed (XML 1.0, 2.11)
    bool zeroForNoLevel = false; ///< read as 0: shapefile cannot say otherwise, nor does OGR reading GML
};

/// In what `found` first differs from `expected`, in words; empty when it does not.
std::string differenceBetween(const ReadLayer& expected, const ReadLayer& found, const Likeness& likeness);

struct ReadBackReport {
    std::size_t layers = 0, records = 0;
    std::vector<std::string> formats; ///< that were held against each other
    std::vector<std::string> remarks; ///< what could not be held as sharply, and why
};

/// Every record and geometry of every layer, in each format that is there; then against `project` if given;
/// and each file that hand-over.json lists against its digest. Formats agree to 0.1 mm, GeoJSON to its
/// stated decimals. Errors: BadInput naming format, layer, record and field of the first difference;
/// NotFound; Cancelled.
Result<ReadBackReport> holdGeodata(const std::filesystem::path& folder,
                                   const std::vector<FeatureLayer>* project = nullptr,
                                   const Progress& progress = {});

} // namespace inkpeg
