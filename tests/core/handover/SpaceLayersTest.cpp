// SPDX-License-Identifier: GPL-3.0-or-later
// Sections as they stand in space, handed over and read again by GDAL as an independent reader: levels
// unchanged to 0.1 mm, rings as they were, nothing mended.
#include "core/handover/SpaceLayers.h"

#include <cmath>
#include <filesystem>
#include <fstream>
#include <memory>

#include <QTemporaryDir>
#include <QTest>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include "core/base/Csv.h"
#include "core/handover/Geodata.h"
#include "core/store/SectionTurn.h"
#include "tests/core/handover/SteppedSection.h"
#include "tests/core/handover/YardProject.h"

using namespace inkpeg;
using yard::markAt;

namespace {

constexpr double TenthMm = 1e-4;

/// Of a ring that stands in a plane of one northing, seen square on.
double areaOfFace(const std::vector<SpacePoint>& ring)
{
    double twice = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const SpacePoint &a = ring[i], &b = ring[(i + 1) % ring.size()];
        twice += (a.eastM - ring[0].eastM) * (b.levelM - ring[0].levelM) -
                 (b.eastM - ring[0].eastM) * (a.levelM - ring[0].levelM);
    }
    return twice / 2;
}

/// A cut over the step.
void addSteppedSection(Editor& edit)
{
    const Drawing section = yard::addSteppedLine(edit);
    Outline cut;
    cut.drawing = section.id;
    cut.context = "1032";
    // The step runs through the hole as well.
    cut.parts = {
        {yard::ring({markAt(0.5, 51.3), markAt(3.5, 51.3), markAt(3.0, 50.4), markAt(1.0, 50.4)}),
         {yard::ring({markAt(1.8, 51.0), markAt(2.2, 51.0), markAt(2.2, 50.8), markAt(1.8, 50.8)})}}};
    yard::put(edit, cut);
    yard::put(edit, EdgeLine{.id = 0,
                             .drawing = section.id,
                             .kind = LineKind::BreakTop,
                             .context = "1032",
                             .label = "",
                             .vertices = {markAt(0.5, 51.3), markAt(3.5, 51.1)}});
}

/// A cut over the bend.
void addCrankedSection(Editor& edit)
{
    const Drawing section = yard::addCrankedLine(edit);
    Outline cut;
    cut.drawing = section.id;
    cut.context = "1032";
    // With a hole, and over the bend at 2 m.
    cut.parts = {{yard::ring({markAt(0.5, 51.3), markAt(3.5, 51.3), markAt(3.0, 50.4), markAt(1.0, 50.4)}),
                  {yard::ring({markAt(1.6, 51.0), markAt(1.8, 51.0), markAt(1.7, 50.8)})}}};
    yard::put(edit, cut);
    yard::put(edit, EdgeLine{.id = 0,
                             .drawing = section.id,
                             .kind = LineKind::BreakTop,
                             .context = "1032",
                             .label = "",
                             .vertices = {markAt(0.5, 51.3), markAt(3.5, 51.3)}});
    yard::put(edit, DrawnPoint{.id = 0,
                               .drawing = section.id,
                               .kind = PointKind::Sample,
                               .number = "12",
                               .text = "",
                               .mark = markAt(3.0, 51.0)});
}

using Dataset = std::unique_ptr<GDALDataset, decltype(&GDALClose)>;

Dataset openVector(const std::filesystem::path& file)
{
    GDALAllRegister();
    return {GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR), &GDALClose};
}

std::vector<SpacePoint> pointsOf(const OGRSimpleCurve& curve)
{
    std::vector<SpacePoint> points;
    for (const OGRPoint& point : curve)
        points.push_back({point.getX(), point.getY(), point.getZ()});
    return points;
}

/// The rings of a multipolygon, each closed.
std::vector<std::vector<SpacePoint>> ringsOf(const OGRGeometry& geometry)
{
    std::vector<std::vector<SpacePoint>> rings;
    for (const OGRPolygon* polygon : *geometry.toMultiPolygon())
        for (const OGRLinearRing* ring : *polygon)
            rings.push_back(pointsOf(*ring));
    return rings;
}

} // namespace

class SpaceLayersTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::vector<SpaceRings> m_expected;
    std::filesystem::path m_out;

private slots:
    void initTestCase()
    {
        Project project = yard::make(m_folder.filePath("yard.gpkg").toStdString());
        const Result<Change> added = project.act("a cranked section", [](Editor& edit) {
            addCrankedSection(edit);
            return Result<void>();
        });
        QVERIFY2(added, added ? "" : added.error().message.c_str());
        for (const char* number : {"S-01", "S-02"}) {
            const Drawing drawing = *project.byKey<Drawing>(number);
            const Result<DrawingGround> ground = groundOfDrawing(project, drawing);
            QVERIFY2(ground, ground ? "" : ground.error().message.c_str());
            const auto pins = controlPoints(project, drawing, project.ofDrawing<Pin>(drawing.id));
            const PositionErrors errors(*ground, *pins, 0.25);
            for (const Outline& outline : project.ofDrawing<Outline>(drawing.id)) {
                const auto polygons = ringsInSpace(outline, *ground, errors, 0.05);
                QVERIFY2(polygons, polygons ? "" : polygons.error().message.c_str());
                m_expected.insert(m_expected.end(), polygons->begin(), polygons->end());
            }
        }
        QCOMPARE(m_expected.size(), std::size_t(2));
        m_out = m_folder.filePath("out").toStdString();
        GeodataSettings settings;
        settings.gml = settings.shapefile = true;
        const auto done = handOverGeodata(project, m_out, settings);
        QVERIFY2(done, done ? "" : done.error().message.c_str());
    }

    void theRingOverTheBendStandsInBothPlanes()
    {
        const std::vector<SpacePoint>& ring = m_expected[1][0];
        QCOMPARE(ring.size(), std::size_t(6)); // four as drawn, and the bend passed twice
        for (const SpacePoint& place : ring) {
            const bool first = std::abs(place.northM - 6'210'342) < 1e-6 && place.eastM < 553'124 + 1e-6;
            const bool second = std::abs(place.eastM - 553'124) < 1e-6 && place.northM > 6'210'342 - 1e-6;
            QVERIFY(first || second);
        }
        QCOMPARE(m_expected[1].size(), std::size_t(2));
    }

    /// The line steps aside undrawn: what was drawn as one area is two, each upright in its own plane.
    void theOutlineOverAStepStandsInTwoPlanesThatDoNotMeet()
    {
        Project project = yard::make(m_folder.filePath("stepped.gpkg").toStdString());
        const Result<Change> added = project.act("a stepped section", [](Editor& edit) {
            addSteppedSection(edit);
            return Result<void>();
        });
        QVERIFY2(added, added ? "" : added.error().message.c_str());
        const auto out = std::filesystem::path(m_folder.filePath("stepped").toStdString());
        const auto done = handOverGeodata(project, out, {});
        QVERIFY2(done, done ? "" : done.error().message.c_str());
        const Dataset data = openVector(out / "geodata.gpkg");
        QVERIFY(data);
        OGRLayer* layer = data->GetLayerByName("space_outlines");
        layer->SetAttributeFilter("drawing = 'S-03'");
        const OGRFeatureUniquePtr feature(layer->GetNextFeature());
        QVERIFY(feature != nullptr);
        QCOMPARE(feature->GetGeometryRef()->toMultiPolygon()->getNumGeometries(), 2);
        // The trapezium less its hole, 0.9 (3 + 2) / 2 - 0.4 * 0.2; the cut is on the lattice of 1/256 px.
        const double told = feature->GetFieldAsDouble("area_m2");
        QVERIFY2(std::abs(told - 2.17) < 1e-4, qPrintable(QString::number(told, 'f', 6)));
        double area = 0;
        for (auto ring : ringsOf(*feature->GetGeometryRef())) {
            ring.pop_back();
            const bool first = ring[0].northM < 6'210'342.3;
            for (const SpacePoint& place : ring) {
                QVERIFY(std::abs(place.northM - (first ? 6'210'342 : 6'210'342.6)) < 1e-6);
                QVERIFY(first ? place.eastM < 553'124 + TenthMm : place.eastM > 553'124 - TenthMm);
            }
            area += areaOfFace(ring);
        }
        // A line over the step is two: nothing was drawn of the way across.
        OGRLayer* edges = data->GetLayerByName("space_edges");
        edges->SetAttributeFilter("drawing = 'S-03'");
        QCOMPARE(edges->GetFeatureCount(), 2);
        for (const auto& edge : *edges) {
            const std::vector<SpacePoint> line = pointsOf(*edge->GetGeometryRef()->toLineString());
            QCOMPARE(line.size(), std::size_t(2));
            QVERIFY(std::abs(line[0].northM - line[1].northM) < 1e-6);
            const bool first = line[0].northM < 6'210'342.3;
            const SpacePoint& atStep = line[first ? 1 : 0];
            QVERIFY(std::abs(atStep.eastM - 553'124) < TenthMm && std::abs(atStep.levelM - 51.2) < TenthMm);
            QVERIFY(std::abs(edge->GetFieldAsDouble(first ? "to_m" : "from_m") - 2) < TenthMm);
        }
        QVERIFY2(std::abs(area - 2.17) < 1e-4, qPrintable(QString::number(area, 'f', 6)));
    }

    void levelsSurviveTheGeoPackage()
    {
        const Dataset data = openVector(m_out / "geodata.gpkg");
        QVERIFY(data);
        OGRLayer* layer = data->GetLayerByName("space_outlines");
        QVERIFY(layer != nullptr);
        QVERIFY(OGR_GT_HasZ(layer->GetGeomType()));
        QCOMPARE(layer->GetFeatureCount(), 2);
        std::size_t i = 0;
        for (const auto& feature : *layer) {
            const OGRGeometry* geometry = feature->GetGeometryRef();
            compare(ringsOf(*geometry), m_expected[i++], TenthMm);
            // Seen from above there is no area, and nothing was done about it.
            if (i == 1)
                QVERIFY(geometry->toMultiPolygon()->get_Area() < 1e-6);
        }
    }

    void levelsSurviveWellKnownText()
    {
        std::ifstream file(m_out / "csv/space_outlines.csv");
        const std::string text((std::istreambuf_iterator<char>(file)), std::istreambuf_iterator<char>());
        const Result<CsvTable> table = readCsv(text, "space_outlines.csv");
        QVERIFY(table);
        QCOMPARE(table->rows.size(), std::size_t(2));
        for (std::size_t i = 0; i < 2; ++i) {
            const std::string& wkt = table->rows[i].fields[*table->column("geometry_wkt")];
            QVERIFY(wkt.starts_with("MULTIPOLYGON Z ("));
            OGRGeometry* read = nullptr;
            QCOMPARE(OGRGeometryFactory::createFromWkt(wkt.c_str(), nullptr, &read), OGRERR_NONE);
            const std::unique_ptr<OGRGeometry> geometry(read);
            compare(ringsOf(*geometry), m_expected[i], TenthMm);
        }
    }

    /// Places as longitude and latitude: back to the CRS by PROJ, within the 1.1 mm of their decimals.
    void levelsSurviveGeoJson()
    {
        const Dataset data = openVector(m_out / "geojson/space_outlines.geojson");
        QVERIFY(data);
        OGRSpatialReference ground;
        ground.importFromEPSG(25832);
        ground.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        std::size_t i = 0;
        for (const auto& feature : *data->GetLayer(0)) {
            const OGRGeometry* geometry = feature->GetGeometryRef();
            std::vector<std::vector<SpacePoint>> rings = ringsOf(*geometry);
            const std::unique_ptr<OGRCoordinateTransformation> back(
                OGRCreateCoordinateTransformation(geometry->getSpatialReference(), &ground));
            for (std::vector<SpacePoint>& ring : rings)
                for (SpacePoint& place : ring) {
                    double level = place.levelM; // a 2D conversion must leave it be
                    back->Transform(1, &place.eastM, &place.northM, nullptr);
                    place.levelM = level;
                }
            compare(rings, m_expected[i++], 0.002);
        }
        QCOMPARE(i, std::size_t(2));
    }

    void linesAndPointsStandInSpaceToo()
    {
        const Dataset data = openVector(m_out / "geodata.gpkg");
        OGRLayer* edges = data->GetLayerByName("space_edges");
        QCOMPARE(edges->GetFeatureCount(), 1);
        const std::unique_ptr<OGRFeature> edge(edges->GetNextFeature());
        QCOMPARE(pointsOf(*edge->GetGeometryRef()->toLineString()).size(), std::size_t(3)); // the bend
        OGRLayer* points = data->GetLayerByName("space_points");
        const std::unique_ptr<OGRFeature> point(points->GetNextFeature());
        const OGRPoint* place = point->GetGeometryRef()->toPoint();
        QVERIFY(std::abs(place->getX() - 553'124) < TenthMm);
        QVERIFY(std::abs(place->getY() - 6'210'343) < TenthMm);
        QVERIFY(std::abs(place->getZ() - 51.0) < TenthMm);
        QVERIFY(point->GetFieldAsDouble("se_level_m") > 0);
        OGRLayer* vertices = data->GetLayerByName("space_vertices");
        QCOMPARE(vertices->GetFeatureCount(), 11);
        for (const auto& vertex : *vertices) {
            QVERIFY(std::abs(vertex->GetGeometryRef()->toPoint()->getZ() -
                             vertex->GetFieldAsDouble("level_m")) < 1e-9);
            QVERIFY(vertex->GetFieldAsDouble("se_east_m") > 0);
        }
    }

    void aShapefileLeavesUprightPolygonsBehindAndSaysSo()
    {
        QVERIFY(!std::filesystem::exists(m_out / "shapefile/space_outlines.shp"));
        QVERIFY(std::filesystem::exists(m_out / "shapefile/space_edges.shp"));
        std::ifstream file(m_out / "README.txt");
        const std::string text((std::istreambuf_iterator<char>(file)), std::istreambuf_iterator<char>());
        QVERIFY(text.find("space_outlines stays behind") != std::string::npos);
        QVERIFY(text.find("third number of a position is the level above the project's datum") !=
                std::string::npos);
    }

private:
    /// Levels to 0.1 mm, places to `placeM`; ring by ring and vertex by vertex, closed.
    static void compare(const std::vector<std::vector<SpacePoint>>& found, const SpaceRings& expected,
                        double placeM)
    {
        QCOMPARE(found.size(), expected.size());
        for (std::size_t r = 0; r < found.size(); ++r) {
            QCOMPARE(found[r].size(), expected[r].size() + 1);
            for (std::size_t i = 0; i < found[r].size(); ++i) {
                const SpacePoint& is = expected[r][i % expected[r].size()];
                QVERIFY(std::abs(found[r][i].levelM - is.levelM) <= TenthMm);
                QVERIFY(std::hypot(found[r][i].eastM - is.eastM, found[r][i].northM - is.northM) <= placeM);
            }
        }
    }
};

QTEST_GUILESS_MAIN(SpaceLayersTest)
#include "SpaceLayersTest.moc"
