// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/GeoPackageBlob.h"

#include <array>
#include <cstring>
#include <random>

#include <ogr_geometry.h>

#include <QTest>

using namespace inkpeg;

namespace {

const Geometry Point{Shape::Point, Space::Ground, {{553'000.125, 6'100'000.5}}, {1}, {1}};
const Geometry Line{Shape::LineString, Space::Ground, {{0, 1}, {2, 3}, {4, -5}}, {3}, {1}};
const Geometry Polygon{Shape::Polygon,
                       Space::Ground,
                       {{0, 0}, {9, 0}, {9, 9}, {0, 0}, {3, 1}, {4, 1}, {4, 2}, {3, 1}},
                       {4, 4},
                       {2}};
const Geometry Multi{
    Shape::MultiPolygon,
    Space::Ground,
    {{0, 0}, {9, 0}, {9, 9}, {0, 0}, {3, 1}, {4, 1}, {4, 2}, {3, 1}, {20, 0}, {21, 0}, {20, 7}, {20, 0}},
    {4, 4, 4},
    {2, 1}};

std::string wkb(const std::string& blob)
{
    return blob.substr(blob[3] & 0x0E ? 40 : 8);
}

} // namespace

class GeoPackageBlobTest final : public QObject {
    Q_OBJECT

private slots:
    // The reference is GDAL's reader of well-known binary.
    void gdalReadsTheSameGeometry()
    {
        const std::pair<const Geometry&, const char*> cases[] = {
            {Point, "POINT (553000.125 6100000.5)"},
            {Line, "LINESTRING (0 1,2 3,4 -5)"},
            {Polygon, "POLYGON ((0 0,9 0,9 9,0 0),(3 1,4 1,4 2,3 1))"},
            {Multi, "MULTIPOLYGON (((0 0,9 0,9 9,0 0),(3 1,4 1,4 2,3 1)),((20 0,21 0,20 7,20 0)))"},
        };
        for (const auto& [geometry, text] : cases) {
            const std::string bytes = wkb(geoPackageBlob(geometry, 25832));
            OGRGeometry* read = nullptr;
            QCOMPARE(OGRGeometryFactory::createFromWkb(bytes.data(), nullptr, &read, bytes.size()),
                     OGRERR_NONE);
            QCOMPARE(QString::fromStdString(read->exportToWkt()), QString(text));
            delete read;
        }
    }

    // OGC 12-128r17, 2.1.3.1.1: "GP", version 0, flags, srs_id, envelope min x, max x, min y, max y.
    void theHeaderIsThatOfTheStandard()
    {
        const std::string blob = geoPackageBlob(Line, 25832);
        QCOMPARE(blob.substr(0, 4), std::string("GP\0\x03", 4));
        std::int32_t srs = 0;
        std::memcpy(&srs, blob.data() + 4, 4);
        QCOMPARE(srs, 25832);
        std::array<double, 4> envelope{};
        std::memcpy(envelope.data(), blob.data() + 8, 32);
        QCOMPARE(envelope, (std::array<double, 4>{0, 4, -5, 3}));
        QCOMPARE(geoPackageBlob(Point, -1)[3], '\x01');
    }

    void whatIsWrittenReadsBack()
    {
        for (const Geometry& geometry : {Point, Line, Polygon, Multi}) {
            const auto read = geometryOfBlob(geoPackageBlob(geometry, -1));
            QVERIFY(read);
            QVERIFY(*read == geometry);
        }
    }

    void otherWritersBlobsAreRead()
    {
        // Big-endian, with z, as GDAL writes it.
        OGRLineString line;
        line.addPoint(0, 1, 7);
        line.addPoint(2, 3, 7);
        std::string bytes(line.WkbSize(), '\0');
        QCOMPARE(line.exportToWkb(wkbXDR, reinterpret_cast<unsigned char*>(bytes.data()), wkbVariantIso),
                 OGRERR_NONE);
        const auto read = geometryOfBlob(std::string("GP\0\0\0\0\0\0", 8) + bytes);
        QVERIFY(read);
        QVERIFY((read->vertices == std::vector<Coordinate>{{0, 1}, {2, 3}}));
    }

    void brokenBlobsAreRefusedNotFollowed()
    {
        std::mt19937 random(20260505);
        const std::string whole = geoPackageBlob(Multi, 25832);
        for (std::size_t length = 0; length < whole.size(); ++length)
            QVERIFY(!geometryOfBlob(whole.substr(0, length)));
        for (int round = 0; round < 20'000; ++round) {
            std::string blob = whole;
            for (int k = 0; k < 3; ++k)
                blob[random() % blob.size()] = static_cast<char>(random() % 256);
            if (const auto read = geometryOfBlob(blob))
                QVERIFY(read->vertices.size() <= blob.size() / 16);
        }
    }
};

QTEST_GUILESS_MAIN(GeoPackageBlobTest)
#include "GeoPackageBlobTest.moc"
