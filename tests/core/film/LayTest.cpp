// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/Lay.h"

#include <algorithm>
#include <array>
#include <csignal>
#include <numeric>
#include <set>

#include <sys/resource.h>

#include <QTemporaryDir>
#include <QTest>

#include <gdal_utils.h>
#include <ogr_spatialref.h>

#include "tests/core/film/FormsForTests.h"
#include "tests/core/film/TiffForTests.h"

using namespace inkpeg;
using namespace inkpeg::test;

namespace {

struct Planes {
    int width = 0, height = 0;
    std::vector<std::vector<std::uint8_t>> bands;
};

Planes planesOf(GDALDataset& dataset)
{
    Planes planes{dataset.GetRasterXSize(), dataset.GetRasterYSize(), {}};
    for (int band = 1; band <= dataset.GetRasterCount(); ++band) {
        planes.bands.emplace_back(static_cast<std::size_t>(planes.width) *
                                  static_cast<std::size_t>(planes.height));
        if (dataset.GetRasterBand(band)->RasterIO(GF_Read, 0, 0, planes.width, planes.height,
                                                  planes.bands.back().data(), planes.width, planes.height,
                                                  GDT_Byte, 0, 0, nullptr) != CE_None)
            planes.bands.clear();
    }
    return planes;
}

/// Share of pixels opaque in both that differ by more than `allowed`, and of pixels whose alpha differs.
struct Difference {
    double values = 1, alpha = 1;
    std::size_t compared = 0;
};

Difference differenceOf(const Planes& mine, const Planes& reference, int allowed)
{
    Difference difference;
    if (mine.bands.size() != reference.bands.size() || mine.width != reference.width ||
        mine.height != reference.height)
        return difference;
    std::size_t unlike = 0, alphaUnlike = 0;
    const auto& alphaMine = mine.bands.back();
    const auto& alphaReference = reference.bands.back();
    for (std::size_t i = 0; i < alphaMine.size(); ++i) {
        alphaUnlike += (alphaMine[i] != 0) != (alphaReference[i] != 0);
        if (!alphaMine[i] || !alphaReference[i])
            continue;
        ++difference.compared;
        bool differs = false;
        for (std::size_t band = 0; band + 1 < mine.bands.size(); ++band)
            differs =
                differs || std::abs(int{mine.bands[band][i]} - int{reference.bands[band][i]}) > allowed;
        unlike += differs;
    }
    difference.values = double(unlike) / double(std::max<std::size_t>(difference.compared, 1));
    difference.alpha = double(alphaUnlike) / double(alphaMine.size());
    return difference;
}

} // namespace

class LayTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    std::filesystem::path at(const std::string& name) const
    {
        return m_folder.filePath(QString::fromStdString(name)).toStdString();
    }

    std::set<std::string> names() const
    {
        std::set<std::string> found;
        for (const auto& entry : std::filesystem::directory_iterator(m_folder.path().toStdString()))
            found.insert(entry.path().filename());
        return found;
    }

    static FilmFrame frameOf(const Scan& scan)
    {
        return {double(scan.facts().widthPx), double(scan.facts().heightPx), 400.3, 399.6, false};
    }

    /// GDAL's warper, exact positions, into the grid that `report` names.
    static Planes warped(const std::filesystem::path& scan, const FilmFrame& film, const AffineForm& form,
                         const LayReport& report, const char* kernel)
    {
        GDALDatasetUniquePtr file(GDALDataset::Open(scan.c_str(), GDAL_OF_RASTER));
        GDALDatasetUniquePtr source(GetGDALDriverManager()->GetDriverByName("MEM")->CreateCopy(
            "", file.get(), FALSE, nullptr, nullptr, nullptr));
        const auto ground = [&](double column, double row) {
            return form.toGround(film.toFilm({column, row}));
        };
        const GroundM origin = ground(0, 0), right = ground(1000, 0), down = ground(0, 1000);
        double geotransform[6] = {
            origin.east,  (right.east - origin.east) / 1000,   (down.east - origin.east) / 1000,
            origin.north, (right.north - origin.north) / 1000, (down.north - origin.north) / 1000};
        source->SetGeoTransform(geotransform);
        // XSCALE, YSCALE: the scan is neither enlarged nor reduced. Left to itself the warper guesses a
        // scale from the sides of the two pictures, which for a sheet turned by a right angle is wrong, and
        // blurs.
        const auto text = [](double value) { return CPLString().Printf("%.17g", value); };
        CPLStringList options;
        for (const CPLString& word : {CPLString("-wo"),
                                      CPLString("XSCALE=1"),
                                      CPLString("-wo"),
                                      CPLString("YSCALE=1"),
                                      CPLString("-of"),
                                      CPLString("MEM"),
                                      CPLString("-r"),
                                      CPLString(kernel),
                                      CPLString("-et"),
                                      CPLString("0"),
                                      CPLString("-dstalpha"),
                                      CPLString("-s_srs"),
                                      CPLString("EPSG:25832"),
                                      CPLString("-t_srs"),
                                      CPLString("EPSG:25832"),
                                      CPLString("-te"),
                                      text(report.upperLeft.east),
                                      text(report.upperLeft.north - report.heightPx * report.pixelM),
                                      text(report.upperLeft.east + report.widthPx * report.pixelM),
                                      text(report.upperLeft.north),
                                      CPLString("-ts"),
                                      CPLString(std::to_string(report.widthPx)),
                                      CPLString(std::to_string(report.heightPx))})
            options.AddString(word.c_str());
        GDALWarpAppOptions* how = GDALWarpAppOptionsNew(options.List(), nullptr);
        GDALDatasetH sources[] = {GDALDataset::ToHandle(source.get())};
        GDALDatasetUniquePtr result(
            GDALDataset::FromHandle(GDALWarp("", nullptr, 1, sources, how, nullptr)));
        GDALWarpAppOptionsFree(how);
        return result ? planesOf(*result) : Planes{};
    }

    static Planes laid(const std::filesystem::path& file)
    {
        GDALDatasetUniquePtr dataset(GDALDataset::Open(file.c_str(), GDAL_OF_RASTER));
        return dataset ? planesOf(*dataset) : Planes{};
    }

private slots:
    void valuesAgreeWithTheReferenceWarper_data()
    {
        QTest::addColumn<int>("kernel");
        QTest::addColumn<QString>("reference");
        QTest::addColumn<bool>("tiled");
        QTest::addColumn<int>("bands");
        QTest::addColumn<double>("degrees");
        QTest::newRow("nearest, tiles") << int(Kernel::Nearest) << "near" << true << 1 << 3.3;
        QTest::newRow("nearest, strips") << int(Kernel::Nearest) << "near" << false << 1 << -41.0;
        QTest::newRow("bilinear, tiles") << int(Kernel::Bilinear) << "bilinear" << true << 1 << 3.3;
        QTest::newRow("bilinear, strips, RGB") << int(Kernel::Bilinear) << "bilinear" << false << 3 << 92.0;
        QTest::newRow("cubic, tiles, RGB") << int(Kernel::Cubic) << "cubic" << true << 3 << 178.0;
        QTest::newRow("cubic, strips") << int(Kernel::Cubic) << "cubic" << false << 1 << 3.3;
    }

    void valuesAgreeWithTheReferenceWarper()
    {
        QFETCH(int, kernel);
        QFETCH(QString, reference);
        QFETCH(bool, tiled);
        QFETCH(int, bands);
        QFETCH(double, degrees);
        CPLStringList options;
        options.SetNameValue("TILED", tiled ? "YES" : "NO");
        options.SetNameValue("COMPRESS", "DEFLATE");
        TiffPicture picture = wavesPicture(1100 * bands, 900, options);
        picture.width = 1100;
        picture.bands = bands;
        QVERIFY(writeTiff(at("reference.tif"), picture));
        const auto scan = Scan::open(at("reference.tif"));
        QVERIFY(scan);
        const FilmFrame film = frameOf(*scan);
        const AffineForm form = turned(565432.1, 5932123.4, 20, degrees);
        LaySettings settings;
        settings.kernel = Kernel(kernel);
        settings.packing = Packing::None;
        const auto report = lay(*scan, film, transformOf(form), "EPSG:25832", at("laid.tif"), settings);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        QVERIFY(report->damage.empty());
        const Planes expected = warped(at("reference.tif"), film, form, *report, qPrintable(reference));
        const Difference difference =
            differenceOf(laid(at("laid.tif")), expected, settings.kernel == Kernel::Nearest ? 0 : 1);
        qInfo("%zu pixels compared, values differ at %.6f %%, alpha at %.6f %%", difference.compared,
              100 * difference.values, 100 * difference.alpha);
        QVERIFY(difference.compared > 900'000);
        // The bound the film engine promises: 99.99 % identical, 99.9 % within one grey level.
        QVERIFY(difference.values <= (settings.kernel == Kernel::Nearest ? 0.0001 : 0.001));
        QVERIFY(difference.alpha <= 0.0001);
    }

    void theFileStandsWhereItShouldForAnyReader()
    {
        QVERIFY(writeTiff(at("place.tif"), wavesPicture(700, 500)));
        const auto scan = Scan::open(at("place.tif"));
        LaySettings settings;
        settings.pixelM = 0.002;
        settings.worldFile = true;
        const auto report = lay(*scan, frameOf(*scan), transformOf(turned(565000, 5932000, 20, 5)),
                                "EPSG:25832", at("place-laid.tif"), settings);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        GDALDatasetUniquePtr dataset(GDALDataset::Open(at("place-laid.tif").c_str(), GDAL_OF_RASTER));
        QVERIFY(dataset);
        QCOMPARE(dataset->GetSpatialRef()->GetAuthorityCode(nullptr), "25832");
        double geotransform[6];
        QCOMPARE(dataset->GetGeoTransform(geotransform), CE_None);
        QCOMPARE(geotransform[0], report->upperLeft.east);
        QCOMPARE(geotransform[3], report->upperLeft.north);
        QCOMPARE(geotransform[1], 0.002);
        QCOMPARE(geotransform[5], -0.002);
        // Steps of whole pixels, so that neighbouring sheets share one grid.
        QVERIFY(std::abs(std::remainder(report->upperLeft.east, 0.002)) < 1e-9);
        QCOMPARE(dataset->GetRasterCount(), 2);
        QCOMPARE(dataset->GetRasterBand(2)->GetColorInterpretation(), GCI_AlphaBand);
        int blockWidth = 0, blockHeight = 0;
        dataset->GetRasterBand(1)->GetBlockSize(&blockWidth, &blockHeight);
        QCOMPARE(blockWidth, 256);
        QCOMPARE(blockHeight, 256);
        const std::string world = contentOf(at("place-laid.tfw"));
        QCOMPARE(std::count(world.begin(), world.end(), '\n'), 6);
        QVERIFY(world.starts_with("0.002\n0\n0\n-0.002\n"));
    }

    void checkerCornersComeBackToATwentiethOfAPixel()
    {
        // Squares of 40 px with edges at whole pixels; a corner of the laid picture is where the two edges
        // cross, each located by where the grey along a line passes the middle.
        TiffPicture checker = wavesPicture(800, 800);
        for (int row = 0; row < 800; ++row)
            for (int column = 0; column < 800; ++column)
                checker.samples[static_cast<std::size_t>(row * 800 + column)] =
                    (column / 40 + row / 40) % 2 ? 255 : 0;
        QVERIFY(writeTiff(at("checker.tif"), checker));
        const auto scan = Scan::open(at("checker.tif"));
        const FilmFrame film = frameOf(*scan);
        const AffineForm form = turned(1000, 2000, 10, 0); // not turned: edges run along rows and columns
        LaySettings settings;
        const auto report =
            lay(*scan, film, transformOf(form), "EPSG:25832", at("checker-laid.tif"), settings);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        const Planes picture = laid(at("checker-laid.tif"));
        const auto grey = [&](int column, int row) {
            return double(picture.bands[0][static_cast<std::size_t>(row * picture.width + column)]);
        };
        // Place of the edge near `middle`: sum of brightness over a window that it divides.
        const auto edge = [&](double middle, auto&& value) {
            const int from = int(middle) - 12, to = int(middle) + 12;
            double sum = 0;
            for (int i = from; i < to; ++i)
                sum += value(i) / 255.0;
            return value(from) < 128 ? to - sum : from + sum;
        };
        double worst = 0;
        for (int i = 2; i < 18; ++i)
            for (int k = 2; k < 18; ++k) {
                const GroundM corner = form.toGround(film.toFilm({40.0 * i, 40.0 * k}));
                const double column = (corner.east - report->upperLeft.east) / report->pixelM;
                const double row = (report->upperLeft.north - corner.north) / report->pixelM;
                const double foundColumn = edge(column, [&](int c) { return grey(c, int(row) + 15); });
                const double foundRow = edge(row, [&](int r) { return grey(int(column) + 15, r); });
                worst = std::max({worst, std::abs(foundColumn - column), std::abs(foundRow - row)});
            }
        qInfo("worst corner %.4f px", worst);
        QVERIFY(worst <= 0.05);
    }

    void positionsOfAWavyFilmKeepTheirBound()
    {
        QVERIFY(writeTiff(at("wavy.tif"), wavesPicture(1500, 1500)));
        const auto scan = Scan::open(at("wavy.tif"));
        const FilmFrame film = frameOf(*scan);
        // 1.5 mm over 60 mm: far more than film does.
        const auto form = std::make_shared<WavyForm>(turned(1000, 2000, 20, 2), 1.5, 60);
        LaySettings settings;
        settings.kernel = Kernel::Nearest;
        const GroundTransform transform(Model::ThinPlateSpline, form);
        const auto report = lay(*scan, film, transform, "EPSG:25832", at("wavy-laid.tif"), settings);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        QVERIFY(report->worstApproximationPx > 0 && report->worstApproximationPx <= 0.02);
        // Every pixel against its own exact position: it may differ only where that lies within the bound
        // of an edge between two scan pixels.
        const Planes picture = laid(at("wavy-laid.tif"));
        const auto all = scan->readGrey({0, 0, 1500, 1500}, 1500, 1500);
        std::size_t compared = 0;
        for (int row = 0; row < picture.height; ++row)
            for (int column = 0; column < picture.width; ++column) {
                const std::size_t i = static_cast<std::size_t>(row * picture.width + column);
                const ScanPx place = film.toScan(
                    *transform.toFilm({report->upperLeft.east + (column + 0.5) * report->pixelM,
                                       report->upperLeft.north - (row + 0.5) * report->pixelM}));
                const double toEdge = std::min(std::abs(place.column - std::round(place.column)),
                                               std::abs(place.row - std::round(place.row)));
                if (!picture.bands[1][i] || toEdge < 0.02)
                    continue;
                ++compared;
                QCOMPARE(picture.bands[0][i], all->at(int(place.column), int(place.row)));
            }
        QVERIFY(compared > 1'500'000);
    }

    void coarserPicturesKeepThinLines()
    {
        // A pencil line of 3 px on white: one eighth of the pixels would miss it by single samples.
        TiffPicture line = wavesPicture(1600, 1600);
        for (std::size_t i = 0; i < line.samples.size(); ++i)
            line.samples[i] = i % 1600 >= 800 && i % 1600 < 803 ? 0 : 255;
        QVERIFY(writeTiff(at("line.tif"), line));
        const auto scan = Scan::open(at("line.tif"));
        const FilmFrame film{1600, 1600, 400, 400, false};
        LaySettings settings;
        settings.pixelM = 8 * 0.02 * 25.4 / 400; // eight scan pixels at 1:20
        const auto report = lay(*scan, film, transformOf(turned(1000, 2000, 20, 1)), "EPSG:25832",
                                at("line-laid.tif"), settings);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        const Planes picture = laid(at("line-laid.tif"));
        for (int row = 20; row < picture.height - 20; ++row) {
            double ink = 0; // in laid pixels
            for (int column = 0; column < picture.width; ++column) {
                const auto i = static_cast<std::size_t>(row * picture.width + column);
                ink += picture.bands[1][i] ? (255 - picture.bands[0][i]) / 255.0 : 0.0;
            }
            QVERIFY(std::abs(ink - 3.0 / 8) < 0.06); // rounding of grey and the slant
        }
    }

    void aFrameCutsTheFilm()
    {
        QVERIFY(writeTiff(at("frame.tif"), wavesPicture(800, 600)));
        const auto scan = Scan::open(at("frame.tif"));
        const FilmFrame film = frameOf(*scan);
        LaySettings settings;
        settings.frame = {{100, 100}, {500, 120}, {450, 500}};
        const AffineForm form = turned(1000, 2000, 20, 30);
        const auto report =
            lay(*scan, film, transformOf(form), "EPSG:25832", at("frame-laid.tif"), settings);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        const Planes picture = laid(at("frame-laid.tif"));
        const double opaque = double(std::count(picture.bands[1].begin(), picture.bands[1].end(), 255));
        const double triangle =
            0.5 * std::abs(400.0 * 400 - 350.0 * 20); // shoelace, in scan pixels, which are the laid ones
        QVERIFY(std::abs(opaque / triangle - 1) < 0.002);
    }

    void faceDownFilmIsLaidTheRightWayRound()
    {
        TiffPicture corner = wavesPicture(300, 200);
        for (std::size_t i = 0; i < corner.samples.size(); ++i)
            corner.samples[i] = i % 300 < 30 && i / 300 < 30 ? 0 : 255; // ink at the upper left of the scan
        QVERIFY(writeTiff(at("back.tif"), corner));
        const auto scan = Scan::open(at("back.tif"));
        const FilmFrame film{300, 200, 400, 400, true};
        const auto report =
            lay(*scan, film, transformOf(turned(1000, 2000, 20, 0)), "EPSG:25832", at("back-laid.tif"), {});
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        const Planes picture = laid(at("back-laid.tif"));
        QVERIFY(picture.bands[0][static_cast<std::size_t>(5 * picture.width + 5)] > 250);
        QVERIFY(picture.bands[0][static_cast<std::size_t>(5 * picture.width + picture.width - 6)] < 5);
    }

    void everyPackingAndLayoutHoldsTheSamePixels()
    {
        TiffPicture rgb = wavesPicture(2100, 400);
        rgb.width = 700;
        rgb.bands = 3;
        QVERIFY(writeTiff(at("pack.tif"), rgb));
        const auto scan = Scan::open(at("pack.tif"));
        Planes first;
        for (const bool cloud : {false, true})
            for (const Packing packing : {Packing::None, Packing::Deflate, Packing::Zstd}) {
                LaySettings settings;
                settings.packing = packing;
                settings.cloudOptimised = cloud;
                const auto report = lay(*scan, frameOf(*scan), transformOf(turned(1000, 2000, 20, 7)),
                                        "EPSG:25832", at("pack-laid.tif"), settings);
                QVERIFY2(report, report ? "" : report.error().message.c_str());
                const Planes picture = laid(at("pack-laid.tif"));
                QCOMPARE(picture.bands.size(), std::size_t{4});
                if (first.bands.empty())
                    first = picture;
                QVERIFY(picture.bands == first.bands);
                GDALDatasetUniquePtr dataset(
                    GDALDataset::Open(at("pack-laid.tif").c_str(), GDAL_OF_RASTER));
                QVERIFY(dataset->GetRasterBand(1)->GetOverviewCount() > 0);
                const char* layout = dataset->GetMetadataItem("LAYOUT", "IMAGE_STRUCTURE");
                QCOMPARE(layout && EQUAL(layout, "COG"), cloud);
            }
    }

    void aDamagedTileIsLeftOpenAndNamed()
    {
        CPLStringList options;
        options.SetNameValue("TILED", "YES");
        options.SetNameValue("COMPRESS", "DEFLATE");
        QVERIFY(writeTiff(at("hurt.tif"), wavesPicture(1024, 1024, options)));
        std::string content = contentOf(at("hurt.tif"));
        {
            GDALDatasetUniquePtr dataset(GDALDataset::Open(at("hurt.tif").c_str(), GDAL_OF_RASTER));
            content.replace(
                std::stoul(dataset->GetRasterBand(1)->GetMetadataItem("BLOCK_OFFSET_2_1", "TIFF")), 200,
                200, '\xee');
        }
        writeContent(at("hurt.tif"), content);
        const auto scan = Scan::open(at("hurt.tif"));
        LaySettings settings;
        settings.kernel = Kernel::Nearest;
        const auto report =
            lay(*scan, {1024, 1024, 400, 400, false}, transformOf(turned(1000, 2000, 20, 0)), "EPSG:25832",
                at("hurt-laid.tif"), settings);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        QCOMPARE(report->damage.size(), std::size_t{1});
        QVERIFY(report->damage[0].find("rows 256 to 511, columns 512 to 767") != std::string::npos);
        const Planes picture = laid(at("hurt-laid.tif"));
        const auto transparent = [&](int from, int to, int top, int bottom) {
            std::size_t count = 0;
            for (int row = top; row < bottom; ++row)
                for (int column = from; column < to; ++column)
                    count += picture.bands[1][static_cast<std::size_t>(row * picture.width + column)] == 0;
            return count;
        };
        QVERIFY(transparent(516, 764, 260, 508) == 248u * 248u);
        QVERIFY(transparent(4, 1020, 4, 250) == 0);
        QVERIFY(transparent(4, 1020, 516, 1020) == 0);
    }

    void badInputIsToldAndNothingIsWritten()
    {
        QVERIFY(writeTiff(at("bad.tif"), wavesPicture(100, 100)));
        const auto scan = Scan::open(at("bad.tif"));
        const auto before = names();
        const auto tryLay = [&](const std::string& crs, const LaySettings& settings,
                                const char* output = "no.tif") {
            const auto report =
                lay(*scan, frameOf(*scan), transformOf(turned(0, 0, 20, 0)), crs, at(output), settings);
            return report ? std::string() : report.error().message;
        };
        QVERIFY(tryLay("EPSG:99999", {}).find("EPSG:99999") != std::string::npos);
        QVERIFY(tryLay("/etc/hostname", {}).find("not known") !=
                std::string::npos); // never a file or a host
        QVERIFY(tryLay("https://example.org/crs", {}).find("not known") != std::string::npos);
        LaySettings settings;
        settings.frame = {{0, 0}, {1, 1}};
        QVERIFY(tryLay("EPSG:25832", settings).find("at least 3") != std::string::npos);
        settings = {};
        settings.pixelM = -1;
        QVERIFY(tryLay("EPSG:25832", settings).find("above 0") != std::string::npos);
        settings.pixelM = 1e-9;
        QVERIFY(tryLay("EPSG:25832", settings).find("choose larger pixels") != std::string::npos);
        QVERIFY(tryLay("EPSG:25832", {}, "bad.tif").find("the scan itself") != std::string::npos);
        QVERIFY(tryLay("EPSG:25832", {}, "no/such/folder.tif").find("cannot be written") !=
                std::string::npos);
        QCOMPARE(names(), before);
    }

    void stoppingLeavesNothing()
    {
        QVERIFY(writeTiff(at("stop.tif"), wavesPicture(3000, 3000)));
        const auto scan = Scan::open(at("stop.tif"));
        const auto before = names();
        for (const double until : {0.0, 0.05, 0.3, 0.85, 0.99}) {
            const auto report = lay(*scan, frameOf(*scan), transformOf(turned(0, 0, 20, 3)), "EPSG:25832",
                                    at("none.tif"), {}, [&](double share) { return share < until; });
            QVERIFY(!report);
            QCOMPARE(report.error().code, ErrorCode::Cancelled);
            QCOMPARE(names(), before);
        }
    }

    void aFullDiskIsToldAndLeavesNothing()
    {
        // The limit on the size of a file stands in for a full disk: the same write fails half way.
        CPLStringList tiles;
        tiles.SetNameValue("TILED", "YES");
        QVERIFY(writeTiff(at("full-tiles.tif"), wavesPicture(2000, 2000, tiles)));
        QVERIFY(writeTiff(at("full-strips.tif"), wavesPicture(2000, 2000)));
        const auto before = names();
        std::signal(SIGXFSZ, SIG_IGN);
        rlimit old{};
        getrlimit(RLIMIT_FSIZE, &old);
        for (const int kind : {0, 1, 2}) {
            const auto scan = Scan::open(at(kind == 2 ? "full-strips.tif" : "full-tiles.tif"));
            rlimit tight = old;
            tight.rlim_cur = 1'000'000;
            setrlimit(RLIMIT_FSIZE, &tight);
            LaySettings settings;
            settings.packing = kind == 0 ? Packing::None : Packing::Deflate;
            const auto report = lay(*scan, frameOf(*scan), transformOf(turned(0, 0, 20, 3)), "EPSG:25832",
                                    at("none.tif"), settings);
            setrlimit(RLIMIT_FSIZE, &old);
            QVERIFY(!report);
            qInfo("%s", report.error().message.c_str());
            QCOMPARE(report.error().code, ErrorCode::OutOfSpace);
            QCOMPARE(names(), before);
        }
    }
};

QTEST_GUILESS_MAIN(LayTest)
#include "LayTest.moc"
