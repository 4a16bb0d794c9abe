// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/GeoPackageBlob.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cstring>
#include <limits>
#include <optional>

namespace inkpeg {

namespace {

constexpr std::uint32_t WkbPoint = 1, WkbLineString = 2, WkbPolygon = 3, WkbMultiPolygon = 6;

template<typename Number>
void append(std::string& bytes, Number number)
{
    std::array<char, sizeof(Number)> raw{};
    std::memcpy(raw.data(), &number, sizeof(Number));
    if constexpr (std::endian::native == std::endian::big)
        std::reverse(raw.begin(), raw.end());
    bytes.append(raw.data(), raw.size());
}

void appendType(std::string& bytes, std::uint32_t type)
{
    bytes += '\1';
    append(bytes, type);
}

void appendVertices(std::string& bytes, const Coordinate* first, std::size_t count)
{
    for (std::size_t i = 0; i < count; ++i) {
        append(bytes, first[i].x);
        append(bytes, first[i].y);
    }
}

void appendPolygon(std::string& bytes, const Geometry& geometry, std::size_t& ring, std::size_t& vertex,
                   std::size_t rings)
{
    appendType(bytes, WkbPolygon);
    append(bytes, static_cast<std::uint32_t>(rings));
    for (const std::size_t end = ring + rings; ring < end; ++ring) {
        append(bytes, static_cast<std::uint32_t>(geometry.ringSizes[ring]));
        appendVertices(bytes, &geometry.vertices[vertex], geometry.ringSizes[ring]);
        vertex += geometry.ringSizes[ring];
    }
}

void appendEnvelope(std::string& bytes, const Geometry& geometry)
{
    const auto [minX, maxX] = std::minmax_element(geometry.vertices.begin(), geometry.vertices.end(),
                                                  [](auto a, auto b) { return a.x < b.x; });
    const auto [minY, maxY] = std::minmax_element(geometry.vertices.begin(), geometry.vertices.end(),
                                                  [](auto a, auto b) { return a.y < b.y; });
    append(bytes, minX->x);
    append(bytes, maxX->x);
    append(bytes, minY->y);
    append(bytes, maxY->y);
}

/// Reads numbers off a blob; goes bad, and stays so, where the blob ends too early.
class ByteReader {
public:
    explicit ByteReader(const std::string& bytes) : m_bytes(bytes) {}

    bool good() const { return m_good; }
    std::size_t left() const { return m_bytes.size() - m_at; }
    void setLittle(bool little) { m_little = little; }
    void skip(std::size_t count)
    {
        if (count > left())
            m_good = false;
        else
            m_at += count;
    }

    template<typename Number>
    Number next()
    {
        Number number{};
        if (sizeof(Number) > left()) {
            m_good = false;
            return number;
        }
        std::array<char, sizeof(Number)> raw{};
        std::memcpy(raw.data(), m_bytes.data() + m_at, sizeof(Number));
        m_at += sizeof(Number);
        if (m_little != (std::endian::native == std::endian::little))
            std::reverse(raw.begin(), raw.end());
        std::memcpy(&number, raw.data(), sizeof(Number));
        return number;
    }

    /// The byte order mark and the type of a geometry; sets how many ordinates follow x and y.
    std::uint32_t type()
    {
        setLittle(next<std::uint8_t>() == 1);
        const auto code = next<std::uint32_t>();
        m_more = code / 1000 == 0 ? 0 : code / 1000 == 3 ? 2 : 1;
        return code % 1000;
    }

    void vertices(Geometry& geometry, std::size_t count)
    {
        if (count > left() / (8U * (2U + m_more))) {
            m_good = false;
            return;
        }
        for (std::size_t i = 0; i < count; ++i) {
            const double x = next<double>();
            geometry.vertices.push_back({x, next<double>()});
            skip(8U * m_more);
        }
        geometry.ringSizes.push_back(count);
    }

    void polygon(Geometry& geometry)
    {
        const auto rings = next<std::uint32_t>();
        for (std::uint32_t i = 0; i < rings && m_good; ++i)
            vertices(geometry, next<std::uint32_t>());
        geometry.ringsOfPart.push_back(rings);
    }

private:
    const std::string& m_bytes;
    std::size_t m_at = 0;
    std::size_t m_more = 0;
    bool m_little = true;
    bool m_good = true;
};

std::optional<Geometry> readWkb(ByteReader& reader)
{
    Geometry geometry;
    switch (reader.type()) {
    case WkbPoint:
        geometry.shape = Shape::Point;
        reader.vertices(geometry, 1);
        geometry.ringsOfPart = {1};
        break;
    case WkbLineString:
        geometry.shape = Shape::LineString;
        reader.vertices(geometry, reader.next<std::uint32_t>());
        geometry.ringsOfPart = {1};
        break;
    case WkbPolygon:
        geometry.shape = Shape::Polygon;
        reader.polygon(geometry);
        break;
    case WkbMultiPolygon: {
        geometry.shape = Shape::MultiPolygon;
        const auto parts = reader.next<std::uint32_t>();
        for (std::uint32_t i = 0; i < parts && reader.good(); ++i) {
            if (reader.type() != WkbPolygon)
                return std::nullopt;
            reader.polygon(geometry);
        }
        break;
    }
    default:
        return std::nullopt;
    }
    return reader.good() ? std::optional(geometry) : std::nullopt;
}

} // namespace

std::string geoPackageBlob(const Geometry& geometry, int srsId)
{
    const bool envelope = geometry.shape != Shape::Point && !geometry.vertices.empty();
    const bool empty = geometry.vertices.empty();
    std::string bytes = "GP";
    bytes += '\0';
    // Flags: bit 0 little-endian, bits 1 to 3 envelope (1 = x and y), bit 4 empty.
    bytes += static_cast<char>(1U | (envelope ? 1U << 1U : 0U) | (empty ? 1U << 4U : 0U));
    append(bytes, static_cast<std::int32_t>(srsId));
    if (envelope)
        appendEnvelope(bytes, geometry);
    std::size_t ring = 0;
    std::size_t vertex = 0;
    switch (geometry.shape) {
    case Shape::None:
    case Shape::Point: {
        appendType(bytes, WkbPoint);
        // An empty point is written with coordinates that are no numbers (OGC 12-128r17, 2.1.3).
        constexpr double None = std::numeric_limits<double>::quiet_NaN();
        const Coordinate at = empty ? Coordinate{None, None} : geometry.vertices[0];
        appendVertices(bytes, &at, 1);
        break;
    }
    case Shape::LineString:
        appendType(bytes, WkbLineString);
        append(bytes, static_cast<std::uint32_t>(geometry.vertices.size()));
        appendVertices(bytes, geometry.vertices.data(), geometry.vertices.size());
        break;
    case Shape::Polygon:
        appendPolygon(bytes, geometry, ring, vertex, geometry.ringSizes.size());
        break;
    case Shape::MultiPolygon:
        appendType(bytes, WkbMultiPolygon);
        append(bytes, static_cast<std::uint32_t>(geometry.ringsOfPart.size()));
        for (const std::size_t rings : geometry.ringsOfPart)
            appendPolygon(bytes, geometry, ring, vertex, rings);
        break;
    }
    return bytes;
}

Result<Geometry> geometryOfBlob(const std::string& blob)
{
    const Error broken{ErrorCode::BadInput,
                       "a geometry in the project file is not a GeoPackage blob (OGC 12-128r17, "
                       "2.1.3) of a point, line, polygon or multipolygon"};
    if (blob.size() < 8 || blob[0] != 'G' || blob[1] != 'P')
        return broken;
    const auto flags = static_cast<unsigned char>(blob[3]);
    static constexpr std::array<std::size_t, 8> EnvelopeBytes = {0, 32, 48, 48, 64, 0, 0, 0};
    ByteReader reader(blob);
    reader.skip(8 + EnvelopeBytes[(flags >> 1U) & 7U]);
    std::optional<Geometry> geometry = readWkb(reader);
    if (!geometry)
        return broken;
    if ((flags >> 4U) & 1U)
        return Geometry{geometry->shape, Space::Ground, {}, {}, {}};
    return std::move(*geometry);
}

} // namespace inkpeg
