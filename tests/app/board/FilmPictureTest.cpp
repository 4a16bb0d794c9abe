// SPDX-License-Identifier: GPL-3.0-or-later
// The film on the board: its levels beside the project, damage and replaced scans named, ink made stronger,
// neighbours on the ground.
#include "app/board/FilmPicture.h"

#include <cmath>

#include <QPainter>
#include <QSignalSpy>
#include <QTemporaryDir>
#include <QTest>

#include "app/board/Board.h"
#include "app/board/Palette.h"
#include "core/base/Digest.h"
#include "tests/core/film/TiffForTests.h"

using namespace inkpeg;
using namespace inkpeg::test;
namespace fs = std::filesystem;

namespace {

constexpr int widthPx = 3000, heightPx = 2000;

/// Tiled and packed, so that single tiles can be hurt.
bool writeFilm(const fs::path& file, const std::function<int(int column, int row)>& grey,
               int width = widthPx, int height = heightPx)
{
    TiffPicture picture;
    picture.width = width;
    picture.height = height;
    picture.options.SetNameValue("TILED", "YES");
    picture.options.SetNameValue("COMPRESS", "DEFLATE");
    for (int row = 0; row < height; ++row)
        for (int column = 0; column < width; ++column)
            picture.samples.push_back(static_cast<std::uint16_t>(grey(column, row)));
    return writeTiff(file, picture);
}

/// White film with a black square of 200 px, its upper left corner at (1000, 600).
int squareOnFilm(int column, int row)
{
    return column >= 1000 && column < 1200 && row >= 600 && row < 800 ? 10 : 240;
}

/// 1:20, upright, the lower left corner of the film at (E, N).
DrawingGround groundAt(const FilmFrame& film, double east, double north)
{
    std::vector<ControlPoint> pins;
    for (const FilmMm at : {FilmMm{10, 10}, FilmMm{170, 12}, FilmMm{168, 110}, FilmMm{12, 108}})
        pins.push_back({"p" + std::to_string(pins.size()), at, {east + 0.02 * at.x, north + 0.02 * at.y}});
    return {fitControl(pins, {.model = Model::Affine, .scaleDenominator = 20}).value(), film, {}};
}

std::vector<std::string> namesIn(const fs::path& folder)
{
    std::vector<std::string> names;
    std::error_code none;
    for (const auto& entry : fs::directory_iterator(folder, none))
        names.push_back(entry.path().filename());
    return names;
}

} // namespace

class FilmPictureTest final : public QObject {
    Q_OBJECT

    std::unique_ptr<QTemporaryDir> m_folder;

    fs::path at(const char* name) const { return m_folder->filePath(name).toStdString(); }
    fs::path levels() const { return at("project") / TilePyramid::FolderName; }

    BoardScene sceneOf(const fs::path& scan, const std::string& sha256, int width = widthPx,
                       int height = heightPx) const
    {
        BoardDrawing drawing;
        drawing.record.id = 1;
        drawing.record.number = "P-01";
        drawing.scanFile = scan;
        drawing.scanSha256 = sha256;
        drawing.film = {double(width), double(height), 400, 400, false};
        drawing.widthPx = width;
        drawing.heightPx = height;
        BoardScene scene;
        scene.drawing = drawing;
        scene.cacheFolder = levels();
        return scene;
    }
    BoardScene sceneOf(const fs::path& scan) const { return sceneOf(scan, digestOfFile(scan).value()); }

    static void show(Board& board, const BoardScene& scene)
    {
        board.resize(900, 600);
        board.setScene(scene);
        board.show();
        QVERIFY(QTest::qWaitForWindowExposed(&board));
        waitUntilSharp(board);
    }
    static void waitUntilSharp(Board& board)
    {
        QTest::qWait(20);
        QTRY_VERIFY_WITH_TIMEOUT(!board.stillLoading() && !board.shelf().building(), 300000);
        QTest::qWait(20);
        QTRY_VERIFY_WITH_TIMEOUT(!board.stillLoading() && !board.shelf().building(), 300000);
    }
    static int greyAt(Board& board, ScanPx place)
    {
        return qGray(board.grab().toImage().pixel(board.widgetOfScan(place).toPoint()));
    }

private slots:
    void init()
    {
        m_folder = std::make_unique<QTemporaryDir>();
        fs::create_directories(at("scans"));
        fs::create_directories(at("project"));
    }
    void theLevelsAreKeptBesideTheProjectAndTheScanIsLeftAlone()
    {
        const fs::path scan = at("scans") / "film.tif";
        QVERIFY(writeFilm(scan, squareOnFilm));
        const std::string content = contentOf(scan);
        const auto changed = fs::last_write_time(scan);
        {
            Board board;
            QSignalSpy builds(&board.shelf(), &ScanShelf::buildingShare);
            show(board, sceneOf(scan));
            QVERIFY(!builds.isEmpty());
        }
        QCOMPARE(namesIn(levels()).size(), std::size_t{1});
        QCOMPARE(namesIn(at("scans")), std::vector<std::string>{"film.tif"});
        QVERIFY(contentOf(scan) == content && fs::last_write_time(scan) == changed);
        Board again;
        QSignalSpy builds(&again.shelf(), &ScanShelf::buildingShare);
        show(again, sceneOf(scan));
        QVERIFY(builds.isEmpty());
        QVERIFY(greyAt(again, {1100, 700}) < 30);
        QVERIFY(greyAt(again, {900, 700}) > 220);
    }
    void aReplacedScanIsNamedAndItsOldLevelsAreNotShown()
    {
        const fs::path scan = at("scans") / "film.tif";
        QVERIFY(writeFilm(scan, squareOnFilm));
        const std::string given = digestOfFile(scan).value();
        const auto changed = fs::last_write_time(scan);
        const auto bytes = fs::file_size(scan);
        {
            Board board;
            show(board, sceneOf(scan, given));
        }
        // Another film of the same size in pixels and bytes, put there with the same time.
        QVERIFY(writeFilm(scan, [](int column, int row) { return 250 - squareOnFilm(column, row); }));
        QVERIFY(fs::file_size(scan) <= bytes + 4096);
        std::ofstream(scan, std::ios::binary | std::ios::app)
            << std::string(bytes > fs::file_size(scan) ? bytes - fs::file_size(scan) : 0, '\0');
        fs::last_write_time(scan, changed);
        QCOMPARE(fs::file_size(scan), bytes);
        Board board;
        QStringList said;
        connect(&board, &Board::scanFailed, this, [&](const QString& words) { said << words; });
        show(board, sceneOf(scan, given));
        QCOMPARE(said.size(), 1);
        QVERIFY2(said[0].contains("film.tif is not the scan that this project was given"),
                 qPrintable(said[0]));
        QVERIFY(greyAt(board, {1100, 700}) > 220); // the new film
        QVERIFY(greyAt(board, {900, 700}) < 30);
    }
    void damageIsHatchedAndNamedAndTheRestIsShown()
    {
        const fs::path scan = at("scans") / "hurt.tif";
        QVERIFY(writeFilm(scan, squareOnFilm));
        std::string content = contentOf(scan);
        {
            GDALDatasetUniquePtr dataset(GDALDataset::Open(scan.c_str(), GDAL_OF_RASTER));
            const char* offset = dataset->GetRasterBand(1)->GetMetadataItem("BLOCK_OFFSET_8_4", "TIFF");
            const char* size = dataset->GetRasterBand(1)->GetMetadataItem("BLOCK_SIZE_8_4", "TIFF");
            content.replace(std::stoul(offset), std::stoul(size), std::stoul(size), '\xee');
        }
        writeContent(scan, content);
        for (const bool reopened : {false, true}) {
            Board board;
            QStringList said;
            connect(&board, &Board::scanFailed, this, [&](const QString& words) { said << words; });
            show(board, sceneOf(scan));
            QCOMPARE(said.size(), 1);
            QVERIFY2(said[0].contains("rows 1024 to 1279, columns 2048 to 2303"), qPrintable(said[0]));
            QVERIFY(greyAt(board, {1100, 700}) < 30);
            QVERIFY(greyAt(board, {500, 1500}) > 220);
            // Hatched within the damaged tile, named in the upper left corner.
            const QImage seen = board.grab().toImage();
            const auto badWithin = [&](QRect part) {
                int count = 0;
                for (int y = part.top(); y <= part.bottom(); ++y)
                    for (int x = part.left(); x <= part.right(); ++x)
                        count += seen.pixelColor(x, y) == palette().bad;
                return count;
            };
            const QRect tile(board.widgetOfScan({2060, 1040}).toPoint(),
                             board.widgetOfScan({2290, 1270}).toPoint());
            QVERIFY2(badWithin(tile) > 20, reopened ? "from levels" : "from the scan");
            QVERIFY(badWithin(QRect(14, 14, 200, 30)) > 20);
            QCOMPARE(badWithin(QRect(board.widgetOfScan({300, 1500}).toPoint(), QSize(40, 40))), 0);
        }
    }
    void stoppingThePreparationLeavesNothingAndItCanGoOn()
    {
        const fs::path scan = at("scans") / "large.tif";
        QVERIFY(writeFilm(scan, squareOnFilm, 5000, 5000));
        Board board;
        connect(&board.shelf(), &ScanShelf::buildingShare, this, [&](double share, const QString&) {
            if (share < 1)
                board.shelf().setBuildingWanted(false);
        });
        show(board, sceneOf(scan, digestOfFile(scan).value(), 5000, 5000));
        QVERIFY(namesIn(levels()).empty());
        QVERIFY(greyAt(board, {1100, 700}) < 30); // shown without levels
        board.goTo(ScanPx{1000, 700});
        waitUntilSharp(board);
        QVERIFY(greyAt(board, {1004, 700}) < 30);
        QVERIFY(greyAt(board, {995, 700}) > 220);
        board.shelf().disconnect(this);
        board.shelf().setBuildingWanted(true);
        waitUntilSharp(board);
        QCOMPARE(namesIn(levels()).size(), std::size_t{1});
    }
    void aFolderThatCannotBeWrittenIsNamedAndTheScanIsShownAllTheSame()
    {
        const fs::path scan = at("scans") / "film.tif";
        QVERIFY(writeFilm(scan, squareOnFilm));
        writeContent(levels(), "a file where the folder would be");
        Board board;
        QStringList said;
        connect(&board, &Board::scanFailed, this, [&](const QString& words) { said << words; });
        show(board, sceneOf(scan));
        QCOMPARE(said.size(), 1);
        QVERIFY2(said[0].contains("shown without its levels"), qPrintable(said[0]));
        board.goTo(ScanPx{1000, 700});
        waitUntilSharp(board);
        QVERIFY(greyAt(board, {1004, 700}) < 30);
        QVERIFY(greyAt(board, {995, 700}) > 220);
    }
    void movingShowsTheFilmInItsNewPlaceAtOnce()
    {
        const fs::path scan = at("scans") / "film.tif";
        QVERIFY(writeFilm(scan, squareOnFilm));
        Board board;
        show(board, sceneOf(scan));
        // Each time the very next picture: nothing is waited for.
        board.panBy({-70, 40});
        QVERIFY(greyAt(board, {1100, 700}) < 30);
        board.zoomIn();
        QVERIFY(greyAt(board, {1100, 700}) < 30);
        QVERIFY(greyAt(board, {1300, 700}) > 220);
        ViewSettings turned;
        turned.turnDegrees = 30;
        board.setViewSettings(turned);
        QVERIFY(greyAt(board, {1100, 700}) < 30);
        QVERIFY(greyAt(board, {1300, 700}) > 220);
    }
    void turningKeepsTheMiddleOrAllInView()
    {
        const fs::path scan = at("scans") / "film.tif";
        QVERIFY(writeFilm(scan, squareOnFilm));
        Board board;
        show(board, sceneOf(scan));
        ViewSettings turned;
        turned.turnDegrees = 90;
        board.setViewSettings(turned);
        for (const ScanPx corner :
             {ScanPx{0, 0}, ScanPx{widthPx, 0}, ScanPx{widthPx, heightPx}, ScanPx{0, heightPx}})
            QVERIFY(QRectF(board.rect()).contains(board.widgetOfScan(corner)));
        board.goTo(ScanPx{1100, 700});
        turned.mirrored = true;
        turned.turnDegrees = -45;
        board.setViewSettings(turned);
        const QPointF off = board.widgetOfScan({1100, 700}) - QPointF(450, 300);
        QVERIFY(std::hypot(off.x(), off.y()) < 1e-6);
    }
    void strongerInkIsSeenWhenAskedFor()
    {
        const fs::path scan = at("scans") / "faint.tif";
        QVERIFY(writeFilm(scan,
                          [](int column, int row) { return squareOnFilm(column, row) < 100 ? 200 : 218; }));
        Board board;
        show(board, sceneOf(scan));
        // The edge of the square: within it a patch this large is taken for bare film.
        board.goTo(ScanPx{1000, 700});
        waitUntilSharp(board);
        const int film = greyAt(board, {900, 700}), ink = greyAt(board, {1004, 700});
        QVERIFY(film - ink < 22);
        ViewSettings strong;
        strong.tone.inkStrength = 1;
        board.setViewSettings(strong);
        waitUntilSharp(board);
        QVERIFY(greyAt(board, {900, 700}) > 245);
        QVERIFY(greyAt(board, {900, 700}) - greyAt(board, {1004, 700}) > 40);
        board.setViewSettings({});
        waitUntilSharp(board);
        QCOMPARE(greyAt(board, {1004, 700}), ink);
    }
    void aNeighboursFilmIsSeenDimmedWhereItLies()
    {
        const fs::path scan = at("scans") / "film.tif", other = at("scans") / "other.tif";
        QVERIFY(writeFilm(scan, squareOnFilm));
        QVERIFY(writeFilm(other, squareOnFilm));
        BoardScene scene = sceneOf(scan);
        const double across = 0.02 * widthPx * MillimetresPerInch / 400; // of a film on the ground
        scene.drawing->ground = groundAt(scene.drawing->film, 553000, 6203000);
        Neighbour neighbour;
        neighbour.drawing = 2;
        neighbour.scanFile = other;
        neighbour.scanSha256 = digestOfFile(other).value();
        neighbour.ground =
            std::make_shared<DrawingGround>(groundAt(scene.drawing->film, 553000 + across, 6203000));
        neighbour.frame = {
            {0, 0}, {1500, 0}, {1500, heightPx}, {0, heightPx}}; // the left half of its sheet
        for (const ScanPx& corner : neighbour.frame)
            neighbour.sheet.ring.push_back(neighbour.ground->toGround(corner));
        scene.neighbours.push_back(neighbour);
        Board board;
        board.setSide(BoardSide::Ground);
        show(board, scene);
        board.setSide(BoardSide::Ground);
        board.goTo(neighbour.ground->toGround({700, 1000}));
        waitUntilSharp(board);
        const QImage seen = board.grab().toImage();
        const auto greyOnGround = [&](ScanPx place) {
            return qGray(seen.pixel(board.widgetOfGround(neighbour.ground->toGround(place)).toPoint()));
        };
        const int desk = qGray(palette().desk.rgb());
        const auto dimmed = [desk](int value) { return 0.4 * value + 0.6 * desk; };
        QVERIFY(std::abs(greyOnGround({1100, 700}) - dimmed(10)) < 8);
        QVERIFY(std::abs(greyOnGround({700, 1000}) - dimmed(240)) < 8);
        QVERIFY(std::abs(greyOnGround({1700, 1000}) - desk) < 8); // not its part of the sheet
        QVERIFY(greyAt(board, {2900, 1000}) > 220);               // the drawing at hand is not dimmed
    }
};

QTEST_MAIN(FilmPictureTest)
#include "FilmPictureTest.moc"
