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

bool near(const Place& expected, const Place& found, const Likeness& likeness)
{
    if (!(std::hypot(expected[0] - found[0], expected[1] - found[1]) <= likeness.place))
        return false;
    if (std::isnan(expected[2]))
        return std::isnan(found[2]) || (likeness.zeroForNoLevel && found[2] == 0);
    return std::abs(expected[2] - found[2]) <= likeness.levelM; // false where the other has no level
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
    return std::all_of(a.begin(), a.end(),
                       [&](const Place& at) {
                           return std::any_of(b.begin(), b.end(), [&](const Place& there) {
                               return near(at, there, likeness);
                           });
                       }) &&
           std::all_of(b.begin(), b.end(), [&](const Place& there) {
               return std::any_of(a.begin(), a.end(),
                                  [&](const Place& at) { return near(at, there, likeness); });
           });
}

std::string howFarOff(const Place& expected, const Place& found, const Likeness& likeness)
{
    if (std::isnan(expected[2]) != std::isnan(found[2]))
        return std::isnan(found[2]) ? " has lost its level" : " has a level that it should not have";
    if (likeness.degrees)
        return " lies elsewhere";
    const double plane = std::hypot(expected[0] - found[0], expected[1] - found[1]);
    const double off = std::isnan(found[2]) ? plane : std::max(plane, std::abs(expected[2] - found[2]));
    return " lies " + fixed(off * 1000, 2) + " mm from where it should";
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
            if (!near(a[k], b[k], likeness))
                return "place " + std::to_string(k + 1) + howFarOff(a[k], b[k], likeness);
    }
    return {};
}

std::string withLineFeeds(const std::string& text)
{
    std::string fed;
    for (std::size_t i = 0; i < text.size(); ++i)
        if (text[i] != '\r')
            fed += text[i];
        else if (i + 1 == text.size() || text[i + 1] != '\n')
            fed += '\n';
    return fed;
}

/// A number may have gone through fifteen digits (OGC 12-128 keeps doubles, text forms may not).
bool sameValue(const FieldValue& a, const FieldValue& b, const Likeness& likeness)
{
    const auto* x = std::get_if<double>(&a);
    const auto* y = std::get_if<double>(&b);
    if (x != nullptr && y != nullptr)
        return std::abs(*x - *y) <= 1e-12 * std::max({1.0, std::abs(*x), std::abs(*y)});
    const auto* text = std::get_if<std::string>(&a);
    const auto* other = std::get_if<std::string>(&b);
    if (likeness.lineFeeds && text != nullptr && other != nullptr)
        return withLineFeeds(*text) == withLineFeeds(*other);
    return a == b;
}

std::string recordName(const ReadLayer& layer, std::size_t row)
{
    return layer.schema.name + ", record " + std::to_string(row + 1);
}

/// Ground metres to longitude and latitude, in degrees. GeoJSON has the levels only of what stands in
/// space.
Result<ReadLayer> inDegrees(const ReadLayer& layer, const LongitudeLatitude& toLonLat)
{
    const bool inSpace = layer.schema.geometry == GeometryKind::SpaceLine ||
                         layer.schema.geometry == GeometryKind::SpacePolygons;
    ReadLayer converted = layer;
    for (ReadFeature& feature : converted.features)
        for (Place& place : feature.geometry.places) {
            const Result<LonLat> at = toLonLat.at({place[0], place[1]});
            if (!at)
                return at.error();
            place = {at->longitude, at->latitude, inSpace ? place[2] : std::nan("")};
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
                            {.place = m_degrees * std::sqrt(2), .degrees = true});
                !held)
                return held;
        }
        if (!placed || reference.features.empty())
            return {};
        // OGR gives a place without a level the level 0 when it reads these two.
        if (fs::exists(m_folder / "geodata.gml"))
            if (const auto held =
                    against("GML", reference, readGmlLayer(m_folder / "geodata.gml", schema),
                            {.anyRingStart = true, .lineFeeds = true, .zeroForNoLevel = true});
                !held)
                return held;
        if (fs::exists(m_folder / "shapefile") && schema.geometry != GeometryKind::SpacePolygons)
            if (const auto held =
                    against("shapefile", reference,
                            readShapefileLayer(m_folder / "shapefile" / (name + ".shp"), schema),
                            {.values = false, .anyRingStart = true, .zeroForNoLevel = true});
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
            if (!sameValue(a.values[i], b.values[i], likeness))
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
