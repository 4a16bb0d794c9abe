// SPDX-License-Identifier: GPL-3.0-or-later
// Tracing and vertex editing by mouse on a real board, without a project.
#include "app/board/TraceTool.h"

#include <cmath>

#include <QApplication>
#include <QTest>

#include "app/board/Board.h"

using namespace inkpeg;

namespace {

Ring ringOf(std::vector<ScanPx> vertices)
{
    Ring ring;
    ring.kinds.assign(vertices.size(), EdgeKind::Certain);
    ring.vertices = std::move(vertices);
    return ring;
}

BoardScene scene()
{
    BoardDrawing drawing;
    drawing.record.id = 1;
    drawing.film = {3000, 2000, 400, 400, false};
    drawing.widthPx = 3000;
    drawing.heightPx = 2000;
    drawing.record.frame = {{0, 0}, {3000, 0}, {3000, 2000}, {0, 2000}};
    Outline outline;
    outline.id = 7;
    outline.drawing = 1;
    outline.context = "1012";
    outline.parts = {{ringOf({{500, 500}, {1500, 500}, {1500, 1500}, {500, 1500}}), {}}};
    drawing.outlines = {outline};
    BoardScene made;
    made.drawing = drawing;
    return made;
}

} // namespace

class TraceToolTest : public QObject {
    Q_OBJECT

    std::unique_ptr<Board> m_board;
    TraceTool* m_tool = nullptr;

    QPoint at(ScanPx position) const { return m_board->widgetOfScan(position).toPoint(); }
    void click(ScanPx position) { QTest::mouseClick(m_board.get(), Qt::LeftButton, {}, at(position)); }
    /// A click hits whole screen pixels: what it gives lies within one of them, in scan pixels.
    double onePixel() const
    {
        return distance(*m_board->scanOfWidget({100, 100}), *m_board->scanOfWidget({101, 101}));
    }

private slots:
    void init()
    {
        m_board = std::make_unique<Board>();
        m_board->resize(900, 640);
        m_board->setScene(scene());
        m_tool = new TraceTool(*m_board);
        m_board->setTool(m_tool);
        m_board->show();
        QVERIFY(QTest::qWaitForWindowExposed(m_board.get()));
    }
    void clicksMakeARingThatAClickOnItsFirstVertexCloses()
    {
        Ring closed;
        QString context;
        connect(m_tool, &TraceTool::partsClosed, this,
                [&](const QString& number, const std::vector<Part>& parts) {
                    context = number;
                    closed = parts.front().outer;
                });
        m_tool->arm("1020");
        const std::vector<ScanPx> wished{{1800, 300}, {2600, 320}, {2500, 900}, {1900, 1000}};
        for (const ScanPx& vertex : wished)
            click(vertex);
        click(wished.front());
        QCOMPARE(context, QString("1020"));
        QCOMPARE(closed.vertices.size(), wished.size());
        for (std::size_t i = 0; i < wished.size(); ++i) {
            QVERIFY(distance(closed.vertices[i], wished[i]) <= onePixel());
            QVERIFY(closed.vertices[i] == onLattice(closed.vertices[i]));
        }
    }
    void theKindChosenBelongsToTheEdgesDrawnAfterIt()
    {
        Ring closed;
        connect(m_tool, &TraceTool::partsClosed, this,
                [&](const QString&, const std::vector<Part>& parts) { closed = parts.front().outer; });
        m_tool->arm("1020");
        click({1800, 300});
        click({2600, 320});
        m_tool->chooseKind(EdgeKind::LimitOfExcavation);
        click({2500, 900});
        m_tool->cycleKind(); // beyond the sheet
        m_tool->close();
        QVERIFY((closed.kinds == std::vector<EdgeKind>{EdgeKind::Certain, EdgeKind::LimitOfExcavation,
                                                       EdgeKind::BeyondTheSheet}));
    }
    void vertexSnapsAreExactlyEqual()
    {
        Ring closed;
        connect(m_tool, &TraceTool::partsClosed, this,
                [&](const QString&, const std::vector<Part>& parts) { closed = parts.front().outer; });
        m_tool->arm("1020");
        QTest::mouseClick(m_board.get(), Qt::LeftButton, {}, at({1500, 500}) + QPoint(3, -4));
        click({2500, 700});
        QTest::mouseClick(m_board.get(), Qt::LeftButton, {}, at({1500, 1500}) + QPoint(-4, 3));
        m_tool->close();
        QVERIFY((closed.vertices.front() == ScanPx{1500, 500}));
        QVERIFY((closed.vertices.back() == ScanPx{1500, 1500}));
    }
    void edgeSnapsLieOnTheEdge()
    {
        Ring closed;
        connect(m_tool, &TraceTool::partsClosed, this,
                [&](const QString&, const std::vector<Part>& parts) { closed = parts.front().outer; });
        m_tool->arm("1020");
        QTest::mouseClick(m_board.get(), Qt::LeftButton, {}, at({1500, 1000}) + QPoint(4, 0));
        click({2500, 700});
        click({2500, 1200});
        m_tool->close();
        QCOMPARE(closed.vertices.front().column, 1500.0);
    }
    void anEdgeIsFollowedToThePointer()
    {
        m_tool->arm("1020");
        click({1500, 700});
        QTest::mouseMove(m_board.get(), at({1200, 1500}));
        m_tool->followEdge();
        QCOMPARE(m_tool->ring().vertices.size(), std::size_t(3));
        QVERIFY((m_tool->ring().vertices[1] == ScanPx{1500, 1500}));
        QCOMPARE(m_tool->ring().vertices[2].row, 1500.0);
    }
    void aRingThatCrossesItselfIsShownMendedAndTakenOnTheSecondEnter()
    {
        std::vector<Part> closed;
        QStringList refusals;
        connect(m_tool, &TraceTool::partsClosed, this,
                [&](const QString&, const std::vector<Part>& parts) { closed = parts; });
        connect(m_tool, &TraceTool::refused, this, [&](const QString& words) { refusals << words; });
        m_tool->arm("1020");
        // The last edge runs out beyond the first vertex and back across the first edge.
        for (const ScanPx& vertex : {ScanPx{1800, 300}, ScanPx{2700, 300}, ScanPx{2700, 1000},
                                     ScanPx{1800, 1000}, ScanPx{1900, 220}})
            click(vertex);
        m_tool->close();
        QVERIFY(closed.empty());
        QVERIFY(m_tool->mending());
        QCOMPARE(refusals.size(), 1);
        m_tool->takeBackVertex(); // back to the ring
        QVERIFY(!m_tool->mending() && m_tool->ring().vertices.size() == 5);
        m_tool->close();
        m_tool->close();
        QVERIFY(!closed.empty());
    }
    void aRunIsChosenTurnedAndDragged()
    {
        Run moved;
        double columns = 0;
        connect(m_tool, &TraceTool::runMoved, this, [&](const Run& run, double byColumns, double) {
            moved = run;
            columns = byColumns;
        });
        QTest::mouseClick(m_board.get(), Qt::LeftButton, Qt::ShiftModifier, at({500, 500}));
        QTest::mouseClick(m_board.get(), Qt::LeftButton, Qt::ShiftModifier, at({1500, 500}));
        QVERIFY((m_tool->chosenRun() == Run{{500, 500}, {1500, 500}}));
        m_tool->turnRun();
        QVERIFY((m_tool->chosenRun() == Run{{500, 500}, {500, 1500}, {1500, 1500}, {1500, 500}}));
        m_tool->turnRun();
        QTest::mousePress(m_board.get(), Qt::LeftButton, {}, at({1500, 500}));
        QTest::mouseMove(m_board.get(), at({1600, 400}));
        QTest::mouseRelease(m_board.get(), Qt::LeftButton, {}, at({1600, 400}));
        QCOMPARE(moved.size(), std::size_t(2));
        QVERIFY(std::abs(columns - 100) <= onePixel());
        EdgeKind kind = EdgeKind::Certain;
        connect(m_tool, &TraceTool::runKindSet, this, [&](const Run&, EdgeKind given) { kind = given; });
        m_tool->chooseKind(EdgeKind::Truncated);
        QCOMPARE(kind, EdgeKind::Truncated);
        Run removed;
        connect(m_tool, &TraceTool::runRemoved, this, [&](const Run& run) { removed = run; });
        m_tool->removeAtPointer();
        QVERIFY(removed == moved && m_tool->chosenRun().empty());
    }
    void takingBackAndGivingUp()
    {
        bool closed = false;
        QStringList refusals;
        connect(m_tool, &TraceTool::partsClosed, this, [&] { closed = true; });
        connect(m_tool, &TraceTool::refused, this, [&](const QString& words) { refusals << words; });
        m_tool->arm("1020");
        click({1800, 300});
        click({2600, 320});
        click({2500, 900});
        m_tool->takeBackVertex();
        m_tool->close();
        QVERIFY(!closed);
        QCOMPARE(refusals.size(), 1);
        m_tool->abandon();
        QVERIFY(!m_tool->drawing());
        QCOMPARE(m_tool->armedFor(), std::string("1020"));
        m_tool->abandon();
        QVERIFY(m_tool->armedFor().empty());
    }
    void aDraggedVertexIsToldFromWhereToWhere()
    {
        ScanPx from, to;
        connect(m_tool, &TraceTool::vertexMoved, this, [&](const ScanPx& a, const ScanPx& b) {
            from = a;
            to = b;
        });
        QTest::mousePress(m_board.get(), Qt::LeftButton, {}, at({1500, 500}));
        QTest::mouseMove(m_board.get(), at({1700, 400}));
        QTest::mouseRelease(m_board.get(), Qt::LeftButton, {}, at({1700, 400}));
        QVERIFY((from == ScanPx{1500, 500}));
        QVERIFY(distance(to, ScanPx{1700, 400}) <= onePixel());
    }
    void aViewPannedDuringADragLeavesTheVertexWhereItIsLetGo()
    {
        std::vector<ScanPx> moved;
        connect(m_tool, &TraceTool::vertexMoved, this,
                [&](const ScanPx&, const ScanPx& to) { moved.push_back(to); });
        const QPoint from = at({1500, 500});
        QTest::mousePress(m_board.get(), Qt::LeftButton, {}, from);
        QTest::mouseMove(m_board.get(), from + QPoint(30, 10));
        QTest::mousePress(m_board.get(), Qt::MiddleButton, {}, from + QPoint(30, 10));
        QTest::mouseMove(m_board.get(), from + QPoint(70, 40));
        QTest::mouseRelease(m_board.get(), Qt::LeftButton, {}, from + QPoint(70, 40));
        QCOMPARE(moved.size(), std::size_t(1));
        QVERIFY(distance(moved[0], *m_board->scanOfWidget(from + QPoint(70, 40))) <= onePixel());
        // The middle button still pans, and nothing is dragged by it.
        const QPoint before = at({1500, 500});
        QTest::mouseMove(m_board.get(), from + QPoint(90, 40));
        QCOMPARE(at({1500, 500}) - before, QPoint(20, 0));
        QTest::mouseRelease(m_board.get(), Qt::MiddleButton, {}, from + QPoint(90, 40));
        QCOMPARE(moved.size(), std::size_t(1));
    }
    void whatIsSharedIsSeenAnewWhenAnOutlineBesideTheRingGoes()
    {
        m_tool->arm("1020");
        m_tool->ink().setFollows(false);
        click({1500, 500});
        click({2500, 700});
        click({1500, 1500});
        QVERIFY2(m_tool->hint().contains("shares edges with 1012"), qPrintable(m_tool->hint()));
        BoardScene without = scene();
        without.drawing->outlines = {};
        m_board->setScene(without);
        QVERIFY(m_tool->drawing() && m_tool->sharing().edges.empty());
        QVERIFY2(!m_tool->hint().contains("1012"), qPrintable(m_tool->hint()));
    }
    void anOfferedMendingIsToldToBeLeftHoweverItGoes()
    {
        int left = 0;
        connect(m_tool, &TraceTool::mendingLeft, this, [&] { ++left; });
        const DrawnOutlines edited{{7, "1012", scene().drawing->outlines[0].parts}};
        m_tool->offerMending(edited, {});
        m_tool->arm("1020");
        QCOMPARE(left, 1);
        m_tool->arm({});
        QCOMPARE(left, 1);
        m_tool->offerMending(edited, {});
        m_board->setScene(scene());
        QCOMPARE(left, 2);
        m_tool->offerMending(edited, {});
        m_tool->abandon();
        QCOMPARE(left, 3);
        m_tool->offerMending(edited, {});
        m_tool->close(); // taken
        QCOMPARE(left, 3);
    }
    void aDoubleClickOnAnEdgeAsksForAVertex()
    {
        std::vector<ScanPx> asked;
        connect(m_tool, &TraceTool::vertexInserted, this,
                [&](const ScanPx&, const ScanPx&, const ScanPx& place) { asked.push_back(place); });
        QTest::mouseDClick(m_board.get(), Qt::LeftButton, {}, at({1000, 500}));
        QCOMPARE(asked.size(), std::size_t(1));
        QCOMPARE(asked[0].row, 500.0);
    }
    void removingTakesTheVertexUnderThePointerElseTheChosenOutline()
    {
        ScanPx removed;
        qint64 gone = 0;
        connect(m_tool, &TraceTool::vertexRemoved, this, [&](const ScanPx& vertex) { removed = vertex; });
        connect(m_tool, &TraceTool::outlineRemoved, this, [&](qint64 id) { gone = id; });
        click({1000, 1000});
        QCOMPARE(m_tool->selectedOutline(), std::int64_t(7));
        QTest::mouseMove(m_board.get(), at({500, 1500}));
        m_tool->removeAtPointer();
        QVERIFY((removed == ScanPx{500, 1500}));
        QTest::mouseMove(m_board.get(), at({1000, 1000}));
        m_tool->removeAtPointer();
        QCOMPARE(gone, qint64(7));
    }
    void whenTheViewIsMovedTheNextKeyActsOnWhatLiesUnderThePointerThen()
    {
        ScanPx removed;
        qint64 gone = 0;
        connect(m_tool, &TraceTool::vertexRemoved, this, [&](const ScanPx& vertex) { removed = vertex; });
        connect(m_tool, &TraceTool::outlineRemoved, this, [&](qint64 id) { gone = id; });
        click({1000, 1000});
        QTest::mouseMove(m_board.get(), at({1000, 1000}));
        // Dragged by the middle button the place stays under the pointer: no vertex is near.
        const QPoint from = at({1000, 1000}), to = from + QPoint(240, 90);
        QTest::mousePress(m_board.get(), Qt::MiddleButton, {}, from);
        QTest::mouseMove(m_board.get(), to);
        QTest::mouseRelease(m_board.get(), Qt::MiddleButton, {}, to);
        m_tool->removeAtPointer();
        QCOMPARE(gone, qint64(7));
        QVERIFY(removed == ScanPx());
        // Moved by a key, another place comes under the pointer.
        const QPoint corner = at({1500, 500});
        QTest::mouseMove(m_board.get(), corner + QPoint(80, 0));
        QTest::keyClick(m_board.get(), Qt::Key_Left); // brings what lies to the left
        m_tool->removeAtPointer();
        QVERIFY((removed == ScanPx{1500, 500}));
    }
};

QTEST_MAIN(TraceToolTest)
#include "TraceToolTest.moc"
