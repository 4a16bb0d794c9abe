// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/Pyramid.h"

#include <set>

#include <QTemporaryDir>
#include <QTest>

#include "tests/core/film/TiffForTests.h"

using namespace inkpeg;
using namespace inkpeg::test;

class PyramidTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    std::filesystem::path at(const std::string& name) const
    {
        return m_folder.filePath(QString::fromStdString(name)).toStdString();
    }

    std::shared_ptr<TilePyramid> opened(const std::string& scan,
                                        std::shared_ptr<TileCache> cache = nullptr) const
    {
        auto pyramid = TilePyramid::open(at(scan), at(TilePyramid::FolderName),
                                         cache ? cache : std::make_shared<TileCache>());
        return pyramid ? *pyramid : nullptr;
    }

    std::set<std::string> cacheNames() const
    {
        std::set<std::string> names;
        std::error_code ignored;
        for (const auto& entry : std::filesystem::directory_iterator(at(TilePyramid::FolderName), ignored))
            names.insert(entry.path().filename());
        return names;
    }

    /// A whole level, joined from its tiles.
    static std::vector<std::uint8_t> joined(TilePyramid& pyramid, int level)
    {
        const int width = pyramid.levelWidth(level), height = pyramid.levelHeight(level);
        const int channels = pyramid.channels();
        std::vector<std::uint8_t> whole(static_cast<std::size_t>(width * height * channels));
        for (int row = 0; row * TilePyramid::TilePx < height; ++row)
            for (int column = 0; column * TilePyramid::TilePx < width; ++column) {
                const auto tile = pyramid.tile({level, column, row});
                if (!tile)
                    return {};
                for (int y = 0; y < tile->height; ++y)
                    std::copy_n(tile->pixels.begin() + std::ptrdiff_t{y} * tile->width * channels,
                                tile->width * channels,
                                whole.begin() +
                                    (std::ptrdiff_t{row} * TilePyramid::TilePx + y) * width * channels +
                                    std::ptrdiff_t{column} * TilePyramid::TilePx * channels);
            }
        return whole;
    }

    /// The plain definition: means of 2 x 2, at an odd edge of what there is.
    static std::vector<std::uint8_t> halved(const std::vector<std::uint8_t>& from, int width, int height,
                                            int channels)
    {
        std::vector<std::uint8_t> half;
        for (int y = 0; y < height; y += 2)
            for (int x = 0; x < width; x += 2)
                for (int c = 0; c < channels; ++c) {
                    int sum = 0, count = 0;
                    for (int dy = 0; dy < 2 && y + dy < height; ++dy)
                        for (int dx = 0; dx < 2 && x + dx < width; ++dx, ++count)
                            sum +=
                                from[static_cast<std::size_t>(((y + dy) * width + x + dx) * channels + c)];
                    half.push_back(static_cast<std::uint8_t>((sum + count / 2) / count));
                }
        return half;
    }

private slots:
    void everyLevelIsTheOneBelowHalved_data()
    {
        QTest::addColumn<bool>("tiled");
        QTest::addColumn<int>("channels");
        QTest::newRow("tiles, grey") << true << 1;
        QTest::newRow("strips, grey") << false << 1;
        QTest::newRow("tiles, RGB") << true << 3;
        QTest::newRow("strips, RGB") << false << 3;
    }

    void everyLevelIsTheOneBelowHalved()
    {
        QFETCH(bool, tiled);
        QFETCH(int, channels);
        CPLStringList options;
        options.SetNameValue("TILED", tiled ? "YES" : "NO");
        TiffPicture picture = wavesPicture(1301 * channels, 777, options);
        picture.width = 1301;
        picture.bands = channels;
        const std::string name =
            std::string(tiled ? "tiles" : "strips") + std::to_string(channels) + ".tif";
        QVERIFY(writeTiff(at(name), picture));
        const auto pyramid = opened(name);
        QVERIFY(pyramid);
        QVERIFY(!pyramid->isBuilt());
        const auto before = joined(*pyramid, 1); // made from the scan, which must show the same
        QVERIFY(pyramid->build());
        QVERIFY(pyramid->isBuilt());
        QCOMPARE(pyramid->levels(), 4); // 1301 -> 651 -> 326 -> 163
        std::vector<std::uint8_t> expected(picture.samples.begin(), picture.samples.end());
        const auto again = opened(name);
        QVERIFY(again->isBuilt());
        for (int level = 0; level < again->levels(); ++level) {
            QCOMPARE(joined(*again, level), expected);
            if (level == 1)
                QCOMPARE(before, expected);
            expected = halved(expected, again->levelWidth(level), again->levelHeight(level), channels);
        }
    }

    void aChangedScanIsNotShownFromOldLevels()
    {
        QVERIFY(writeTiff(at("changed.tif"), wavesPicture(600, 400)));
        const auto cache = std::make_shared<TileCache>();
        const std::string sha(64, 'a'); // as a project would remember it
        auto pyramid = TilePyramid::open(at("changed.tif"), at(TilePyramid::FolderName), cache, sha);
        QVERIFY((*pyramid)->build());
        QVERIFY(
            (*TilePyramid::open(at("changed.tif"), at(TilePyramid::FolderName), cache, sha))->isBuilt());
        QTest::qWait(20);
        QVERIFY(writeTiff(at("changed.tif"), wavesPicture(600, 400)));
        QVERIFY(
            !(*TilePyramid::open(at("changed.tif"), at(TilePyramid::FolderName), cache, sha))->isBuilt());
    }

    void aCutCacheFileIsBuiltAgain()
    {
        QVERIFY(writeTiff(at("cut.tif"), wavesPicture(900, 900)));
        QVERIFY(opened("cut.tif")->build());
        for (const auto& entry : std::filesystem::directory_iterator(at(TilePyramid::FolderName)))
            writeContent(entry.path(), contentOf(entry.path()).substr(0, 100));
        const auto pyramid = opened("cut.tif");
        QVERIFY(!pyramid->isBuilt());
        QVERIFY(pyramid->build());
        QVERIFY(!joined(*pyramid, 2).empty());
    }

    void stoppingLeavesNothing()
    {
        QVERIFY(writeTiff(at("stop.tif"), wavesPicture(2000, 2000)));
        const auto before = cacheNames();
        const auto pyramid = opened("stop.tif");
        const auto built = pyramid->build([](double share) { return share < 0.4; });
        QVERIFY(!built);
        QCOMPARE(built.error().code, ErrorCode::Cancelled);
        QCOMPARE(cacheNames(), before);
    }

    void buildingInTheBackgroundEndsWithThePyramid()
    {
        QVERIFY(writeTiff(at("back.tif"), wavesPicture(1500, 1500)));
        std::atomic<int> calls{0}, ended{0};
        auto pyramid = opened("back.tif");
        pyramid->startBuilding([&](double) { return ++calls, true; },
                               [&](const Result<void>&) { ++ended; });
        QVERIFY(pyramid->tile({0, 0, 0})); // at hand meanwhile
        QTRY_VERIFY_WITH_TIMEOUT(pyramid->isBuilt(), 60000);
        pyramid.reset();
        QCOMPARE(ended.load(), 1);
        QVERIFY(calls > 0);
        QVERIFY(writeTiff(at("back2.tif"), wavesPicture(1501, 1500)));
        pyramid = opened("back2.tif");
        pyramid->startBuilding({}, [&](const Result<void>&) { ++ended; });
        pyramid.reset(); // at once
        QCOMPARE(ended.load(), 2);
    }

    void firstLookIsTheSameFromScanAndFromLevels()
    {
        // A slow gradient, so that averaging and taking from a level may differ by rounding only.
        TiffPicture picture = wavesPicture(2048, 1024);
        for (std::size_t i = 0; i < picture.samples.size(); ++i)
            picture.samples[i] = static_cast<std::uint16_t>((i % 2048) / 16 + (i / 2048) / 16);
        QVERIFY(writeTiff(at("look.tif"), picture));
        const auto pyramid = opened("look.tif");
        const auto before = pyramid->firstLook(512);
        QVERIFY(before);
        QCOMPARE(before->width, 512);
        QCOMPARE(before->height, 256);
        QVERIFY(pyramid->build());
        const auto after = pyramid->firstLook(512);
        QVERIFY(after);
        QCOMPARE(after->pixels.size(), before->pixels.size());
        for (std::size_t i = 0; i < after->pixels.size(); ++i)
            QVERIFY(std::abs(int{after->pixels[i]} - int{before->pixels[i]}) <= 1);
        QVERIFY(pyramid->firstLook(100'000)->width == 2048);
    }

    void damageIsWhiteAndNamed()
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
        for (const bool reopened : {false, true}) {
            const auto pyramid = opened("hurt.tif");
            QCOMPARE(pyramid->isBuilt(), reopened);
            QVERIFY(pyramid->firstLook(300));
            QVERIFY(pyramid->build());
            QCOMPARE(pyramid->damage().size(), std::size_t{1});
            QVERIFY(pyramid->damage()[0].find("rows 256 to 511, columns 512 to 767") != std::string::npos);
            QCOMPARE(pyramid->damagedParts().size(), std::size_t{1});
            const PxRect part = pyramid->damagedParts()[0];
            QVERIFY(part.column <= 512 && part.column + part.width >= 768);
            QVERIFY(part.row <= 256 && part.row + part.height >= 512);
            QVERIFY(pyramid->tile({0, 2, 1})->damaged);
            QVERIFY(pyramid->tile({1, 1, 0})->damaged);
            QVERIFY(!pyramid->tile({0, 1, 1})->damaged);
            QCOMPARE(int{pyramid->tile({0, 2, 1})->pixels[500]}, 255);
        }
    }

    void theCacheKeepsItsBudget()
    {
        QVERIFY(writeTiff(at("many.tif"), wavesPicture(2560, 2560)));
        const auto cache = std::make_shared<TileCache>(std::size_t{1} << 20); // 15 tiles
        const auto pyramid = opened("many.tif", cache);
        for (int row = 0; row < 10; ++row)
            for (int column = 0; column < 10; ++column) {
                QVERIFY(pyramid->tile({0, column, row}));
                QVERIFY(cache->bytesHeld() <= (std::size_t{1} << 20));
            }
        QVERIFY(pyramid->cached({0, 9, 9}));
        QVERIFY(!pyramid->cached({0, 0, 0}));
    }

    void threadsMayAskAtOnce()
    {
        QVERIFY(writeTiff(at("threads.tif"), wavesPicture(1024, 1024)));
        const auto pyramid = opened("threads.tif");
        pyramid->startBuilding({});
        std::atomic<int> wrong{0};
        {
            std::vector<std::jthread> threads;
            for (int t = 0; t < 4; ++t)
                threads.emplace_back([&] {
                    for (int i = 0; i < 64; ++i) {
                        const auto tile = pyramid->tile({i % 2, (i / 2) % 2, (i / 4) % 2});
                        wrong += !tile || tile->width != 256;
                    }
                });
        }
        QCOMPARE(wrong.load(), 0);
        QVERIFY(!pyramid->tile({0, 4, 0}));
        QVERIFY(!pyramid->tile({9, 0, 0}));
        QVERIFY(!pyramid->tile({-1, 0, 0}));
    }
};

QTEST_GUILESS_MAIN(PyramidTest)
#include "PyramidTest.moc"
