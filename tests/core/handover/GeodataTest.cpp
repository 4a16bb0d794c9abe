// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/Geodata.h"

#include <fstream>
#include <set>

#include <QProcess>
#include <QTemporaryDir>
#include <QTest>

#include <gdal_priv.h>
#include <nlohmann/json.hpp>
#include <ogrsf_frmts.h>

#include "core/handover/ReadBack.h"
#include "core/handover/StagedFolder.h"
#include "tests/core/handover/ManyOutlines.h"

using namespace inkpeg;
using nlohmann::json;

namespace fs = std::filesystem;

namespace {

std::string slurp(const fs::path& file)
{
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

QString run(const QString& program, const QStringList& arguments, int& exitCode)
{
    QProcess process;
    process.setProcessChannelMode(QProcess::MergedChannels);
    process.start(program, arguments);
    process.waitForFinished(60'000);
    exitCode = process.exitStatus() == QProcess::NormalExit ? process.exitCode() : -1;
    return QString::fromUtf8(process.readAll());
}

/// The first feature's geometry of a layer, read by GDAL.
std::unique_ptr<OGRGeometry> firstGeometry(const fs::path& file, const char* layerName)
{
    GDALDatasetUniquePtr dataset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR));
    OGRLayer* layer = dataset ? dataset->GetLayerByName(layerName) : nullptr;
    if (layer == nullptr)
        return nullptr;
    layer->ResetReading();
    OGRFeatureUniquePtr feature(layer->GetNextFeature());
    return std::unique_ptr<OGRGeometry>(feature ? feature->StealGeometry() : nullptr);
}

std::vector<OGRRawPoint> verticesOf(const OGRGeometry& geometry)
{
    std::vector<OGRRawPoint> vertices;
    const auto* polygons = geometry.getGeometryType() == wkbPolygon ? nullptr : geometry.toMultiPolygon();
    const auto take = [&](const OGRPolygon* polygon) {
        for (const OGRLinearRing* ring : *polygon)
            for (int i = 0; i < ring->getNumPoints(); ++i)
                vertices.push_back({ring->getX(i), ring->getY(i)});
    };
    if (polygons == nullptr)
        take(geometry.toPolygon());
    else
        for (const OGRPolygon* polygon : *polygons)
            take(polygon);
    return vertices;
}

double signedArea(const json& ring)
{
    double twice = 0;
    for (std::size_t i = 0; i + 1 < ring.size(); ++i)
        twice += (ring[i][0].get<double>() - ring[0][0].get<double>()) *
                     (ring[i + 1][1].get<double>() - ring[0][1].get<double>()) -
                 (ring[i + 1][0].get<double>() - ring[0][0].get<double>()) *
                     (ring[i][1].get<double>() - ring[0][1].get<double>());
    return twice / 2;
}

} // namespace

class GeodataTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<Project> m_project;
    std::optional<HandOverReport> m_report;

    fs::path path(const char* name) const { return m_folder.filePath(name).toStdString(); }
    fs::path handedOver(const char* name) const { return path("hand-over") / name; }

private slots:
    void initTestCase()
    {
        GDALAllRegister();
        m_project.emplace(yard::make(path("yard.gpkg")));
        GeodataSettings settings;
        settings.gml = settings.shapefile = true;
        Result<HandOverReport> report = handOverGeodata(*m_project, path("hand-over"), settings);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        m_report = *report;
    }

    // The validator of OGC 12-128 that Debian carries in python3-gdal
    // (osgeo_utils/samples/validate_gpkg.py).
    void geoPackagePassesTheValidator()
    {
        int exitCode = 0;
        const QString words = run("python3",
                                  {"/usr/lib/python3/dist-packages/osgeo_utils/samples/validate_gpkg.py",
                                   "-v", QString::fromStdString(handedOver("geodata.gpkg").string())},
                                  exitCode);
        QVERIFY2(exitCode == 0, qPrintable(words));
    }

    // Plain SQLite reads it, and finds what tests/published/geopackage_1_3.json asks for.
    void geoPackageIsWholeForPlainSqlite()
    {
        const auto ask = [&](const char* question) {
            int exitCode = 0;
            const QString answer =
                run("python3",
                    {"-c",
                     "import sqlite3,sys\nfor r in sqlite3.connect(sys.argv[1]).execute(sys.argv[2]): "
                     "print(*r)",
                     QString::fromStdString(handedOver("geodata.gpkg").string()), question},
                    exitCode);
            return exitCode == 0 ? answer.trimmed() : "failed: " + answer;
        };
        QCOMPARE(ask("PRAGMA integrity_check"), QString("ok"));
        QCOMPARE(ask("PRAGMA foreign_key_check"), QString());
        QCOMPARE(ask("PRAGMA application_id"), QString("1196444487"));
        QCOMPARE(ask("SELECT context, drawing, edge_kinds, traced_by FROM outlines"),
                 QString("1032 P-01 certain, uncertain, truncated MH"));
        QCOMPARE(ask("SELECT srs_id FROM gpkg_geometry_columns WHERE table_name = 'section_outlines'"),
                 QString("-1"));
        QCOMPARE(ask("SELECT srs_id FROM gpkg_geometry_columns WHERE table_name = 'outlines'"),
                 QString("25832"));
        QCOMPARE(ask("SELECT count(*) FROM finds"), QString("2"));
        QCOMPARE(ask("SELECT data_type FROM gpkg_contents WHERE table_name = 'contexts'"),
                 QString("attributes"));
    }

    void everyLayerHoldsAsManyFeaturesAsTheProject()
    {
        const std::map<std::string, std::size_t> counts(m_report->counts.begin(), m_report->counts.end());
        QCOMPARE(counts.at("outlines") + counts.at("section_outlines"), m_project->all<Outline>().size());
        QCOMPARE(counts.at("pegs"), m_project->all<Peg>().size());
        QCOMPARE(counts.at("pins"), m_project->all<Pin>().size());
        QCOMPARE(counts.at("finds"), m_project->all<Find>().size());
        QCOMPARE(counts.at("drawings"), m_project->all<Drawing>().size());
        QCOMPARE(counts.at("outline_vertices"), std::size_t{10});
        GDALDatasetUniquePtr dataset(GDALDataset::Open(handedOver("geodata.gpkg").c_str(), GDAL_OF_VECTOR));
        for (const auto& [name, count] : m_report->counts) {
            OGRLayer* layer = dataset->GetLayerByName(name.c_str());
            QVERIFY2(layer != nullptr, name.c_str());
            QCOMPARE(layer->GetFeatureCount(), static_cast<GIntBig>(count));
        }
    }

    // The formats hold the same places to 0.1 mm, and the same area.
    void coordinatesAndAreaAreEqualAcrossFormats()
    {
        const auto reference = firstGeometry(handedOver("geodata.gpkg"), "outlines");
        QVERIFY(reference);
        const std::vector<OGRRawPoint> places = verticesOf(*reference);
        QCOMPARE(places.size(), std::size_t{13});
        const double areaM2 = reference->toMultiPolygon()->get_Area();
        for (const auto& [file, layer] : {std::pair{"geodata.gml", "outlines"},
                                          {"shapefile/outlines.shp", "outlines"},
                                          {"csv/outlines.csv", "outlines"}}) {
            const auto other = firstGeometryOrWkt(handedOver(file), layer);
            QVERIFY2(other, file);
            const std::vector<OGRRawPoint> there = verticesOf(*other);
            QCOMPARE(there.size(), places.size());
            for (const OGRRawPoint& place : places) {
                double nearestM = 1e9; // ring starts may differ; the set of places may not
                for (const OGRRawPoint& candidate : there)
                    nearestM = std::min(nearestM, std::hypot(candidate.x - place.x, candidate.y - place.y));
                QVERIFY2(nearestM < 1e-4, file);
            }
            QVERIFY(std::abs(other->toMultiPolygon()->get_Area() - areaM2) < 1e-4);
        }
        // and the field says what the geometry has
        GDALDatasetUniquePtr dataset(GDALDataset::Open(handedOver("geodata.gpkg").c_str(), GDAL_OF_VECTOR));
        OGRFeatureUniquePtr feature(dataset->GetLayerByName("outlines")->GetNextFeature());
        QVERIFY(std::abs(feature->GetFieldAsDouble("area_m2") - areaM2) < 1e-6);
    }

    std::unique_ptr<OGRGeometry> firstGeometryOrWkt(const fs::path& file, const char* layerName)
    {
        if (file.extension() != ".csv")
            return firstGeometry(file, layerName);
        GDALDatasetUniquePtr dataset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR));
        OGRFeatureUniquePtr feature(dataset->GetLayer(0)->GetNextFeature());
        OGRGeometry* geometry = nullptr;
        OGRGeometryFactory::createFromWkt(feature->GetFieldAsString("geometry_wkt"), nullptr, &geometry);
        return std::unique_ptr<OGRGeometry>(geometry);
    }

    // GeoJSON, taken back to the CRS by GDAL's own conversion, lies where the GeoPackage does, to its
    // stated decimals.
    void geoJsonLiesWhereTheGeoPackageDoes()
    {
        OGRSpatialReference ground, world;
        ground.importFromEPSG(25832);
        world.SetFromUserInput("OGC:CRS84");
        world.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        ground.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        std::unique_ptr<OGRCoordinateTransformation> back(
            OGRCreateCoordinateTransformation(&world, &ground));
        const auto reference = firstGeometry(handedOver("geodata.gpkg"), "outlines");
        const auto other = firstGeometry(handedOver("geojson/outlines.geojson"), "outlines");
        QVERIFY(reference && other);
        std::vector<OGRRawPoint> places = verticesOf(*reference), there = verticesOf(*other);
        QCOMPARE(there.size(), places.size());
        for (std::size_t i = 0; i < there.size(); ++i) {
            QVERIFY(back->Transform(1, &there[i].x, &there[i].y));
            // half a unit of the eighth decimal: 0.56 mm north, less east
            QVERIFY(std::hypot(there[i].x - places[i].x, there[i].y - places[i].y) < 0.0008);
        }
    }

    // tests/published/geojson_rfc7946.json: 3.1.6 winding and closing, 4 no crs member, 7 members, 12 no
    // byte-order mark.
    void geoJsonFollowsItsRules()
    {
        int files = 0;
        for (const fs::directory_entry& entry : fs::directory_iterator(handedOver("geojson"))) {
            const std::string bytes = slurp(entry.path());
            QVERIFY(!bytes.starts_with("\xEF\xBB\xBF"));
            const json collection = json::parse(bytes);
            QVERIFY(collection["type"] == "FeatureCollection");
            QVERIFY(!collection.contains("crs"));
            for (const json& feature : collection["features"]) {
                QVERIFY(feature["type"] == "Feature");
                QVERIFY(feature.contains("geometry") && feature.contains("properties"));
                if (!feature["geometry"].is_null())
                    geometryFollowsItsRules(feature["geometry"],
                                            entry.path().filename().string().starts_with("space_"));
            }
            ++files;
        }
        QVERIFY(files >= 12);
    }

    /// What stands in space has a level as its third number, and no winding to speak of from above.
    void geometryFollowsItsRules(const json& geometry, bool inSpace)
    {
        QVERIFY(!geometry.contains("properties") && !geometry.contains("features"));
        if (geometry["type"] != "MultiPolygon")
            return;
        for (const json& polygon : geometry["coordinates"]) {
            for (std::size_t i = 0; i < polygon.size(); ++i) {
                const json& ring = polygon[i];
                QVERIFY(ring.size() >= 4);
                QVERIFY(ring.front() == ring.back());
                QVERIFY(inSpace || (i == 0 ? signedArea(ring) > 0 : signedArea(ring) < 0));
                for (const json& position : ring)
                    QVERIFY(position.size() == (inSpace ? 3U : 2U) && position[0] > 9 && position[0] < 11 &&
                            position[1] > 55 && position[1] < 57);
            }
        }
    }

    void theReportSaysHowGoodTheConversionIs()
    {
        QVERIFY(!m_report->conversion.operation.empty());
        bool said = false;
        for (const std::string& remark : m_report->remarks)
            said = said || remark.find("stated accuracy") != std::string::npos;
        QVERIFY(said);
        QVERIFY(slurp(handedOver("README.txt")).find("stated accuracy") != std::string::npos);
    }

    void aDrawingWithoutPinsIsSpokenOf()
    {
        bool said = false;
        for (const std::string& remark : m_report->remarks)
            said = said || remark.find("P-02") != std::string::npos;
        QVERIFY(said);
    }

    void sameProjectSameBytes()
    {
        GeodataSettings settings;
        settings.gml = settings.shapefile = true;
        const Result<HandOverReport> again = handOverGeodata(*m_project, path("again"), settings);
        QVERIFY(again);
        for (const HandedOverFile& file : m_report->files)
            QVERIFY2(slurp(path("hand-over") / file.name) == slurp(path("again") / file.name),
                     file.name.c_str());
        QCOMPARE(again->files.size(), m_report->files.size());
    }

    void aTakenFolderIsRefusedUnlessItIsAFormerHandOver()
    {
        const Result<HandOverReport> refused = handOverGeodata(*m_project, path("hand-over"));
        QVERIFY(!refused && refused.error().code == ErrorCode::Conflict);
        GeodataSettings replace;
        replace.replace = true;
        fs::create_directories(path("mine"));
        std::ofstream(path("mine") / "letter.txt") << "keep me";
        QVERIFY(!handOverGeodata(*m_project, path("mine"), replace));
        QCOMPARE(slurp(path("mine") / "letter.txt"), std::string("keep me"));
        QVERIFY(handOverGeodata(*m_project, path("second")));
        QVERIFY(handOverGeodata(*m_project, path("second"), replace));
    }

    void stoppingLeavesNothingBehind()
    {
        for (const double stopAt : {0.0, 0.2, 0.35, 0.5}) {
            const Result<HandOverReport> stopped = handOverGeodata(
                *m_project, path("stopped"), {}, [&](double share) { return share < stopAt; });
            QVERIFY(!stopped && stopped.error().code == ErrorCode::Cancelled);
            for (const fs::directory_entry& entry : fs::directory_iterator(m_folder.path().toStdString()))
                QVERIFY2(entry.path().filename().string().find("stopped") == std::string::npos,
                         entry.path().c_str());
        }
    }

    void hostileWordsStayWords()
    {
        Result<Project> project = Project::create(
            path("hostile.gpkg"), {"../X", "<script>", "EPSG:25832", "", 0.25, 0.5, "", ""});
        QVERIFY(project);
        const std::vector<std::string> words = {"../../etc",        "'; DROP TABLE outlines; --",
                                                "<b>&\"x\"</b>",    "\xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D",
                                                "\xF0\x9F\x8F\xBA", std::string(300, 'n'),
                                                "a,b\r\nc"};
        const Result<Change> change = project->act("hostile", [&](Editor& edit) {
            for (const std::string& word : words) {
                Context context;
                context.number = word;
                context.description = word;
                yard::put(edit, context);
            }
            return Result<void>();
        });
        QVERIFY2(change, change ? "" : change.error().message.c_str());
        QVERIFY(handOverGeodata(*project, path("hostile")));
        GDALDatasetUniquePtr dataset(
            GDALDataset::Open((path("hostile") / "geodata.gpkg").c_str(), GDAL_OF_VECTOR));
        OGRLayer* layer = dataset->GetLayerByName("contexts");
        for (const std::string& word : words) {
            OGRFeatureUniquePtr feature(layer->GetNextFeature());
            QCOMPARE(std::string(feature->GetFieldAsString("number")), word);
        }
        GDALDatasetUniquePtr table(
            GDALDataset::Open((path("hostile") / "csv/contexts.csv").c_str(), GDAL_OF_VECTOR));
        QCOMPARE(table->GetLayer(0)->GetFeatureCount(), static_cast<GIntBig>(words.size()));
    }

    void theDataDictionaryNamesEveryField()
    {
        GDALDatasetUniquePtr dataset(GDALDataset::Open(handedOver("geodata.gpkg").c_str(), GDAL_OF_VECTOR));
        const std::string dictionary = slurp(handedOver("data-dictionary.csv"));
        for (int i = 0; i < dataset->GetLayerCount(); ++i) {
            OGRLayer* layer = dataset->GetLayer(i);
            for (int k = 0; k < layer->GetLayerDefn()->GetFieldCount(); ++k) {
                const std::string line = std::string("\r\n") + layer->GetName() + "," +
                                         layer->GetLayerDefn()->GetFieldDefn(k)->GetNameRef() + ",";
                QVERIFY2(dictionary.find(line) != std::string::npos, line.c_str());
            }
        }
    }

    // A geometry that is spelled wrongly must not pass for "no places", or nothing would be held.
    void aDictionaryWithAWordThatIsNoneIsRefused()
    {
        std::string dictionary = slurp(handedOver("data-dictionary.csv"));
        QVERIFY(schemasOfDictionary(handedOver("data-dictionary.csv")));
        for (const auto& [right, wrong] : {std::pair{",multipolygon,", ",multipoligon,"},
                                           std::pair{",whole number,", ",hole number,"}}) {
            std::string broken = dictionary;
            const std::size_t at = broken.find(right);
            QVERIFY(at != std::string::npos);
            broken.replace(at, std::string(right).size(), wrong);
            std::ofstream(path("broken.csv"), std::ios::binary) << broken;
            const auto schemas = schemasOfDictionary(path("broken.csv"));
            QVERIFY(!schemas);
            const std::string word = std::string(wrong).substr(1, std::string(wrong).size() - 2);
            QVERIFY2(schemas.error().message.find("\"" + word + "\"") != std::string::npos &&
                         schemas.error().message.find("line ") != std::string::npos,
                     schemas.error().message.c_str());
        }
    }

    // As many as a large excavation draws: each outline arrives in every format, read again by GDAL.
    void tenThousandOutlinesAllArriveInEveryFormat()
    {
        constexpr int Count = 10'000;
        Project project = yard::make(path("many.gpkg"));
        const std::vector<Outline> drawn =
            project.all<Outline>(); // those on sections go into a layer of their own
        const auto before = std::count_if(drawn.begin(), drawn.end(), [&](const Outline& outline) {
            return !isUpright(project.byId<Drawing>(outline.drawing)->kind);
        });
        yard::addOutlines(project, Count);
        GeodataSettings settings;
        settings.gml = settings.shapefile = true;
        QVERIFY(handOverGeodata(project, path("many"), settings));
        for (const char* file : {"geodata.gpkg", "geojson/outlines.geojson", "csv/outlines.csv",
                                 "geodata.gml", "shapefile/outlines.shp"}) {
            const std::string name = (path("many") / file).string();
            GDALDataset* handed = GDALDataset::Open(name.c_str(), GDAL_OF_VECTOR);
            QVERIFY2(handed, name.c_str());
            OGRLayer* layer = handed->GetLayerByName("outlines");
            QVERIFY2(layer, name.c_str());
            QCOMPARE(layer->GetFeatureCount(), static_cast<GIntBig>(before) + Count);
            GDALClose(handed);
        }
    }
};

QTEST_GUILESS_MAIN(GeodataTest)
#include "GeodataTest.moc"
