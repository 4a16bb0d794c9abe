// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/Geodata.h"

#include <algorithm>
#include <cstdlib>
#include <ctime>

#include <gdal_priv.h>
#include <nlohmann/json.hpp>

#include "core/base/Csv.h"
#include "core/base/Digest.h"
#include "core/base/ProgressShare.h"
#include "core/base/Text.h"
#include "core/handover/OgrWriter.h"
#include "core/handover/SideBySide.h"
#include "core/handover/StagedFolder.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace fs = std::filesystem;

namespace {

constexpr const char* MarkFile = "hand-over.json";
/// A tenth of a millimetre would do; one digit more keeps the formats equal to it.
constexpr int CsvDecimals = 5;

std::vector<GroundM> placesOnGround(const std::vector<FeatureLayer>& layers)
{
    std::vector<GroundM> places;
    for (const FeatureLayer& layer : layers) {
        if (layer.schema.space != LayerSpace::Ground)
            continue;
        for (const Feature& feature : layer.features) {
            if (feature.geometry.point)
                places.push_back(feature.geometry.point->at);
            if (!feature.geometry.line.empty())
                places.push_back(feature.geometry.line.front());
            if (!feature.geometry.polygons.empty())
                places.push_back(feature.geometry.polygons.front().front().front());
            if (!feature.geometry.spacePolygons.empty()) {
                const SpacePoint& place = feature.geometry.spacePolygons.front().front().front();
                places.push_back({place.eastM, place.northM});
            }
        }
    }
    return places;
}

std::vector<GroundM> cornersOf(const std::vector<GroundM>& places)
{
    if (places.empty())
        return {};
    GroundM low = places.front(), high = low;
    for (const GroundM at : places) {
        low = {std::min(low.east, at.east), std::min(low.north, at.north)};
        high = {std::max(high.east, at.east), std::max(high.north, at.north)};
    }
    return {low, high};
}

Result<void> writeGeoJsonLayers(const std::vector<FeatureLayer>& layers, const fs::path& folder,
                                const GeodataSettings& settings, HandOverReport& report,
                                const Progress& progress)
{
    const Result<LongitudeLatitude> toLonLat = LongitudeLatitude::from(report.crs, placesOnGround(layers));
    if (!toLonLat)
        return toLonLat.error();
    report.conversion = toLonLat->facts();
    report.remarks.push_back("GeoJSON: " + report.conversion.inWords() + " Written with " +
                             std::to_string(settings.lonLatDecimals) + " decimals of a degree.");
    std::error_code failed;
    fs::create_directories(folder / "geojson", failed);
    for (std::size_t i = 0; i < layers.size(); ++i) {
        const LayerSchema& schema = layers[i].schema;
        if (schema.space == LayerSpace::Ground && schema.geometry != GeometryKind::None) {
            const Result<void> written =
                writeGeoJson(layers[i], *toLonLat, folder / "geojson" / (schema.name + ".geojson"),
                             settings.lonLatDecimals);
            if (!written)
                return written;
        }
        if (!inkpeg::report(progress, static_cast<double>(i + 1) / static_cast<double>(layers.size())))
            return Error{ErrorCode::Cancelled, "the hand-over was stopped"};
    }
    report.remarks.push_back(
        "GeoJSON holds what has a place on the ground; work drawn on sections is in it "
        "as it stands in space (the space layers), where the third number of a "
        "position is the level above the project's datum and not a height above the "
        "ellipsoid.");
    return {};
}

Result<void> writeCsvLayers(const std::vector<FeatureLayer>& layers, const fs::path& folder,
                            const Progress& progress)
{
    for (std::size_t i = 0; i < layers.size(); ++i) {
        if (const Result<void> written =
                writeFile(folder / "csv" / (layers[i].schema.name + ".csv"), layerCsv(layers[i]));
            !written)
            return written;
        if (!inkpeg::report(progress, static_cast<double>(i + 1) / static_cast<double>(layers.size())))
            return Error{ErrorCode::Cancelled, "the hand-over was stopped"};
    }
    return {};
}

/// The formats share nothing but the layers. Their shares of the work are about what they were measured to
/// take of the processor (tests/bench/HandoverBench).
Result<void> writeFormats(const std::vector<FeatureLayer>& layers, const fs::path& folder,
                          const GeodataSettings& settings, HandOverReport& report, const Progress& progress)
{
    std::vector<SidePiece> pieces;
    std::vector<std::string> ofShapefile;
    if (settings.geoPackage)
        pieces.push_back({3, [&](const Progress& watch) {
                              return writeGeoPackage(layers, report.crs, folder / "geodata.gpkg", report.at,
                                                     watch);
                          }});
    if (settings.geoJson)
        pieces.push_back({2, [&](const Progress& watch) {
                              return writeGeoJsonLayers(layers, folder, settings, report, watch);
                          }});
    if (settings.csv)
        pieces.push_back({1, [&](const Progress& watch) { return writeCsvLayers(layers, folder, watch); }});
    if (settings.gml)
        pieces.push_back({5, [&](const Progress& watch) {
                              return writeGml(layers, report.crs, folder / "geodata.gml", watch);
                          }});
    if (settings.shapefile)
        pieces.push_back({3, [&](const Progress& watch) {
                              return writeShapefiles(layers, report.crs, folder / "shapefile", ofShapefile,
                                                     watch);
                          }});
    GDALAllRegister(); // once, before several threads ask for drivers
    const Result<void> written = doSideBySide(pieces, progress);
    report.remarks.insert(report.remarks.end(), ofShapefile.begin(), ofShapefile.end());
    return written;
}

std::string readMeText(const ProjectFacts& facts, const HandOverReport& report)
{
    std::string text = facts.siteCode + " " + facts.title + "\n\n";
    text += "Geodata handed over from scanned excavation drawings.\n";
    text += "State of the project: " + report.at + "\n";
    text += "Coordinates: " + report.crs + ", metres east and north. Levels: metres above " +
            (facts.datum.empty() ? std::string("the project's datum") : facts.datum) + ".\n";
    if (!facts.rights.empty())
        text += "Rights: " + facts.rights + "\n";
    if (!facts.depositor.empty())
        text += "Depositor: " + facts.depositor + "\n";
    text += "\nWhat each layer and field means is said in data-dictionary.csv.\n";
    text +=
        "Standard errors are one sigma for each axis: the fit to the pegs, the pegs themselves, tracing (" +
        exact(facts.tracingErrorMm) +
        " mm on the film) and the scan's resolution, each in its own field.\n\nLayers\n";
    for (const auto& [name, count] : report.counts)
        text += "  " + name + ": " + std::to_string(count) + "\n";
    text += "\nRemarks\n";
    for (const std::string& remark : report.remarks)
        text += "  - " + remark + "\n";
    text += "\nCautions\n";
    for (const std::string& caution : cautions())
        text += "  - " + caution + "\n";
    return text;
}

Result<std::vector<HandedOverFile>> filesIn(const fs::path& folder)
{
    std::vector<HandedOverFile> files;
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder)) {
        if (!entry.is_regular_file())
            continue;
        const Result<std::string> digest = digestOfFile(entry.path());
        if (!digest)
            return digest.error();
        files.push_back(
            {entry.path().lexically_relative(folder).generic_string(), entry.file_size(), *digest});
    }
    std::sort(files.begin(), files.end(),
              [](const HandedOverFile& a, const HandedOverFile& b) { return a.name < b.name; });
    return files;
}

} // namespace

const std::vector<std::string>& cautions()
{
    static const std::vector<std::string> texts = {
        "Positions come from scaled hand drawings; their standard errors are stated and are not zero.",
        "Not for setting out, for finding buried services, for boundaries or for the support of "
        "excavations.",
        "Follow local rules and licensed practice.",
    };
    return texts;
}

std::string handOverTime(const Project& project)
{
    if (const char* epoch = std::getenv("SOURCE_DATE_EPOCH")) {
        if (const std::optional<long long> seconds = parseWhole(epoch)) {
            const std::time_t time = static_cast<std::time_t>(*seconds);
            std::tm utc{};
            char text[40];
            if (gmtime_r(&time, &utc) != nullptr &&
                std::strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%S.000Z", &utc) > 0)
                return text;
        }
    }
    const std::vector<JournalEntry> journal = project.journal();
    // The journal's times may or may not carry milliseconds; the GeoPackage standard wants them.
    const std::string last = journal.empty() ? std::string("1970-01-01T00:00:00Z") : journal.back().at;
    return last.substr(0, 19) + ".000Z";
}

std::string layerCsv(const FeatureLayer& layer)
{
    const bool placed = layer.schema.geometry != GeometryKind::None;
    std::string csv;
    for (const FieldSchema& field : layer.schema.fields)
        csv += (csv.empty() ? "" : ",") + csvField(field.name);
    csv += placed ? ",geometry_wkt\r\n" : "\r\n";
    for (const Feature& feature : layer.features) {
        for (std::size_t i = 0; i < feature.values.size(); ++i)
            csv += (i > 0 ? "," : "") + csvField(valueText(feature.values[i]));
        csv += placed ? "," + csvField(wellKnownText(feature.geometry, CsvDecimals)) + "\r\n" : "\r\n";
    }
    return csv;
}

std::string handOverJson(const HandOverReport& report)
{
    nlohmann::ordered_json json;
    json["crs"] = report.crs;
    json["at"] = report.at;
    json["least_stage"] = nameOf(report.gather.leastStage);
    json["chord_tolerance_mm"] = report.gather.chordToleranceMm;
    for (const auto& [name, count] : report.counts)
        json["layers"][name] = count;
    json["remarks"] = report.remarks;
    json["cautions"] = cautions();
    if (!report.conversion.operation.empty()) {
        json["longitude_latitude"]["operation"] = report.conversion.operation;
        json["longitude_latitude"]["accuracy_m"] =
            report.conversion.accuracyM ? nlohmann::ordered_json(*report.conversion.accuracyM) : nullptr;
        json["longitude_latitude"]["ballpark"] = report.conversion.ballpark;
        json["longitude_latitude"]["missing_grids"] = report.conversion.missingGrids;
        json["longitude_latitude"]["decimals"] = report.lonLatDecimals;
    }
    json["files"] = nlohmann::ordered_json::array();
    for (const HandedOverFile& file : report.files)
        json["files"].push_back({{"name", file.name}, {"bytes", file.bytes}, {"sha256", file.sha256}});
    return json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

Result<HandOverReport> writeGeodata(const Project& project, const fs::path& folder,
                                    const GeodataSettings& settings, const Progress& progress,
                                    const std::vector<std::string>& remarks)
{
    Result<HandOverContent> content = gatherLayers(project, settings.gather, shareOf(progress, 0, 0.3));
    if (!content)
        return content.error();
    const ProjectFacts facts = project.facts();
    HandOverReport report;
    report.folder = folder;
    report.crs = facts.crs;
    report.at = handOverTime(project);
    report.gather = settings.gather;
    report.lonLatDecimals = settings.lonLatDecimals;
    report.remarks = content->remarks;
    report.remarks.insert(report.remarks.end(), remarks.begin(), remarks.end());
    report.corners = cornersOf(placesOnGround(content->layers));
    std::vector<LayerSchema> schemas;
    for (const FeatureLayer& layer : content->layers) {
        report.counts.emplace_back(layer.schema.name, layer.features.size());
        schemas.push_back(layer.schema);
    }
    Result<void> written =
        writeFormats(content->layers, folder, settings, report, shareOf(progress, 0.3, 0.95));
    if (written)
        written = writeFile(folder / "data-dictionary.csv", dataDictionaryCsv(schemas));
    if (written)
        written = writeFile(folder / "README.txt", readMeText(facts, report));
    if (!written)
        return written.error();
    Result<std::vector<HandedOverFile>> files = filesIn(folder);
    if (!files)
        return files.error();
    report.files = std::move(files).value();
    written = writeFile(folder / MarkFile, handOverJson(report));
    if (!written)
        return written.error();
    return report;
}

Result<HandOverReport> handOverGeodata(const Project& project, const fs::path& folder,
                                       const GeodataSettings& settings, const Progress& progress)
{
    Result<StagedFolder> staged = StagedFolder::beside(folder, settings.replace, MarkFile);
    if (!staged)
        return staged.error();
    Result<HandOverReport> report = writeGeodata(project, staged->path(), settings, progress);
    if (!report)
        return report;
    const Result<void> kept = staged->keep();
    if (!kept)
        return kept.error();
    report->folder = folder;
    return report;
}

} // namespace inkpeg
