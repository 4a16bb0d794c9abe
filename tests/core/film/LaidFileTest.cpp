// SPDX-License-Identifier: GPL-3.0-or-later
// The laid file as others read it: overviews, the order of its parts, what stands in it.
#include "core/film/LaidFile.h"

#include <sys/mount.h>

#include <QProcess>
#include <QTemporaryDir>
#include <QTest>

#include "core/film/LaidLevels.h"
#include "tests/core/film/FormsForTests.h"
#include "tests/core/film/TiffForTests.h"

using namespace inkpeg;
using namespace inkpeg::test;

class LaidFileTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    std::filesystem::path at(const std::string& name) const
    {
        return m_folder.filePath(QString::fromStdString(name)).toStdString();
    }

    Result<LayReport> laid(const std::filesystem::path& scanFile, const std::filesystem::path& output,
                           const LaySettings& settings) const
    {
        const auto scan = Scan::open(scanFile);
        if (!scan)
            return scan.error();
        const FilmFrame film{double(scan->facts().widthPx), double(scan->facts().heightPx), 400, 400,
                             false};
        return lay(*scan, film, transformOf(turned(565432.1, 5932123.4, 20, 7)), "EPSG:25832", output,
                   settings);
    }

    static std::vector<std::uint8_t> bandOf(GDALRasterBand& band)
    {
        std::vector<std::uint8_t> pixels(static_cast<std::size_t>(band.GetXSize()) *
                                         static_cast<std::size_t>(band.GetYSize()));
        if (band.RasterIO(GF_Read, 0, 0, band.GetXSize(), band.GetYSize(), pixels.data(), band.GetXSize(),
                          band.GetYSize(), GDT_Byte, 0, 0, nullptr) != CE_None)
            pixels.clear();
        return pixels;
    }

    static std::uint64_t offsetOfFirstTile(GDALRasterBand& band)
    {
        const char* offset = band.GetMetadataItem("BLOCK_OFFSET_0_0", "TIFF");
        return offset ? std::stoull(offset) : 0;
    }

private slots:
    void initTestCase()
    {
        QVERIFY(writeTiff(at("scan.tif"), wavesPicture(2300, 1700)));
        CPLStringList tiles;
        tiles.SetNameValue("TILED", "YES");
        QVERIFY(writeTiff(at("tiles.tif"), wavesPicture(2300, 1700, tiles)));
        TiffPicture rgb = wavesPicture(3 * 900, 700);
        rgb.width = 900;
        rgb.bands = 3;
        QVERIFY(writeTiff(at("rgb.tif"), rgb));
    }

    void fourPixelsMakeTheirMean()
    {
        LaidPlanes fine, coarse;
        fine.clear({0, 0, 6, 4}, 1);
        coarse.clear({0, 0, 3, 2}, 1);
        // Whole, half opaque, a quarter opaque; below: at the edge of the picture only one column is valid.
        const std::uint8_t grey[] = {10, 20, 50, 99, 80, 99, 30, 41, 61, 99, 99, 99,
                                     1,  2,  3,  4,  90, 99, 5,  6,  7,  8,  70, 99};
        const std::uint8_t alpha[] = {255, 255, 255, 0, 255, 0,   255, 255, 255, 0, 0,   0,
                                      0,   0,   0,   0, 255, 255, 0,   0,   0,   0, 255, 255};
        std::copy(std::begin(grey), std::end(grey), fine.planes[0].begin());
        std::copy(std::begin(alpha), std::end(alpha), fine.planes[1].begin());
        halveInto(fine, 5, 4, coarse, 0, 0);
        QCOMPARE(coarse.planes[0], (std::vector<std::uint8_t>{25, 56, 80, 255, 255, 80})); // 25.25, 55.5
        QCOMPARE(coarse.planes[1], (std::vector<std::uint8_t>{255, 255, 255, 0, 0, 255}));
    }

    void overviewsAreMeansOfTheLevelBelow_data()
    {
        QTest::addColumn<QString>("scan");
        QTest::addColumn<bool>("cloud");
        QTest::newRow("grey") << "scan.tif" << false;
        QTest::newRow("grey, cloud") << "scan.tif" << true;
        QTest::newRow("RGB") << "rgb.tif" << false;
    }
    void overviewsAreMeansOfTheLevelBelow()
    {
        QFETCH(QString, scan);
        QFETCH(bool, cloud);
        LaySettings settings;
        settings.cloudOptimised = cloud;
        const auto report = laid(at(scan.toStdString()), at("levels.tif"), settings);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        GDALDatasetUniquePtr dataset(GDALDataset::Open(at("levels.tif").c_str(), GDAL_OF_RASTER));
        QVERIFY(dataset);
        GDALRasterBand* alpha = dataset->GetRasterBand(dataset->GetRasterCount());
        const int overviews = alpha->GetOverviewCount();
        QVERIFY(overviews >= 2);
        QVERIFY(std::max(alpha->GetOverview(overviews - 1)->GetXSize(),
                         alpha->GetOverview(overviews - 1)->GetYSize()) <= LaidTilePx);
        for (int level = 0; level < overviews; ++level) {
            const auto bandAt = [&](int band) {
                GDALRasterBand* top = dataset->GetRasterBand(band);
                return std::pair(level == 0 ? top : top->GetOverview(level - 1), top->GetOverview(level));
            };
            const auto [fineBand, coarseBand] = bandAt(1);
            QCOMPARE(coarseBand->GetXSize(), (fineBand->GetXSize() + 1) / 2);
            QCOMPARE(coarseBand->GetYSize(), (fineBand->GetYSize() + 1) / 2);
            const auto fine = bandOf(*fineBand), coarse = bandOf(*coarseBand);
            const auto [fineAlphaBand, coarseAlphaBand] = bandAt(dataset->GetRasterCount());
            const auto fineAlpha = bandOf(*fineAlphaBand), coarseAlpha = bandOf(*coarseAlphaBand);
            const auto width = static_cast<std::size_t>(fineBand->GetXSize());
            const auto height = static_cast<std::size_t>(fineBand->GetYSize());
            std::size_t wrong = 0, opaqueSeen = 0;
            for (std::size_t i = 0; i < coarse.size(); ++i) {
                const std::size_t x = i % ((width + 1) / 2) * 2, y = i / ((width + 1) / 2) * 2;
                double sum = 0, opaque = 0, present = 0;
                for (const std::size_t row : {y, y + 1})
                    for (const std::size_t column : {x, x + 1})
                        if (row < height && column < width) {
                            ++present;
                            if (fineAlpha[row * width + column]) {
                                ++opaque;
                                sum += fine[row * width + column];
                            }
                        }
                const bool shown = opaque > 0 && 2 * opaque >= present;
                wrong += shown != (coarseAlpha[i] == 255);
                wrong += shown && std::abs(sum / opaque - coarse[i]) > 0.5 + 1e-9; // rounding of one mean
                opaqueSeen += shown;
            }
            QCOMPARE(wrong, std::size_t{0});
            QVERIFY(opaqueSeen > 0);
        }
    }

    /// OGC 21-026 (Cloud Optimized GeoTIFF), 7.2 to 7.5 as checked here from the file itself: tiled;
    /// overviews until one fits a tile; all directories before all tiles; overviews' tiles, the smallest
    /// first, before the picture's.
    void theCloudLayoutIsAsTheStandardAsks_data()
    {
        QTest::addColumn<QString>("scan");
        QTest::addColumn<int>("packing");
        for (const char* scan : {"scan.tif", "rgb.tif"})
            for (const Packing packing : {Packing::None, Packing::Deflate, Packing::Zstd})
                QTest::addRow("%s %d", scan, int(packing)) << scan << int(packing);
    }
    void theCloudLayoutIsAsTheStandardAsks()
    {
        QFETCH(QString, scan);
        QFETCH(int, packing);
        LaySettings settings;
        settings.cloudOptimised = true;
        settings.packing = Packing(packing);
        const auto report = laid(at(scan.toStdString()), at("cloud.tif"), settings);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        GDALDatasetUniquePtr dataset(GDALDataset::Open(at("cloud.tif").c_str(), GDAL_OF_RASTER));
        QVERIFY(dataset);
        const char* packed = dataset->GetMetadataItem("COMPRESSION", "IMAGE_STRUCTURE");
        QCOMPARE(QString(packed ? packed : "NONE"), QStringList({"NONE", "DEFLATE", "ZSTD"})[packing]);
        GDALRasterBand* band = dataset->GetRasterBand(1);
        std::uint64_t directory = 0, tiles = offsetOfFirstTile(*band);
        QVERIFY(tiles > 0);
        const char* main = band->GetMetadataItem("IFD_OFFSET", "TIFF");
        QVERIFY(main);
        directory = std::stoull(main);
        for (int i = 0; i < band->GetOverviewCount(); ++i) {
            GDALRasterBand* overview = band->GetOverview(i);
            const std::uint64_t next = std::stoull(overview->GetMetadataItem("IFD_OFFSET", "TIFF"));
            QVERIFY(next > directory);
            directory = next;
            QVERIFY(offsetOfFirstTile(*overview) > directory);
            QVERIFY(offsetOfFirstTile(*overview) < tiles);
            tiles = offsetOfFirstTile(*overview);
        }
        dataset.reset();
        // A program of others: the checker of Debian's python3-gdal, which reads every tile as well.
        const QString checker =
            "/usr/lib/python3/dist-packages/osgeo_utils/samples/validate_cloud_optimized_geotiff.py";
        QVERIFY2(QFile::exists(checker), "python3-gdal is in resources/install/test.txt");
        QProcess process;
        process.start("/usr/bin/python3",
                      {checker, QString::fromStdString(at("cloud.tif").string()), "--full-check=yes"});
        QVERIFY(process.waitForFinished(60'000));
        const QByteArray said = process.readAllStandardOutput() + process.readAllStandardError();
        QVERIFY2(process.exitCode() == 0 && said.contains("is a valid cloud optimized GeoTIFF"),
                 said.constData());
        QVERIFY2(!said.contains("warning"), said.constData());
    }

    void whatItIsLaidFromIsReadBack()
    {
        LaySettings settings;
        settings.laidFrom = std::string(64, 'a');
        QVERIFY(laid(at("scan.tif"), at("from.tif"), settings));
        QCOMPARE(laidFrom(at("from.tif")), settings.laidFrom);
        QCOMPARE(laidFrom(at("scan.tif")), std::string());
        QCOMPARE(laidFrom(at("nothing.tif")), std::string());
        writeContent(at("broken.tif"), contentOf(at("from.tif")).substr(0, 100));
        QCOMPARE(laidFrom(at("broken.tif")), std::string());
    }

    void whatAKilledProcessLeftIsTakenAway()
    {
        // No process has a number as high as that: the kernel's limit is 4,194,304 (man 5 proc, pid_max).
        const auto left = at(".again.tif.4999999.part"), other = at(".again.tif.notes.part"),
                   alive = at(".again.tif.1.part");
        for (const auto& file : {left, other, alive})
            writeContent(file, "half");
        QVERIFY(laid(at("scan.tif"), at("again.tif"), {}));
        QVERIFY(!std::filesystem::exists(left));
        QVERIFY(std::filesystem::exists(other) && std::filesystem::exists(alive));
    }

    /// A disk that is really full: a small file system in memory. The limit on file size in LayTest stands
    /// in where mounting is not allowed.
    void aFullDiskIsToldAndLeavesNothing()
    {
        const std::string disk = at("disk");
        std::filesystem::create_directory(disk);
        if (::mount("tmpfs", disk.c_str(), "tmpfs", 0, "size=2m") != 0)
            QSKIP("this user may not mount a small disk; LayTest::aFullDiskIsToldAndLeavesNothing remains");
        std::vector<Error> told;
        bool empty = true;
        for (const bool cloud : {false, true})
            for (const Packing packing : {Packing::None, Packing::Deflate})
                for (const char* scan : {"scan.tif", "tiles.tif"}) {
                    LaySettings settings;
                    settings.packing = packing;
                    settings.cloudOptimised = cloud;
                    const auto report = laid(at(scan), std::filesystem::path(disk) / "laid.tif", settings);
                    if (!report)
                        told.push_back(report.error());
                    empty = empty && std::filesystem::is_empty(disk);
                }
        QCOMPARE(::umount(disk.c_str()), 0); // before anything is judged, or the folder could not go
        QVERIFY2(empty, "something was left on the disk");
        QCOMPARE(told.size(), std::size_t{8});
        for (const Error& error : told) {
            QCOMPARE(error.code, ErrorCode::OutOfSpace);
            QVERIFY2(error.message.find("laid.tif: there is no room to write the laid film") !=
                         std::string::npos,
                     error.message.c_str());
        }
    }
};

QTEST_GUILESS_MAIN(LaidFileTest)
#include "LaidFileTest.moc"
