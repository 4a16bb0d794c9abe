// SPDX-License-Identifier: GPL-3.0-or-later
// The board under mouse and keys, on a scan made here: where things lie on the screen, and what moving
// about does.
#include "app/board/Board.h"

#include <cmath>

#include <QImage>
#include <QPainter>
#include <QTemporaryDir>
#include <QTest>
#include <QWheelEvent>

#include "app/board/PegTool.h"

using namespace inkpeg;

namespace {

constexpr int widthPx = 3000, heightPx = 2000;

std::filesystem::path cacheFolder; // where a project would keep the levels of its scans

BoardScene sceneOf(const QString& scan, bool faceDown = false)
{
    BoardDrawing drawing;
    drawing.record.id = 1;
    drawing.record.number = "P-01";
    drawing.scanFile = scan.toStdString();
    drawing.film = {widthPx, heightPx, 400, 400, faceDown};
    drawing.widthPx = widthPx;
    drawing.heightPx = heightPx;
    BoardScene scene;
    scene.drawing = drawing;
    scene.cacheFolder = cacheFolder;
    return scene;
}

/// A similarity of 1:20 turned by 20 degrees, fitted to four pins that lie on it exactly.
DrawingGround groundOf(const FilmFrame& film)
{
    std::vector<ControlPoint> pins;
    const double turn = 20 * 3.14159265358979323846 / 180, scale = 0.02;
    for (const FilmMm at : {FilmMm{10, 10}, FilmMm{170, 12}, FilmMm{168, 110}, FilmMm{12, 108}}) {
        const GroundM ground{553000 + scale * (at.x * std::cos(turn) - at.y * std::sin(turn)),
                             6203000 + scale * (at.x * std::sin(turn) + at.y * std::cos(turn))};
        pins.push_back({"p" + std::to_string(pins.size()), at, ground});
    }
    FitSettings settings;
    settings.model = Model::Affine;
    return {fitControl(pins, settings).value(), film, {}};
}

void waitForTiles(Board& board)
{
    QTest::qWait(30);
    QTRY_VERIFY_WITH_TIMEOUT(!board.stillLoading(), 300000);
    QTest::qWait(30);
}

} // namespace

class BoardTest : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    QString m_scan;

private slots:
    void initTestCase()
    {
        // White film with a black square of 100 px, its upper left corner at (2000, 300).
        QImage image(widthPx, heightPx, QImage::Format_RGB32);
        image.fill(Qt::white);
        QPainter(&image).fillRect(2000, 300, 100, 100, Qt::black);
        m_scan = m_folder.filePath("scan.png");
        QVERIFY(image.save(m_scan));
        cacheFolder = m_folder.filePath(TilePyramid::FolderName).toStdString();
    }
    void theScanLiesWhereThePositionsSay_data()
    {
        QTest::addColumn<bool>("faceDown");
        QTest::addColumn<double>("turnDegrees");
        QTest::addColumn<bool>("mirrored");
        QTest::newRow("face up") << false << 0.0 << false;
        QTest::newRow("face down") << true << 0.0 << false;
        QTest::newRow("turned a quarter") << false << 90.0 << false;
        QTest::newRow("turned a little") << false << -23.5 << false;
        QTest::newRow("mirrored") << false << 0.0 << true;
        QTest::newRow("face down, mirrored, turned") << true << 200.0 << true;
    }
    void theScanLiesWhereThePositionsSay()
    {
        QFETCH(bool, faceDown);
        QFETCH(double, turnDegrees);
        QFETCH(bool, mirrored);
        Board board;
        board.resize(900, 600);
        BoardScene scene = sceneOf(m_scan, faceDown);
        scene.drawing->view.turnDegrees = turnDegrees;
        scene.drawing->view.mirrored = mirrored;
        board.setScene(scene);
        board.show();
        QVERIFY(QTest::qWaitForWindowExposed(&board));
        waitForTiles(board);
        for (const bool near : {false, true}) {
            if (near) {
                board.goTo(ScanPx{2050, 350});
                waitForTiles(board);
            }
            const QImage seen = board.grab().toImage();
            const auto inkAt = [&](ScanPx at) {
                return qGray(seen.pixel(board.widgetOfScan(at).toPoint()));
            };
            QVERIFY(inkAt({2050, 350}) < 40);
            // Four pixels of the scan outside each side: white.
            const double off = near ? 8 : 24;
            for (const ScanPx outside : {ScanPx{2000 - off, 350}, ScanPx{2100 + off, 350},
                                         ScanPx{2050, 300 - off}, ScanPx{2050, 400 + off}})
                QVERIFY(inkAt(outside) > 200);
        }
        // Clockwise by the turn from a film that lay the right way round; mirrored, the row of the scan runs
        // the other way.
        const QPointF along = board.widgetOfScan({2050, 350}) - board.widgetOfScan({100, 350});
        const QPointF down = board.widgetOfScan({2050, 1350}) - board.widgetOfScan({2050, 350});
        const auto bearing = [](QPointF d) { return qRadiansToDegrees(std::atan2(d.y(), d.x())); };
        const auto alike = [](double a, double b) { return std::abs(std::remainder(a - b, 360)) < 1e-6; };
        QVERIFY(alike(bearing(along), turnDegrees + (faceDown != mirrored ? 180 : 0)));
        QVERIFY(alike(bearing(down), turnDegrees + 90));
    }
    void positionsGoThereAndBackOnFilmAndOnTheGround()
    {
        BoardScene scene = sceneOf(m_scan);
        scene.drawing->ground = groundOf(scene.drawing->film);
        Board board;
        board.resize(900, 600);
        board.setScene(scene);
        for (const BoardSide side : {BoardSide::Film, BoardSide::Ground}) {
            board.setSide(side);
            QCOMPARE(board.side(), side);
            const ScanPx at{1234.25, 567.75};
            const auto back = board.scanOfWidget(board.widgetOfScan(at));
            QVERIFY(back);
            QVERIFY(distance(*back, at) < 1e-6); // far below the 1/256 px lattice
        }
    }
    void onTheGroundNorthIsUpAndTheScanIsTurned()
    {
        BoardScene scene = sceneOf(m_scan);
        scene.drawing->ground = groundOf(scene.drawing->film);
        Board board;
        board.resize(900, 600);
        board.setScene(scene);
        board.show();
        QVERIFY(QTest::qWaitForWindowExposed(&board));
        board.setSide(BoardSide::Ground);
        waitForTiles(board);
        const QPointF at = board.widgetOfGround({553001, 6203001});
        QVERIFY(board.widgetOfGround({553001, 6203002}).y() < at.y());
        QVERIFY(board.widgetOfGround({553002, 6203001}).x() > at.x());
        const QImage seen = board.grab().toImage();
        QVERIFY(qGray(seen.pixel(board.widgetOfScan({2050, 350}).toPoint())) < 60);
        QVERIFY(qGray(seen.pixel(board.widgetOfScan({1900, 350}).toPoint())) > 200);
    }
    void withoutAFitTheBoardStaysOnFilm()
    {
        Board board;
        board.setScene(sceneOf(m_scan));
        board.setSide(BoardSide::Ground);
        QCOMPARE(board.side(), BoardSide::Film);
    }
    void onTheGroundADrawingWithoutAFitHasNoPlace_data()
    {
        QTest::addColumn<bool>("pegging");
        QTest::newRow("looking on") << false;
        QTest::newRow("pegging") << true;
    }
    void onTheGroundADrawingWithoutAFitHasNoPlace()
    {
        QFETCH(bool, pegging);
        BoardScene bare = sceneOf({});
        bare.drawing->record.id = 2;
        bare.drawing->widthPx = bare.drawing->heightPx = 0;
        // Film millimetres taken for metres would lie between them.
        bare.pegs = {{"1", {553000, 6203000}}, {"2", {553200, 6203200}}};
        BoardScene drawn = bare;
        Outline outline;
        outline.id = 7;
        outline.context = "1012";
        Ring ring;
        ring.vertices = {{500, 500}, {1500, 500}, {1500, 1500}, {500, 1500}};
        ring.kinds.assign(4, EdgeKind::Certain);
        outline.parts = {{ring, {}}};
        drawn.drawing->outlines = {outline};
        SpotLevel level;
        level.mark = {900, 900};
        level.levelM = 41.25;
        drawn.drawing->levels = {level};
        Pin pin;
        pin.peg = "3";
        pin.mark = {1800, 700};
        drawn.drawing->pins = {pin};
        const auto seen = [&](const BoardScene& scene, BoardSide side) {
            Board board;
            board.resize(900, 600);
            PegTool tool(board);
            board.setTool(pegging ? &tool : nullptr);
            BoardScene pinned = sceneOf({});
            pinned.drawing->ground = groundOf(pinned.drawing->film);
            board.setScene(pinned);
            board.setSide(side);
            board.setScene(scene); // another drawing is chosen
            return board.side() == side ? board.grab().toImage() : QImage();
        };
        const QImage ground = seen(drawn, BoardSide::Ground);
        QVERIFY(!ground.isNull() && ground == seen(bare, BoardSide::Ground));
        QVERIFY(seen(drawn, BoardSide::Film) != seen(bare, BoardSide::Film));
    }
    void theWheelZoomsAtTheCursor()
    {
        Board board;
        board.resize(900, 600);
        board.setScene(sceneOf(m_scan));
        board.show();
        QVERIFY(QTest::qWaitForWindowExposed(&board));
        const QPointF cursor(200, 150);
        const auto held = board.scanOfWidget(cursor);
        const double before = board.view().scale();
        QWheelEvent wheel(cursor, board.mapToGlobal(cursor), {}, {0, 360}, Qt::NoButton, Qt::NoModifier,
                          Qt::NoScrollPhase, false);
        QApplication::sendEvent(&board, &wheel);
        QVERIFY(board.view().scale() > before * 1.9); // three notches of 1.25
        QVERIFY(distance(*board.scanOfWidget(cursor), *held) < 1e-6);
    }
    void middleDragAndSpaceDragAndArrowsMoveTheFilm()
    {
        Board board;
        board.resize(900, 600);
        board.setScene(sceneOf(m_scan));
        PegTool tool(board); // with a tool, the left button is the tool's
        board.setTool(&tool);
        board.show();
        board.activateWindow();
        QVERIFY(QTest::qWaitForWindowActive(&board));
        board.setFocus();
        const ScanPx mark{1500, 1000};
        QPointF before = board.widgetOfScan(mark);
        QTest::mousePress(&board, Qt::MiddleButton, {}, {300, 300});
        QTest::mouseMove(&board, {350, 280});
        QTest::mouseRelease(&board, Qt::MiddleButton, {}, {350, 280});
        QPointF after = board.widgetOfScan(mark);
        QCOMPARE((after - before).toPoint(), QPoint(50, -20));
        before = after;
        QTest::keyPress(&board, Qt::Key_Space);
        QTest::mousePress(&board, Qt::LeftButton, {}, {300, 300});
        QTest::mouseMove(&board, {290, 340});
        QTest::mouseRelease(&board, Qt::LeftButton, {}, {290, 340});
        QTest::keyRelease(&board, Qt::Key_Space);
        after = board.widgetOfScan(mark);
        QCOMPARE((after - before).toPoint(), QPoint(-10, 40));
        before = after;
        QTest::keyClick(&board, Qt::Key_Right);
        QVERIFY(board.widgetOfScan(mark).x() < before.x());
    }
    void aNewDrawingIsShownWhole()
    {
        Board board;
        board.resize(900, 600);
        board.setScene(sceneOf(m_scan));
        board.zoomIn();
        BoardScene other = sceneOf(m_scan);
        other.drawing->record.id = 2;
        board.setScene(other);
        const QRectF screen(board.rect());
        for (const ScanPx corner :
             {ScanPx{0, 0}, ScanPx{widthPx, 0}, ScanPx{widthPx, heightPx}, ScanPx{0, heightPx}})
            QVERIFY(screen.contains(board.widgetOfScan(corner)));
        // The same drawing with a new pin keeps the view.
        board.zoomIn();
        const ViewTransform view = board.view();
        other.drawing->pins.push_back({});
        board.setScene(other);
        QVERIFY(board.view() == view);
    }
    void aDamagedScanIsSaidOnce()
    {
        const QString broken = m_folder.filePath("broken.png");
        QFile file(m_scan);
        QVERIFY(file.open(QIODevice::ReadOnly));
        QFile half(broken);
        QVERIFY(half.open(QIODevice::WriteOnly));
        half.write(file.readAll().left(200));
        half.close();
        Board board;
        board.resize(900, 600);
        QStringList said;
        connect(&board, &Board::scanFailed, this, [&](const QString& words) { said << words; });
        board.setScene(sceneOf(broken));
        board.show();
        QVERIFY(QTest::qWaitForWindowExposed(&board));
        QTRY_VERIFY(!said.isEmpty());
        QVERIFY(said.first().contains("broken.png"));
    }
};

QTEST_MAIN(BoardTest)
#include "BoardTest.moc"
