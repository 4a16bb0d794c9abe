// SPDX-License-Identifier: GPL-3.0-or-later
// Holds what was read back from the formats of a hand-over against each other.
#include <algorithm>
#include <cmath>
#include <optional>
#include <span>

#include <nlohmann/json.hpp>

#include "core/base/Digest.h"
#include "core/base/Text.h"
#include "core/handover/LongitudeLatitude.h"
#include "core/handover/ReadBack.h"
#include "core/handover/StagedFolder.h"

namespace inkpeg {

namespace fs = std::filesystem;

namespace {

using Place = std::array<double, 3>;

double apart(const Place& a, const Place& b, bool zeroForNoLevel)
{
    const double plane = std::hypot(a[0] - b[0], a[1] - b[1]);
    if (zeroForNoLevel && std::isnan(a[2]) && b[2] == 0)
        return plane;
    if (std::isnan(a[2]) != std::isnan(b[2]))
        return 1e9; // a level that the other does not have
    return std::isnan(a[2]) ? plane : std::max(plane, std::abs(a[2] - b[2]));
}

std::span<const Place> ringOf(const FlatGeometry& geometry, std::size_t ring)
{
    std::size_t start = 0;
    for (std::size_t i = 0; i < ring; ++i)
        start += geometry.rings[i];
    return std::span(geometry.places).subspan(start, geometry.rings[ring]);
}

/// Each place of one ring lies on a place of the other, and the other way round.
bool sameSet(std::span<const Place> a, std::span<const Place> b, const Likeness& likeness)
{
    const auto near = [&](const Place& expected, const Place& found) {
        return apart(expected, found, likeness.zeroForNoLevel) <= likeness.placeM;
    };
    return std::all_of(a.begin(), a.end(),
                       [&](const Place& at) {
                           return std::any_of(b.begin(), b.end(),
                                              [&](const Place& there) { return near(at, there); });
                       }) &&
           std::all_of(b.begin(), b.end(), [&](const Place& there) {
               return std::any_of(a.begin(), a.end(), [&](const Place& at) { return near(at, there); });
           });
}

std::string geometryDifference(const FlatGeometry& expected, const FlatGeometry& found,
                               const Likeness& likeness)
{
    if (expected.rings.size() != found.rings.size())
        return std::to_string(found.rings.size()) + " rings or lines instead of " +
               std::to_string(expected.rings.size());
    for (std::size_t i = 0; i < expected.rings.size(); ++i) {
        const auto a = ringOf(expected, i), b = ringOf(found, i);
        if (a.size() != b.size())
            return std::to_string(b.size()) + " places instead of " + std::to_string(a.size());
        if (likeness.anyRingStart) {
            if (!sameSet(a, b, likeness))
                return "places differ";
            continue;
        }
        for (std::size_t k = 0; k < a.size(); ++k)
            if (const double distance = apart(a[k], b[k], likeness.zeroForNoLevel);
                !(distance <= likeness.placeM))
                return "place " + std::to_string(k + 1) + " lies " + fixed(distance * 1000, 2) +
                       " mm from where it should";
    }
    return {};
}

/// A number may have gone through fifteen digits (OGC 12-128 keeps doubles, text forms may not).
bool sameValue(const FieldValue& a, const FieldValue& b)
{
    const auto* x = std::get_if<double>(&a);
    const auto* y = std::get_if<double>(&b);
    if (x != nullptr && y != nullptr)
        return std::abs(*x - *y) <= 1e-12 * std::max({1.0, std::abs(*x), std::abs(*y)});
    return a == b;
}

std::string recordName(const ReadLayer& layer, std::size_t row)
{
    return layer.schema.name + ", record " + std::to_string(row + 1);
}

/// Ground metres to longitude and latitude, in degrees; levels are not in GeoJSON.
Result<ReadLayer> inDegrees(const ReadLayer& layer, const LongitudeLatitude& toLonLat)
{
    ReadLayer converted = layer;
    for (ReadFeature& feature : converted.features)
        for (Place& place : feature.geometry.places) {
            const Result<LonLat> at = toLonLat.at({place[0], place[1]});
            if (!at)
                return at.error();
            place = {at->longitude, at->latitude, std::nan("")};
        }
    return converted;
}

class Holding {
public:
    Holding(const fs::path& folder, const nlohmann::json& mark) : m_folder(folder), m_mark(mark) {}

    Result<void> prepare(const std::vector<ReadLayer>& layers)
    {
        if (!fs::exists(m_folder / "geojson"))
            return {};
        std::vector<GroundM> around;
        for (const ReadLayer& layer : layers)
            if (layer.schema.space == LayerSpace::Ground)
                for (const ReadFeature& feature : layer.features)
                    if (!feature.geometry.places.empty())
                        around.push_back(
                            {feature.geometry.places.front()[0], feature.geometry.places.front()[1]});
        Result<LongitudeLatitude> made = LongitudeLatitude::from(m_mark.value("crs", ""), around);
        if (!made)
            return made.error();
        const nlohmann::json said = m_mark.value("longitude_latitude", nlohmann::json::object());
        const int decimals = said.value("decimals", 8);
        m_degrees = 0.5 * std::pow(10, -decimals) * 1.01 + 1e-11;
        if (said.value("operation", "") != made->facts().operation) {
            m_degrees = 5e-5; // some metres: other places would still be told apart
            m_remarks.push_back("GeoJSON was written by the operation \"" + said.value("operation", "") +
                                "\", this machine would use \"" + made->facts().operation +
                                "\": held to some metres only");
        }
        m_toLonLat.emplace(std::move(made).value());
        return {};
    }

    Result<void> hold(const ReadLayer& reference)
    {
        const LayerSchema& schema = reference.schema;
        const std::string name = schema.name;
        if (fs::exists(m_folder / "csv"))
            if (const auto held =
                    against("CSV", reference, readCsvLayer(m_folder / "csv" / (name + ".csv"), schema), {});
                !held)
                return held;
        const bool placed = schema.geometry != GeometryKind::None;
        if (m_toLonLat && placed && schema.space == LayerSpace::Ground) {
            const Result<ReadLayer> degrees = inDegrees(reference, *m_toLonLat);
            if (!degrees)
                return degrees.error();
            if (const auto held =
                    against("GeoJSON", *degrees,
                            readGeoJsonLayer(m_folder / "geojson" / (name + ".geojson"), schema),
                            {.placeM = m_degrees * std::sqrt(2)});
                !held)
                return held;
        }
        if (!placed || reference.features.empty())
            return {};
        for (const auto& [format, file] : {std::pair<std::string, fs::path>{"GML", "geodata.gml"},
                                           {"shapefile", fs::path("shapefile") / (name + ".shp")}})
            if (fs::exists(m_folder / file.begin()->string()))
                if (const auto held = against(
                        format, reference, readVectorLayer(m_folder / file, schema),
                        {.placeM = 1e-4, .values = false, .anyRingStart = true, .zeroForNoLevel = true});
                    !held)
                    return held;
        return {};
    }

    Result<void> against(const std::string& format, const ReadLayer& expected,
                         const Result<ReadLayer>& found, const Likeness& likeness)
    {
        if (!found)
            return found.error();
        if (const std::string words = differenceBetween(expected, *found, likeness); !words.empty())
            return Error{ErrorCode::BadInput, format + ": " + words};
        if (std::find(m_formats.begin(), m_formats.end(), format) == m_formats.end())
            m_formats.push_back(format);
        return {};
    }

    std::vector<std::string> takeFormats() { return std::move(m_formats); }
    std::vector<std::string> takeRemarks() { return std::move(m_remarks); }

private:
    fs::path m_folder;
    const nlohmann::json& m_mark;
    std::optional<LongitudeLatitude> m_toLonLat;
    double m_degrees = 0;
    std::vector<std::string> m_formats, m_remarks;
};

Result<void> holdListedFiles(const fs::path& folder, const nlohmann::json& mark)
{
    for (const nlohmann::json& file : mark.value("files", nlohmann::json::array())) {
        const std::string name = file.value("name", "");
        const fs::path relative(name);
        if (relative.is_absolute() || std::any_of(relative.begin(), relative.end(),
                                                  [](const fs::path& part) { return part == ".."; }))
            return Error{ErrorCode::BadInput,
                         "hand-over.json: the path \"" + name + "\" leaves the folder"};
        const Result<std::string> digest = digestOfFile(folder / relative);
        if (!digest)
            return Error{ErrorCode::BadInput, name + ": is listed in hand-over.json and not there"};
        if (*digest != file.value("sha256", ""))
            return Error{ErrorCode::BadInput, name + ": is not the file that hand-over.json lists"};
    }
    return {};
}

/// Counts of hand-over.json, and the project's own layers if they are given.
Result<void> holdLayer(Holding& holding, const ReadLayer& layer, const nlohmann::json& counts,
                       const std::vector<FeatureLayer>* project)
{
    const std::string& name = layer.schema.name;
    if (!counts.contains(name) || counts[name] != layer.features.size())
        return Error{ErrorCode::BadInput, "GeoPackage: layer " + name + " holds " +
                                              std::to_string(layer.features.size()) +
                                              " records, hand-over.json says " +
                                              (counts.contains(name) ? counts[name].dump() : "none")};
    if (project != nullptr) {
        const auto own = std::find_if(project->begin(), project->end(),
                                      [&](const FeatureLayer& each) { return each.schema.name == name; });
        if (own == project->end())
            return Error{ErrorCode::BadInput, "the project has no layer " + name};
        if (const std::string words = differenceBetween(asRead(*own), layer, {}); !words.empty())
            return Error{ErrorCode::BadInput, "differs from the project: " + words};
    }
    return holding.hold(layer);
}

} // namespace

std::string differenceBetween(const ReadLayer& expected, const ReadLayer& found, const Likeness& likeness)
{
    if (expected.features.size() != found.features.size())
        return expected.schema.name + ": " + std::to_string(found.features.size()) +
               " records instead of " + std::to_string(expected.features.size());
    for (std::size_t row = 0; row < expected.features.size(); ++row) {
        const ReadFeature &a = expected.features[row], &b = found.features[row];
        if (const std::string words = geometryDifference(a.geometry, b.geometry, likeness); !words.empty())
            return recordName(expected, row) + ", geometry: " + words;
        for (std::size_t i = 0; likeness.values && i < a.values.size(); ++i)
            if (!sameValue(a.values[i], b.values[i]))
                return recordName(expected, row) + ", " + expected.schema.fields[i].name + ": \"" +
                       valueText(b.values[i]) + "\" instead of \"" + valueText(a.values[i]) + "\"";
    }
    return {};
}

namespace {

Result<ReadBackReport> holdAll(const fs::path& folder, const std::vector<FeatureLayer>* project,
                               const Progress& progress)
{
    const Result<std::string> bytes = readFile(folder / "hand-over.json");
    if (!bytes)
        return bytes.error();
    const nlohmann::json mark = nlohmann::json::parse(*bytes, nullptr, false);
    if (mark.is_discarded() || !mark.is_object())
        return Error{ErrorCode::BadInput, "hand-over.json: is no JSON object"};
    if (const Result<void> held = holdListedFiles(folder, mark); !held)
        return held.error();
    ReadBackReport report;
    if (!fs::exists(folder / "geodata.gpkg")) {
        report.remarks.push_back("there is no GeoPackage, so that records could not be held against it");
        return report;
    }
    const Result<std::vector<LayerSchema>> schemas = schemasOfDictionary(folder / "data-dictionary.csv");
    if (!schemas)
        return schemas.error();
    std::vector<ReadLayer> layers;
    for (const LayerSchema& schema : *schemas) {
        Result<ReadLayer> layer = readGeoPackageLayer(folder / "geodata.gpkg", schema);
        if (!layer)
            return layer.error();
        layers.push_back(std::move(layer).value());
    }
    Holding holding(folder, mark);
    if (const Result<void> ready = holding.prepare(layers); !ready)
        return ready.error();
    const nlohmann::json counts = mark.value("layers", nlohmann::json::object());
    for (const ReadLayer& layer : layers) {
        if (const Result<void> held = holdLayer(holding, layer, counts, project); !held)
            return held.error();
        report.records += layer.features.size();
        if (!inkpeg::report(progress,
                            static_cast<double>(++report.layers) / static_cast<double>(layers.size())))
            return Error{ErrorCode::Cancelled, "verifying was stopped"};
    }
    report.formats = holding.takeFormats();
    report.formats.insert(report.formats.begin(), "GeoPackage");
    report.remarks = holding.takeRemarks();
    return report;
}

} // namespace

Result<ReadBackReport> holdGeodata(const fs::path& folder, const std::vector<FeatureLayer>* project,
                                   const Progress& progress)
{
    try {
        return holdAll(folder, project, progress);
    } catch (const nlohmann::json::exception& wrong) {
        return Error{
            ErrorCode::BadInput,
            std::string("hand-over.json or GeoJSON: a member is of another type than it should be: ") +
                wrong.what()};
    }
}

} // namespace inkpeg
