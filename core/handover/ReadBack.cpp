// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/ReadBack.h"

#include <cmath>
#include <limits>
#include <memory>
#include <optional>

#include <gdal_priv.h>
#include <nlohmann/json.hpp>
#include <ogrsf_frmts.h>

#include "core/base/Csv.h"
#include "core/base/Text.h"
#include "core/handover/GdalQuiet.h"
#include "core/handover/StagedFolder.h"

namespace inkpeg {

namespace fs = std::filesystem;

namespace {

constexpr double NoLevel = std::numeric_limits<double>::quiet_NaN();

Error bad(const fs::path& file, const std::string& words)
{
    return {ErrorCode::BadInput, file.filename().string() + ": " + words};
}

void addLine(const OGRSimpleCurve& line, FlatGeometry& flat)
{
    for (int i = 0; i < line.getNumPoints(); ++i)
        flat.places.push_back({line.getX(i), line.getY(i), line.Is3D() ? line.getZ(i) : NoLevel});
    flat.rings.push_back(static_cast<std::size_t>(line.getNumPoints()));
}

void flatten(const OGRGeometry& geometry, FlatGeometry& flat)
{
    switch (wkbFlatten(geometry.getGeometryType())) {
    case wkbPoint: {
        const OGRPoint& point = *geometry.toPoint();
        flat.places.push_back({point.getX(), point.getY(), point.Is3D() ? point.getZ() : NoLevel});
        flat.rings.push_back(1);
        break;
    }
    case wkbLineString:
        addLine(*geometry.toLineString(), flat);
        break;
    case wkbPolygon:
        for (const OGRLinearRing* ring : *geometry.toPolygon())
            addLine(*ring, flat);
        break;
    default:
        if (const auto* collection = dynamic_cast<const OGRGeometryCollection*>(&geometry))
            for (const OGRGeometry* part : *collection)
                flatten(*part, flat);
    }
}

FlatGeometry flatOf(const std::string& wkt)
{
    OGRGeometry* made = nullptr;
    FlatGeometry flat;
    if (!wkt.empty() && OGRGeometryFactory::createFromWkt(wkt.c_str(), nullptr, &made) == OGRERR_NONE)
        flatten(*made, flat);
    OGRGeometryFactory::destroyGeometry(made);
    return flat;
}

/// GeoJSON coordinates of any depth.
void flatten(const nlohmann::json& coordinates, FlatGeometry& flat)
{
    if (coordinates.empty())
        return;
    if (coordinates[0].is_number()) {
        flat.places.push_back({coordinates[0].get<double>(), coordinates[1].get<double>(),
                               coordinates.size() > 2 ? coordinates[2].get<double>() : NoLevel});
        flat.rings.push_back(1);
        return;
    }
    const bool line = coordinates[0].is_array() && !coordinates[0].empty() && coordinates[0][0].is_number();
    for (const nlohmann::json& inner : coordinates)
        flatten(inner, flat);
    if (line) { // its places came as so many rings of one
        flat.rings.resize(flat.rings.size() - coordinates.size());
        flat.rings.push_back(coordinates.size());
    }
}

FieldValue valueOf(OGRFeature& feature, int field, FieldType type)
{
    if (!feature.IsFieldSetAndNotNull(field))
        return {};
    switch (type) {
    case FieldType::Text:
        return std::string(feature.GetFieldAsString(field));
    case FieldType::Whole:
        return static_cast<std::int64_t>(feature.GetFieldAsInteger64(field));
    case FieldType::Real:
        return feature.GetFieldAsDouble(field);
    }
    return {};
}

Result<FieldValue> valueOf(const std::string& cell, FieldType type, const fs::path& file, int line,
                           const std::string& field)
{
    if (cell.empty())
        return FieldValue();
    const auto refused = [&](const char* what) {
        return bad(file,
                   "line " + std::to_string(line) + ", " + field + ": \"" + cell + "\" is no " + what);
    };
    if (type == FieldType::Text)
        return FieldValue(cellAsMeant(cell));
    if (type == FieldType::Whole) {
        const std::optional<long long> whole = parseWhole(cell);
        return whole ? Result<FieldValue>(FieldValue(std::int64_t{*whole})) : refused("whole number");
    }
    const std::optional<double> real = parseNumber(cell);
    return real ? Result<FieldValue>(FieldValue(*real)) : refused("number");
}

FieldValue valueOf(const nlohmann::json& value, FieldType type)
{
    if (value.is_null())
        return {};
    if (type == FieldType::Text && value.is_string())
        return value.get<std::string>();
    if (type == FieldType::Whole && value.is_number_integer())
        return value.get<std::int64_t>();
    if (type == FieldType::Real && value.is_number())
        return value.get<double>();
    return std::string("(of another type) ") + value.dump();
}

using Dataset = std::unique_ptr<GDALDataset, void (*)(GDALDataset*)>;

Dataset openVector(const fs::path& file, const char* driver)
{
    GDALAllRegister();
    const char* const drivers[] = {driver, nullptr};
    CPLStringList options;
    if (std::string(driver) == "GML")
        options.SetNameValue("WRITE_GFS", "NO"); // reading must leave no file behind: a bag would be spoilt
    return {GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers, options.List()),
            [](GDALDataset* dataset) { GDALClose(dataset); }};
}

/// Features in the order of the file; with values when `fields` names a column for each.
std::vector<ReadFeature> featuresOf(OGRLayer& layer, const LayerSchema& schema,
                                    const std::vector<int>& fields)
{
    std::vector<ReadFeature> features;
    layer.ResetReading();
    for (OGRFeatureUniquePtr feature(layer.GetNextFeature()); feature;
         feature.reset(layer.GetNextFeature())) {
        ReadFeature read;
        if (const OGRGeometry* geometry = feature->GetGeometryRef())
            flatten(*geometry, read.geometry);
        for (std::size_t i = 0; i < fields.size(); ++i)
            read.values.push_back(valueOf(*feature, fields[i], schema.fields[i].type));
        features.push_back(std::move(read));
    }
    return features;
}

/// As the dictionary writes it: nothing written for a layer that has no places.
std::optional<GeometryKind> geometryKindNamed(const std::string& name)
{
    if (name.empty())
        return GeometryKind::None;
    for (const GeometryKind kind : {GeometryKind::Point, GeometryKind::Line, GeometryKind::Polygons,
                                    GeometryKind::SpaceLine, GeometryKind::SpacePolygons})
        if (name == geometryKindName(kind))
            return kind;
    return std::nullopt;
}

/// A layer of a format that OGR reads, with the columns of `schema`, or without any values.
Result<ReadLayer> readByOgr(const fs::path& file, const char* driver, const LayerSchema& schema,
                            bool values)
{
    const GdalQuiet quiet;
    const Dataset dataset = openVector(file, driver);
    if (!dataset)
        return bad(file, std::string("is no ") + driver + " that can be read: " + quiet.words());
    OGRLayer* layer = dataset->GetLayerByName(schema.name.c_str());
    if (layer == nullptr)
        return bad(file, "has no layer " + schema.name + ", which the data dictionary describes");
    std::vector<int> fields;
    for (std::size_t i = 0; values && i < schema.fields.size(); ++i) {
        fields.push_back(layer->GetLayerDefn()->GetFieldIndex(schema.fields[i].name.c_str()));
        if (fields.back() < 0)
            return bad(file, "layer " + schema.name + " has no field " + schema.fields[i].name);
    }
    ReadLayer read{schema, featuresOf(*layer, schema, fields)};
    if (quiet.failed())
        return bad(file, quiet.words());
    return read;
}

} // namespace

Result<std::vector<LayerSchema>> schemasOfDictionary(const fs::path& dictionary)
{
    const Result<CsvTable> table = readCsvFile(dictionary);
    if (!table)
        return table.error();
    std::vector<LayerSchema> schemas;
    for (const CsvRow& row : table->rows) {
        if (row.fields.size() < 5)
            return bad(dictionary, "line " + std::to_string(row.line) + ": wants five fields");
        const std::string &layer = row.fields[0], &field = row.fields[1], &type = row.fields[2];
        if (schemas.empty() || schemas.back().name != layer) {
            const std::optional<GeometryKind> geometry = geometryKindNamed(type);
            if (!geometry)
                return bad(dictionary, "line " + std::to_string(row.line) + ": \"" + type +
                                           "\" is no geometry of a layer; write point, line, multipolygon, "
                                           "line with levels, multipolygon with levels, or nothing");
            schemas.push_back({layer,
                               *geometry,
                               layer.starts_with("section_") && layer != "section_lines"
                                   ? LayerSpace::Section
                                   : LayerSpace::Ground,
                               row.fields[4],
                               {}});
        } else if (type == "text" || type == "whole number" || type == "number")
            schemas.back().fields.push_back({field,
                                             type == "text"           ? FieldType::Text
                                             : type == "whole number" ? FieldType::Whole
                                                                      : FieldType::Real,
                                             row.fields[3], row.fields[4]});
        else {
            return bad(dictionary, "line " + std::to_string(row.line) + ": \"" + type +
                                       "\" is none of text, whole number, number");
        }
    }
    return schemas;
}

Result<ReadLayer> readGeoPackageLayer(const fs::path& file, const LayerSchema& schema)
{
    return readByOgr(file, "GPKG", schema, true);
}

Result<ReadLayer> readGmlLayer(const fs::path& file, const LayerSchema& schema)
{
    return readByOgr(file, "GML", schema, true);
}

Result<ReadLayer> readShapefileLayer(const fs::path& file, const LayerSchema& schema)
{
    return readByOgr(file, "ESRI Shapefile", schema, false);
}

Result<ReadLayer> readCsvLayer(const fs::path& file, const LayerSchema& schema)
{
    const Result<CsvTable> table = readCsvFile(file);
    if (!table)
        return table.error();
    std::vector<std::size_t> columns;
    for (const FieldSchema& field : schema.fields) {
        const std::optional<std::size_t> column = table->column(field.name);
        if (!column)
            return bad(file, "has no column " + field.name);
        columns.push_back(*column);
    }
    const std::optional<std::size_t> places = table->column("geometry_wkt");
    ReadLayer read{schema, {}};
    for (const CsvRow& row : table->rows) {
        ReadFeature feature;
        for (std::size_t i = 0; i < columns.size(); ++i) {
            const Result<FieldValue> value = valueOf(row.fields[columns[i]], schema.fields[i].type, file,
                                                     row.line, schema.fields[i].name);
            if (!value)
                return value.error();
            feature.values.push_back(*value);
        }
        if (places) {
            feature.geometry = flatOf(row.fields[*places]);
            if (feature.geometry.places.empty() && !row.fields[*places].empty())
                return bad(file,
                           "line " + std::to_string(row.line) + ": geometry_wkt is no well-known text");
        }
        read.features.push_back(std::move(feature));
    }
    return read;
}

Result<ReadLayer> readGeoJsonLayer(const fs::path& file, const LayerSchema& schema)
{
    const Result<std::string> bytes = readFile(file);
    if (!bytes)
        return bytes.error();
    const nlohmann::json collection = nlohmann::json::parse(*bytes, nullptr, false);
    if (collection.is_discarded() || !collection.is_object() || !collection.contains("features") ||
        !collection["features"].is_array())
        return bad(file, "is no FeatureCollection (RFC 7946, 3.3)");
    ReadLayer read{schema, {}};
    for (const nlohmann::json& feature : collection["features"]) {
        if (!feature.is_object() || !feature.contains("geometry") || !feature.contains("properties"))
            return bad(file, "feature " + std::to_string(read.features.size() + 1) +
                                 " lacks geometry or properties (RFC 7946, 3.2)");
        ReadFeature one;
        if (feature["geometry"].is_object() && feature["geometry"].contains("coordinates"))
            flatten(feature["geometry"]["coordinates"], one.geometry);
        for (const FieldSchema& field : schema.fields)
            one.values.push_back(feature["properties"].contains(field.name)
                                     ? valueOf(feature["properties"][field.name], field.type)
                                     : FieldValue(std::string("(no such property)")));
        read.features.push_back(std::move(one));
    }
    return read;
}

ReadLayer asRead(const FeatureLayer& layer)
{
    constexpr int Decimals = 9; // beyond what any format keeps
    ReadLayer read{layer.schema, {}};
    for (const Feature& feature : layer.features)
        read.features.push_back({flatOf(wellKnownText(feature.geometry, Decimals)), feature.values});
    return read;
}

} // namespace inkpeg
