// SPDX-License-Identifier: GPL-3.0-or-later
// Tracing and vertex editing by mouse on a real board, without a project.
#include "app/board/TraceTool.h"

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
        connect(m_tool, &TraceTool::ringClosed, this, [&](const QString& number, const Ring& ring) {
            context = number;
            closed = ring;
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
        connect(m_tool, &TraceTool::ringClosed, this,
                [&](const QString&, const Ring& ring) { closed = ring; });
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
        connect(m_tool, &TraceTool::ringClosed, this,
                [&](const QString&, const Ring& ring) { closed = ring; });
        m_tool->arm("1020");
        QTest::mouseClick(m_board.get(), Qt::LeftButton, {}, at({1500, 500}) + QPoint(3, -4));
        click({2500, 700});
        QTest::mouseClick(m_board.get(), Qt::LeftButton, {}, at({1500, 1500}) + QPoint(-4, 3));
        m_tool->close();
        QVERIFY((closed.vertices.front() == ScanPx{1500, 500}));
        QVERIFY((closed.vertices.back() == ScanPx{1500, 1500}));
    }
    void edgeSnapsLieOnTheEdgeAndAskForAVertexThere()
    {
        std::vector<EdgeInsertion> insertions;
        Ring closed;
        connect(m_tool, &TraceTool::ringClosed, this,
                [&](const QString&, const Ring& ring, const std::vector<EdgeInsertion>& asked) {
                    closed = ring;
                    insertions = asked;
                });
        m_tool->arm("1020");
        QTest::mouseClick(m_board.get(), Qt::LeftButton, {}, at({1500, 1000}) + QPoint(4, 0));
        click({2500, 700});
        click({2500, 1200});
        m_tool->close();
        QCOMPARE(closed.vertices.front().column, 1500.0);
        QCOMPARE(insertions.size(), std::size_t(1));
        QVERIFY(insertions[0].at == closed.vertices.front());
    }
    void takingBackAndGivingUp()
    {
        bool closed = false;
        QStringList refusals;
        connect(m_tool, &TraceTool::ringClosed, this, [&] { closed = true; });
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
    void aDoubleClickOnAnEdgeAsksForAVertex()
    {
        std::vector<EdgeInsertion> asked;
        connect(m_tool, &TraceTool::vertexInserted, this,
                [&](const EdgeInsertion& insertion) { asked.push_back(insertion); });
        QTest::mouseDClick(m_board.get(), Qt::LeftButton, {}, at({1000, 500}));
        QCOMPARE(asked.size(), std::size_t(1));
        QCOMPARE(asked[0].at.row, 500.0);
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
};

QTEST_MAIN(TraceToolTest)
#include "TraceToolTest.moc"
