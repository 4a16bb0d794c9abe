// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/OgrWriter.h"

#include <algorithm>
#include <cerrno>
#include <fstream>
#include <functional>
#include <map>
#include <memory>
#include <set>

#include <cpl_conv.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include "core/base/Text.h"
#include "core/handover/FeatureLayers.h"
#include "core/handover/GdalQuiet.h"
#include "core/handover/OgrGeometry.h"

namespace inkpeg {

namespace {

constexpr std::size_t LongestShapefileText = 254;
constexpr std::size_t LongestShapefileName = 10;

struct CloseDataset {
    void operator()(GDALDataset* dataset) const { GDALClose(dataset); }
};
using Dataset = std::unique_ptr<GDALDataset, CloseDataset>;

Error refused(const std::filesystem::path& file, const GdalQuiet& quiet)
{
    const std::string words = quiet.words();
    const bool full = errno == ENOSPC || words.find("disk is full") != std::string::npos;
    return {full ? ErrorCode::OutOfSpace : ErrorCode::System,
            file.string() + ": cannot be written: " + words};
}

Result<OGRSpatialReference> groundReference(const std::string& crs)
{
    OGRSpatialReference reference;
    if (reference.SetFromUserInput(
            crs.c_str(), OGRSpatialReference::SET_FROM_USER_INPUT_LIMITATIONS_get()) != OGRERR_NONE)
        return Error{ErrorCode::BadInput,
                     "CRS \"" + crs + "\": unknown; give an authority code, e.g. EPSG:25832"};
    reference.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return reference;
}

/// The GeoPackage standard's own name for coordinates that belong to no place on earth (OGC
/// 12-128r17, 1.1.2.1.2).
OGRSpatialReference sectionReference()
{
    OGRSpatialReference reference;
    reference.SetLocalCS("Undefined Cartesian SRS");
    reference.SetLinearUnits("metre", 1.0);
    return reference;
}

OGRwkbGeometryType geometryType(GeometryKind kind, bool withLevels)
{
    switch (kind) {
    case GeometryKind::Point:
        return withLevels ? wkbPoint25D : wkbPoint;
    case GeometryKind::Line:
        return wkbLineString;
    case GeometryKind::Polygons:
        return wkbMultiPolygon;
    case GeometryKind::SpaceLine:
        return wkbLineString25D;
    case GeometryKind::SpacePolygons:
        return wkbMultiPolygon25D;
    case GeometryKind::None:
        break;
    }
    return wkbNone;
}

bool holdsLevels(const FeatureLayer& layer)
{
    return std::any_of(layer.features.begin(), layer.features.end(), [](const Feature& feature) {
        return feature.geometry.point && feature.geometry.point->levelM;
    });
}

/// How one driver wants its layers.
struct Manner {
    std::map<std::string, std::string> layerOptions;
    std::function<std::string(const FieldSchema&)> fieldName = [](const FieldSchema& field) {
        return field.name;
    };
    std::function<std::string(const std::string&)> text; ///< as it may be written; empty: as it is
};

bool addFields(const LayerSchema& schema, const Manner& manner, OGRLayer& layer)
{
    for (const FieldSchema& field : schema.fields) {
        const OGRFieldType type = field.type == FieldType::Text    ? OFTString
                                  : field.type == FieldType::Whole ? OFTInteger64
                                                                   : OFTReal;
        OGRFieldDefn definition(manner.fieldName(field).c_str(), type);
        if (layer.CreateField(&definition) != OGRERR_NONE)
            return false;
    }
    return true;
}

bool addFeature(const Feature& feature, const Manner& manner, OGRLayer& layer)
{
    OGRFeature written(layer.GetLayerDefn());
    setFields(feature.values, 0, written);
    for (std::size_t i = 0; manner.text && i < feature.values.size(); ++i)
        if (const auto* text = std::get_if<std::string>(&feature.values[i]))
            written.SetField(static_cast<int>(i), manner.text(*text).c_str());
    if (std::unique_ptr<OGRGeometry> geometry = ogrGeometry(feature.geometry))
        if (written.SetGeometryDirectly(geometry.release()) != OGRERR_NONE)
            return false;
    return layer.CreateFeature(&written) == OGRERR_NONE;
}

/// One layer into an open dataset. Errors carry no file name: the caller adds it.
bool addLayer(const FeatureLayer& layer, OGRSpatialReference* reference, const Manner& manner,
              GDALDataset& dataset)
{
    CPLStringList options;
    for (const auto& [name, value] : manner.layerOptions)
        options.SetNameValue(name.c_str(), value.c_str());
    const bool flat = layer.schema.geometry == GeometryKind::None;
    OGRLayer* made =
        dataset.CreateLayer(layer.schema.name.c_str(), flat ? nullptr : reference,
                            geometryType(layer.schema.geometry, holdsLevels(layer)), options.List());
    if (made == nullptr || !addFields(layer.schema, manner, *made))
        return false;
    return std::all_of(layer.features.begin(), layer.features.end(),
                       [&](const Feature& feature) { return addFeature(feature, manner, *made); });
}

Dataset createDataset(const char* driverName, const std::filesystem::path& file,
                      const CPLStringList& options)
{
    GDALAllRegister();
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName(driverName);
    if (driver == nullptr)
        return nullptr;
    return Dataset(driver->Create(file.c_str(), 0, 0, 0, GDT_Unknown, const_cast<char**>(options.List())));
}

bool stopped(const Progress& progress, std::size_t done, std::size_t all)
{
    return !report(progress,
                   static_cast<double>(done) / static_cast<double>(std::max<std::size_t>(all, 1)));
}

Error cancelled()
{
    return {ErrorCode::Cancelled, "the hand-over was stopped"};
}

/// A layer may hold places with and without a level: "Z optional" (OGC 12-128r17, table 5).
void allowBothDimensions(const std::vector<FeatureLayer>& layers, GDALDataset& dataset)
{
    for (const FeatureLayer& layer : layers)
        if (holdsLevels(layer))
            dataset.ExecuteSQL(
                ("UPDATE gpkg_geometry_columns SET z = 2 WHERE table_name = '" + layer.schema.name + "'")
                    .c_str(),
                nullptr, nullptr);
}

Result<void> writeGeoPackageQuietly(const std::vector<FeatureLayer>& layers, const std::string& crs,
                                    const std::filesystem::path& file, const Progress& progress)
{
    Result<OGRSpatialReference> ground = groundReference(crs);
    if (!ground)
        return ground.error();
    OGRSpatialReference section = sectionReference();
    const GdalQuiet quiet;
    Dataset dataset = createDataset("GPKG", file, CPLStringList());
    if (!dataset || dataset->StartTransaction() != OGRERR_NONE)
        return refused(file, quiet);
    for (std::size_t i = 0; i < layers.size(); ++i) {
        Manner manner;
        manner.layerOptions = {
            {"GEOMETRY_NAME", "geometry"}, {"FID", "fid"}, {"DESCRIPTION", layers[i].schema.meaning}};
        OGRSpatialReference& reference =
            layers[i].schema.space == LayerSpace::Section ? section : ground.value();
        if (!addLayer(layers[i], &reference, manner, *dataset))
            return refused(file, quiet);
        if (stopped(progress, i + 1, layers.size()))
            return cancelled();
    }
    if (dataset->CommitTransaction() != OGRERR_NONE)
        return refused(file, quiet);
    dataset->FlushCache();
    allowBothDimensions(layers, *dataset);
    dataset.reset();
    return quiet.failed() ? Result<void>(refused(file, quiet)) : Result<void>();
}

/// The first `limit` bytes at most, never ending inside a UTF-8 letter.
std::string shortened(const std::string& text, std::size_t limit)
{
    if (text.size() <= limit)
        return text;
    std::size_t end = limit;
    while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U)
        --end;
    return text.substr(0, end);
}

/// Names of at most ten letters, all different: the beginning of the name, numbered where it is taken.
std::map<std::string, std::string> shortNames(const LayerSchema& schema)
{
    std::map<std::string, std::string> names;
    std::set<std::string> taken;
    for (const FieldSchema& field : schema.fields) {
        std::string name = field.name.substr(0, LongestShapefileName);
        for (int number = 2; taken.contains(name); ++number) {
            const std::string suffix = std::to_string(number);
            name = field.name.substr(0, LongestShapefileName - suffix.size()) + suffix;
        }
        taken.insert(name);
        names[field.name] = name;
    }
    return names;
}

bool hasPlaces(const FeatureLayer& layer)
{
    return layer.schema.geometry != GeometryKind::None && !layer.features.empty();
}

} // namespace

Result<void> writeGeoPackage(const std::vector<FeatureLayer>& layers, const std::string& crs,
                             const std::filesystem::path& file, const std::string& at,
                             const Progress& progress)
{
    // GDAL stamps tables with the clock of the machine; the same project must give the same bytes.
    CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", at.c_str());
    Result<void> written = writeGeoPackageQuietly(layers, crs, file, progress);
    CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", nullptr);
    return written;
}

Result<void> writeGml(const std::vector<FeatureLayer>& layers, const std::string& crs,
                      const std::filesystem::path& file, const Progress& progress)
{
    Result<OGRSpatialReference> ground = groundReference(crs);
    if (!ground)
        return ground.error();
    const GdalQuiet quiet;
    CPLStringList options;
    options.SetNameValue("FORMAT", "GML3.2");
    options.SetNameValue("PREFIX", "inkpeg");
    options.SetNameValue("TARGET_NAMESPACE", "urn:inkpeg:handover");
    options.SetNameValue("STRIP_PREFIX", "NO");
    Dataset dataset = createDataset("GML", file, options);
    if (!dataset)
        return refused(file, quiet);
    for (std::size_t i = 0; i < layers.size(); ++i) {
        if (!hasPlaces(layers[i]))
            continue;
        const bool onGround = layers[i].schema.space == LayerSpace::Ground;
        if (!addLayer(layers[i], onGround ? &ground.value() : nullptr, {}, *dataset))
            return refused(file, quiet);
        if (stopped(progress, i + 1, layers.size()))
            return cancelled();
    }
    dataset.reset();
    return quiet.failed() ? Result<void>(refused(file, quiet)) : Result<void>();
}

Result<void> writeShapefiles(const std::vector<FeatureLayer>& layers, const std::string& crs,
                             const std::filesystem::path& folder, std::vector<std::string>& remarks,
                             const Progress& progress)
{
    Result<OGRSpatialReference> ground = groundReference(crs);
    if (!ground)
        return ground.error();
    std::error_code failed;
    std::filesystem::create_directories(folder, failed);
    if (failed)
        return Error{ErrorCode::System, folder.string() + ": cannot be made: " + failed.message()};
    const GdalQuiet quiet;
    std::string table = "layer,field,short name\r\n";
    std::size_t cut = 0, unknownLevels = 0;
    for (std::size_t i = 0; i < layers.size(); ++i) {
        if (!hasPlaces(layers[i]))
            continue;
        // A shapefile tells outer rings from holes by their winding in plan, which upright ones have not.
        if (layers[i].schema.geometry == GeometryKind::SpacePolygons) {
            remarks.push_back("shapefile: " + layers[i].schema.name +
                              " stays behind: the format cannot hold polygons that stand upright");
            continue;
        }
        if (holdsLevels(layers[i]))
            unknownLevels += static_cast<std::size_t>(std::count_if(
                layers[i].features.begin(), layers[i].features.end(), [](const Feature& feature) {
                    return feature.geometry.point && !feature.geometry.point->levelM;
                }));
        const std::map<std::string, std::string> names = shortNames(layers[i].schema);
        for (const auto& [name, shortName] : names)
            table += layers[i].schema.name + "," + name + "," + shortName + "\r\n";
        Manner manner;
        manner.layerOptions = {{"ENCODING", "UTF-8"}};
        manner.fieldName = [&](const FieldSchema& field) { return names.at(field.name); };
        manner.text = [&](const std::string& value) {
            cut += value.size() > LongestShapefileText ? 1 : 0;
            return shortened(value, LongestShapefileText);
        };
        Dataset dataset =
            createDataset("ESRI Shapefile", folder / (layers[i].schema.name + ".shp"), CPLStringList());
        const bool onGround = layers[i].schema.space == LayerSpace::Ground;
        if (!dataset || !addLayer(layers[i], onGround ? &ground.value() : nullptr, manner, *dataset))
            return refused(folder / (layers[i].schema.name + ".shp"), quiet);
        if (stopped(progress, i + 1, layers.size()))
            return cancelled();
    }
    if (unknownLevels > 0)
        remarks.push_back(
            "shapefile: " + std::to_string(unknownLevels) +
            " places without a known level carry 0 as theirs, among others that have one; the "
            "format cannot say that it is not known");
    if (cut > 0)
        remarks.push_back("shapefile: " + std::to_string(cut) + " texts were shortened to 254 bytes");
    std::ofstream(folder / "short-names.csv", std::ios::binary) << table;
    return quiet.failed() ? Result<void>(refused(folder, quiet)) : Result<void>();
}

} // namespace inkpeg
