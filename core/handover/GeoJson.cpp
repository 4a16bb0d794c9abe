// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/GeoJson.h"

#include <algorithm>
#include <cmath>
#include <fstream>

#include <nlohmann/json.hpp>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

/// Writes the text of geometries piece by piece; the first place that cannot be converted ends it.
class GeometryText {
public:
    GeometryText(const LongitudeLatitude& toLonLat, int decimals)
        : m_toLonLat(toLonLat), m_decimals(decimals)
    {
    }

    Result<std::string> of(const FeatureGeometry& geometry)
    {
        m_west = 180;
        m_east = -180;
        std::string text = "null";
        if (geometry.point)
            text = R"({"type":"Point","coordinates":)" + position(geometry.point->at) + "}";
        else if (!geometry.line.empty())
            text = R"({"type":"LineString","coordinates":)" + positions(geometry.line, false) + "}";
        else if (!geometry.polygons.empty())
            text = R"({"type":"MultiPolygon","coordinates":)" + polygons(geometry.polygons) + "}";
        else if (!geometry.spaceLine.empty())
            text = R"({"type":"LineString","coordinates":)" + positions(geometry.spaceLine, false) + "}";
        else if (!geometry.spacePolygons.empty())
            text = R"({"type":"MultiPolygon","coordinates":)" + polygons(geometry.spacePolygons) + "}";
        if (m_error)
            return *m_error;
        if (m_east - m_west > 180)
            return Error{ErrorCode::Unsolvable,
                         "crosses the antimeridian, where RFC 7946 wants geometries cut in two"};
        return text;
    }

private:
    std::string position(const SpacePoint& at)
    {
        std::string text = position(GroundM{at.eastM, at.northM});
        if (text.ends_with("]"))
            text.insert(text.size() - 1, "," + fixed(at.levelM, LevelDecimals));
        return text;
    }

    std::string position(GroundM at)
    {
        const Result<LonLat> place = m_toLonLat.at(at);
        if (!place) {
            m_error = m_error ? m_error : place.error();
            return "null";
        }
        m_west = std::min(m_west, place->longitude);
        m_east = std::max(m_east, place->longitude);
        return "[" + fixed(place->longitude, m_decimals) + "," + fixed(place->latitude, m_decimals) + "]";
    }

    template<typename Position>
    std::string positions(const std::vector<Position>& ring, bool close)
    {
        std::string text = "[";
        for (const Position& at : ring)
            text += (text.size() > 1 ? "," : "") + position(at);
        if (close && !ring.empty())
            text += "," + position(ring.front());
        return text + "]";
    }

    template<typename Position>
    std::string polygons(const std::vector<std::vector<std::vector<Position>>>& parts)
    {
        std::string text = "[";
        for (const std::vector<std::vector<Position>>& rings : parts) {
            text += text.size() > 1 ? ",[" : "[";
            for (std::size_t i = 0; i < rings.size(); ++i)
                text += (i > 0 ? "," : "") + positions(rings[i], true);
            text += "]";
        }
        return text + "]";
    }

    const LongitudeLatitude& m_toLonLat;
    int m_decimals;
    double m_west = 180, m_east = -180;
    std::optional<Error> m_error;
};

/// Replaces what is not UTF-8, so that the file always is (RFC 8259, 8.1).
std::string quoted(const std::string& text)
{
    return nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

std::string jsonValue(const FieldValue& value)
{
    if (const auto* text = std::get_if<std::string>(&value))
        return quoted(*text);
    if (const auto* real = std::get_if<double>(&value))
        return std::isfinite(*real) ? exact(*real) : "null";
    const std::string text = valueText(value);
    return text.empty() ? "null" : text;
}

std::string propertiesText(const LayerSchema& schema, const Feature& feature)
{
    std::string text = "{";
    for (std::size_t i = 0; i < schema.fields.size(); ++i)
        text += (i > 0 ? "," : "") + quoted(schema.fields[i].name) + ":" + jsonValue(feature.values[i]);
    return text + "}";
}

} // namespace

Result<void> writeGeoJson(const FeatureLayer& layer, const LongitudeLatitude& toLonLat,
                          const std::filesystem::path& file, int decimals)
{
    std::ofstream out(file, std::ios::binary);
    out << R"({"type":"FeatureCollection","features":[)";
    GeometryText geometryText(toLonLat, decimals);
    for (std::size_t i = 0; i < layer.features.size(); ++i) {
        const Result<std::string> geometry = geometryText.of(layer.features[i].geometry);
        if (!geometry)
            return Error{geometry.error().code, file.filename().string() + ", feature " +
                                                    std::to_string(i + 1) + ": " +
                                                    geometry.error().message};
        out << (i > 0 ? ",\n" : "\n") << R"({"type":"Feature","geometry":)" << geometry.value()
            << R"(,"properties":)" << propertiesText(layer.schema, layer.features[i]) << "}";
    }
    out << "\n]}\n";
    out.close();
    if (!out)
        return Error{ErrorCode::System, file.string() + ": cannot be written; is the disk full?"};
    return {};
}

} // namespace inkpeg
