// SPDX-License-Identifier: GPL-3.0-or-later
// Editing outlines and drawing marks in the real window, by mouse and keys, on a pinned plan of the demo.
#include <algorithm>
#include <cmath>
#include <memory>

#include <QApplication>
#include <QCheckBox>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QRegularExpression>
#include <QSignalSpy>
#include <QStandardPaths>
#include <QTest>

#include "app/window/MainWindow.h"
#include "app/window/PathField.h"
#include "core/checks/Seal.h"
#include "core/outline/Area.h"
#include "core/outline/DrawnOutlines.h"
#include "core/outline/Validity.h"
#include "core/store/LoadRecords.h"
#include "core/store/SignOffs.h"
#include "tests/app/window/DemoWindow.h"
#include "tests/app/window/SealQuestion.h"

using namespace inkpeg;

class EditingTest final : public QObject {
    Q_OBJECT

    DemoFolder m_demo;
    std::unique_ptr<MainWindow> m_window;

    Session& session() { return m_window->session(); }
    Board& board() { return m_window->board(); }
    QPoint at(ScanPx position) { return board().widgetOfScan(position).toPoint(); }
    void click(ScanPx position, Qt::KeyboardModifiers modifiers = {})
    {
        QTest::mouseClick(&board(), Qt::LeftButton, modifiers, at(position));
    }
    void point(ScanPx position) { QTest::mouseMove(&board(), at(position)); }
    void key(Qt::Key which, Qt::KeyboardModifiers modifiers = {})
    {
        QTest::keyClick(&board(), which, modifiers);
    }
    /// What the field on the board asks for.
    void answer(const QString& text)
    {
        QLineEdit* field = m_window->boardField().field();
        QTRY_VERIFY(field->isVisible() && field->hasFocus());
        field->selectAll();
        if (text.isEmpty())
            QTest::keyClick(field, Qt::Key_Backspace);
        else
            QTest::keyClicks(field, text);
        QTest::keyClick(field, Qt::Key_Return);
    }
    void trace(const QString& context, std::initializer_list<ScanPx> ring)
    {
        key(Qt::Key_N);
        answer(context);
        for (const ScanPx& vertex : ring)
            click(vertex);
        key(Qt::Key_Return);
    }
    const Outline* outline(const char* context)
    {
        const auto& all = session().scene().drawing->outlines;
        const auto there = std::ranges::find(all, context, &Outline::context);
        return there == all.end() ? nullptr : &*there;
    }
    double area(const char* context) { return outline(context) ? areaPx2(outline(context)->parts) : 0; }
    DrawnOutlines drawn()
    {
        DrawnOutlines all;
        for (const Outline& each : session().scene().drawing->outlines)
            all.push_back({each.id, each.context, each.parts});
        return all;
    }
    /// A click hits whole screen pixels.
    double onePixel()
    {
        return distance(*board().scanOfWidget({100, 100}), *board().scanOfWidget({101, 101}));
    }
    bool allSound()
    {
        return std::ranges::all_of(drawn(),
                                   [](const DrawnOutline& each) { return bool(checkParts(each.parts)); });
    }
    /// The corners of a place in the middle of the sheet, so many screen pixels from its middle.
    ScanPx place(double columns, double rows)
    {
        const auto& frame = *session().scene().drawing;
        const ScanPx middle{frame.widthPx / 2.0, frame.heightPx / 2.0};
        const double px = onePixel() / std::sqrt(2.0);
        return {middle.column + columns * px, middle.row + rows * px};
    }
    QString hint() { return board().tool()->hint(); }
    void drag(ScanPx from, ScanPx to)
    {
        QTest::mousePress(&board(), Qt::LeftButton, {}, at(from));
        QTest::mouseMove(&board(), at(to));
        QTest::mouseRelease(&board(), Qt::LeftButton, {}, at(to));
    }
    /// A line from 9011's left edge back to it.
    void drawAcrossItself()
    {
        for (const ScanPx& vertex :
             {place(-240, 270), place(-180, 310), place(-180, 270), place(-220, 312), place(-240, 305)})
            click(vertex);
    }

private slots:
    void initTestCase()
    {
        QVERIFY(m_demo.make("P-01"));
        m_window = shownWindow();
        QVERIFY(m_window);
        QVERIFY(takeDemoIn(*m_window, m_demo, "P-01", "MH"));
        session().chooseDrawing(session().project().byKey<Drawing>("P-01")->id);
        m_window->setStation(Station::Trace);
        QVERIFY(session().scene().drawing->ground);
        key(Qt::Key_W); // straight from click to click: the ink has a test of its own
        QVERIFY(!m_window->traceTool().ink().follows());
    }
    // Acts read and knit only what lies about them; what the window holds is what reading all of the
    // drawing gives, and knitting all of it finds nothing more to do.
    void cleanup()
    {
        const BoardDrawing& held = *session().scene().drawing;
        QVERIFY(held.outlines == OutlineSet(session().project().ofDrawing<Outline>(held.record.id)));
        QCOMPARE(held.index->size(), held.outlines.size());
        for (const Outline& each : held.outlines)
            QVERIFY(std::ranges::count(held.index->meeting(boxOf(each.parts)), each.id) == 1);
        DrawnOutlines all = drawn();
        knit(all, std::vector<bool>(all.size(), true));
        QVERIFY(all == drawn());
        QVERIFY(allSound());
    }
    void twoLayersShareTheEdgeBetweenThem()
    {
        trace("9001", {place(-200, -100), place(0, -100), place(0, 100), place(-200, 100)});
        QVERIFY(outline("9001"));
        // Its corners are snapped to: the same positions, not near ones.
        trace("9002", {place(0, -100), place(200, -100), place(200, 100), place(0, 100)});
        QVERIFY(outline("9002"));
        QCOMPARE(sharedEdges(drawn()).size(), std::size_t(1));
    }
    void theCardGivesFiguresOfTheChosenOutlineWithTheirErrors()
    {
        click(place(-100, 0));
        QCOMPARE(m_window->traceTool().selectedOutline(), outline("9001")->id);
        const auto* card = m_window->findChild<QLabel*>("figures");
        QVERIFY(card && card->isVisible());
        const auto given = [card](const QString& what) {
            static const QString figure = R"( ([0-9.]+) ± ([0-9.]+) m)";
            const auto match = QRegularExpression(what + figure).match(card->text());
            return std::pair{match.captured(1).toDouble(), match.captured(2).toDouble()};
        };
        const DrawingGround& ground = *session().scene().drawing->ground;
        std::vector<GroundM> corners;
        for (const ScanPx& vertex : outline("9001")->parts[0].outer.vertices)
            corners.push_back(ground.toGround(vertex));
        const auto [areaIs, areaError] = given("Area");
        QVERIFY2(areaError > 0 && std::abs(areaIs - std::abs(signedAreaM2(corners))) < 0.001,
                 qPrintable(card->text()));
        const auto [roundIs, roundError] = given("Perimeter");
        double round = 0;
        for (std::size_t i = 0; i < corners.size(); ++i)
            round += distance(corners[i], corners[(i + 1) % corners.size()]);
        QVERIFY2(roundError > 0 && std::abs(roundIs - round) < 0.001, qPrintable(card->text()));
        // The middle of a rectangle, to a pixel of the screen.
        const GroundM middle = ground.toGround(place(-100, 0));
        const auto [east, eastError] = given("Centroid E");
        const auto [north, northError] = given("Centroid N");
        QVERIFY2(distance({east, north}, middle) < 0.01, qPrintable(card->text()));
        QVERIFY2(eastError > 0 && northError > 0, qPrintable(card->text()));
        key(Qt::Key_Escape);
    }
    void aSharedVertexIsDraggedInBoth()
    {
        const double before = area("9001") + area("9002");
        QTest::mousePress(&board(), Qt::LeftButton, {}, at(place(0, -100)));
        QTest::mouseMove(&board(), at(place(20, -100)));
        QTest::mouseRelease(&board(), Qt::LeftButton, {}, at(place(20, -100)));
        QCOMPARE(sharedEdges(drawn()).size(), std::size_t(1));
        QVERIFY(std::abs(area("9001") + area("9002") - before) < 1e-3 * before);
        key(Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(std::abs(area("9001") + area("9002") - before) < 1e-9 * before);
    }
    void aRunIsChosenAndTakesItsKind()
    {
        click(place(0, -100), Qt::ShiftModifier);
        click(place(0, 100), Qt::ShiftModifier);
        QCOMPARE(m_window->traceTool().chosenRun().size(), std::size_t(2));
        key(Qt::Key_2);
        for (const char* context : {"9001", "9002"})
            QCOMPARE(std::ranges::count(outline(context)->parts[0].outer.kinds, EdgeKind::Uncertain),
                     std::ptrdiff_t(1));
        key(Qt::Key_W, Qt::ShiftModifier);
        QCOMPARE(m_window->traceTool().chosenRun().size(), std::size_t(4));
        key(Qt::Key_Escape);
        QVERIFY(m_window->traceTool().chosenRun().empty());
    }
    void theSharedEdgeIsDrawnAnew()
    {
        const double before = area("9001") + area("9002");
        key(Qt::Key_R);
        for (const ScanPx& vertex : {place(0, -60), place(-25, 0), place(0, 60)})
            click(vertex);
        key(Qt::Key_Return);
        QVERIFY(board().tool() == &m_window->traceTool());
        QCOMPARE(sharedEdges(drawn()).size(), std::size_t(4));
        QVERIFY(std::abs(area("9001") + area("9002") - before) < 1e-3 * before);
        QVERIFY(allSound());
    }
    void aPitIsCutOutOfTheLayerBeneath()
    {
        trace("9003", {place(-150, -50), place(-80, -50), place(-80, 40), place(-150, 40)});
        const double layer = area("9001"), pit = area("9003");
        click(place(-110, 0)); // the smallest one: the pit
        QCOMPARE(m_window->traceTool().selectedOutline(), outline("9003")->id);
        point(place(-110, 0));
        key(Qt::Key_U);
        QVERIFY(std::abs(area("9001") - (layer - pit)) < 1e-3 * layer);
        QCOMPARE(outline("9001")->parts[0].holes.size(), std::size_t(1));
    }
    void anOutlineIsDividedAndJoinedAgain()
    {
        const double whole = area("9002");
        click(place(150, 0));
        key(Qt::Key_D);
        click(place(200, -30));
        click(place(100, 0));
        click(place(60, 100));
        key(Qt::Key_Return);
        answer("9004");
        QVERIFY(outline("9004"));
        QVERIFY(std::abs(area("9002") + area("9004") - whole) < 1e-3 * whole);
        QCOMPARE(outline("9004")->tracedBy, std::string("MH"));
        click(place(50, -50));
        QCOMPARE(m_window->traceTool().selectedOutline(), outline("9002")->id);
        point(place(170, 70));
        key(Qt::Key_J);
        QVERIFY(!outline("9004"));
        QVERIFY(std::abs(area("9002") - whole) < 1e-3 * whole);
        QVERIFY(allSound());
    }
    void aHoleIsCutAndClosed()
    {
        click(place(150, 0));
        key(Qt::Key_H);
        for (const ScanPx& vertex : {place(120, -20), place(160, -20), place(160, 20), place(120, 20)})
            click(vertex);
        key(Qt::Key_Return);
        QCOMPARE(outline("9002")->parts[0].holes.size(), std::size_t(1));
        point(place(140, 0));
        key(Qt::Key_H, Qt::ShiftModifier);
        QVERIFY(outline("9002")->parts[0].holes.empty());
    }
    void aRingThatCrossesItselfIsMendedBeforeItIsTaken()
    {
        key(Qt::Key_N);
        answer("9005");
        for (const ScanPx& vertex :
             {place(-200, 160), place(-60, 160), place(-60, 230), place(-200, 230), place(-180, 145)})
            click(vertex);
        key(Qt::Key_Return);
        QVERIFY(!outline("9005"));
        QVERIFY(hint().contains("mended"));
        key(Qt::Key_Return);
        QVERIFY(outline("9005"));
        QVERIFY(allSound());
    }
    void anEditThatWouldCrossIsShownMendedAndLeftOrTaken()
    {
        trace("9011", {place(-240, 260), place(-140, 260), place(-140, 320), place(-240, 320)});
        const Outline before = *outline("9011");
        drag(place(-140, 260), place(-260, 300));
        QVERIFY(m_window->traceTool().mending());
        QVERIFY2(hint().contains("mended"), qPrintable(hint()));
        QVERIFY(*outline("9011") == before); // nothing is done yet
        key(Qt::Key_Escape);
        QVERIFY(!m_window->traceTool().mending() && *outline("9011") == before);
        key(Qt::Key_Return); // what was left is not taken later
        QVERIFY(*outline("9011") == before);
        drag(place(-140, 260), place(-260, 300));
        key(Qt::Key_Return);
        QVERIFY(!m_window->traceTool().mending() && !(*outline("9011") == before));
        QVERIFY(checkParts(outline("9011")->parts));
        key(Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(*outline("9011") == before);
    }
    void anEdgeDrawnAnewAcrossItselfComesBackToItsLineOrIsTakenMended()
    {
        const Outline before = *outline("9011");
        key(Qt::Key_R);
        drawAcrossItself();
        key(Qt::Key_Return);
        QVERIFY(m_window->traceTool().mending() && *outline("9011") == before);
        key(Qt::Key_Escape);
        QVERIFY(board().tool() == &m_window->lineTool()); // the line is still there to be led otherwise
        key(Qt::Key_Return);
        QVERIFY(m_window->traceTool().mending());
        key(Qt::Key_Return);
        QVERIFY(!(*outline("9011") == before) && checkParts(outline("9011")->parts));
        QVERIFY(board().tool() == &m_window->traceTool());
        key(Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(*outline("9011") == before);
        key(Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(!outline("9011"));
    }
    void whileAnEditIsShownMendedNothingElseIsDone()
    {
        trace("9011", {place(-240, 260), place(-140, 260), place(-140, 320), place(-240, 320)});
        const DrawnOutlines before = drawn();
        drag(place(-140, 260), place(-260, 300));
        QVERIFY(m_window->traceTool().mending());
        QSignalSpy told(&m_window->traceTool(), &TraceTool::refused);
        const auto toldOnce = [&] {
            const bool once = told.size() == 1;
            told.clear();
            return once && m_window->traceTool().mending() && drawn() == before;
        };
        point(place(-240, 320)); // a vertex
        key(Qt::Key_X);
        QVERIFY(toldOnce());
        key(Qt::Key_Delete);
        QVERIFY(toldOnce());
        point(place(-190, 320)); // an edge
        key(Qt::Key_I);
        QVERIFY(toldOnce());
        key(Qt::Key_2);
        QVERIFY(toldOnce());
        QTest::mouseDClick(&board(), Qt::LeftButton, {}, at(place(-190, 320)));
        QVERIFY(told.size() >= 1 && m_window->traceTool().mending() && drawn() == before);
        told.clear();
        for (const Qt::Key act : {Qt::Key_N, Qt::Key_R, Qt::Key_L, Qt::Key_M, Qt::Key_J}) {
            key(act);
            QVERIFY(toldOnce() && board().tool() == &m_window->traceTool());
        }
        QVERIFY(!m_window->boardField().field()->isVisible());
        key(Qt::Key_Escape);
        QVERIFY(!m_window->traceTool().mending() && drawn() == before);
    }
    // The outline is undone beneath the line that waits: the offer is gone, the line is not.
    void aLineComesBackWhenItsOfferIsOvertaken()
    {
        key(Qt::Key_R);
        drawAcrossItself();
        key(Qt::Key_Return);
        QVERIFY(m_window->traceTool().mending());
        key(Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(!outline("9011") && !m_window->traceTool().mending());
        QVERIFY(board().tool() == &m_window->lineTool());
        QVERIFY(!session().takeMending()); // it was made for what is no longer there
        key(Qt::Key_Y, Qt::ControlModifier);
        QVERIFY(outline("9011"));
        key(Qt::Key_Return);
        QVERIFY(m_window->traceTool().mending());
        key(Qt::Key_Escape);
        QVERIFY(board().tool() == &m_window->lineTool());
        key(Qt::Key_Escape);
        key(Qt::Key_Escape);
        QVERIFY(board().tool() == &m_window->traceTool());
    }
    void aLineIsNotLostWhenItsMendingIsRefused()
    {
        Project& project = session().project();
        const Result<Change> sealed = project.act("sign off", [&](Editor& edit) -> Result<void> {
            const Result<ProjectRecords> records = loadRecords(project);
            SignOff signOff{0,  "drawing", "P-01", Stage::SignedOff, "MH", "2026-04-01T09:00:00Z",
                            {}, {},        false};
            signOff.sealSha256 = records ? Seals(*records).of("drawing", "P-01") : std::string();
            return edit.put(signOff);
        });
        QVERIFY(sealed && isSealed(project, "drawing", "P-01"));
        const Outline before = *outline("9011");
        key(Qt::Key_R);
        drawAcrossItself();
        key(Qt::Key_Return);
        QVERIFY(m_window->traceTool().mending());
        bool asked = false;
        answerSealQuestion(m_window.get(), {}, asked);
        key(Qt::Key_Return);
        QVERIFY(asked && *outline("9011") == before);
        QVERIFY(!m_window->traceTool().mending() && board().tool() == &m_window->lineTool());
        QVERIFY(QTest::qWaitForWindowActive(m_window.get()));
        key(Qt::Key_Return); // the line is still there
        QVERIFY(m_window->traceTool().mending());
        asked = false;
        answerSealQuestion(m_window.get(), "drawn against the film", asked);
        key(Qt::Key_Return);
        QVERIFY(asked && !(*outline("9011") == before));
        QVERIFY(board().tool() == &m_window->traceTool());
        QVERIFY(QTest::qWaitForWindowActive(m_window.get()));
        for (int i = 0; i < 3; ++i) // the edit, the sign-off, the outline
            key(Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(!outline("9011") && !isSealed(project, "drawing", "P-01"));
    }
    void aNeighbourFollowsTheEdgeThatIsThere()
    {
        key(Qt::Key_N);
        answer("9006");
        click(place(200, -60));
        click(place(260, -60));
        click(place(260, 60));
        click(place(200, 60));
        key(Qt::Key_Return, Qt::ShiftModifier);
        QVERIFY(outline("9006"));
        const DrawnOutlines all = drawn();
        int shared = 0;
        for (const SharedEdge& edge : sharedEdges(all))
            shared +=
                std::ranges::any_of(edge.outlines, [&](std::size_t i) { return all[i].context == "9006"; });
        QVERIFY(shared >= 1);
    }
    void levelsPointsAndNotesAreSet()
    {
        key(Qt::Key_L);
        click(place(-180, -80));
        answer("forty");
        QVERIFY(session().scene().drawing->levels.empty()); // refused; the field stays
        answer("41.25");
        QCOMPARE(session().scene().drawing->levels.size(), std::size_t(1));
        QCOMPARE(session().scene().drawing->levels[0].context, std::string("9001"));
        key(Qt::Key_Escape);
        QVERIFY(board().tool() == &m_window->traceTool());
        const std::pair<Qt::Key, Qt::KeyboardModifiers> kinds[] = {
            {Qt::Key_P, {}}, {Qt::Key_A, {}}, {Qt::Key_T, {}}, {Qt::Key_T, Qt::ShiftModifier}};
        double row = -150;
        for (const auto& [which, modifiers] : kinds) {
            key(which, modifiers);
            click(place(230, row));
            answer("77");
            key(Qt::Key_Escape);
            row += 20;
        }
        const auto& points = session().scene().drawing->points;
        QCOMPARE(points.size(), std::size_t(4));
        QCOMPARE(points[0].kind, PointKind::Find);
        QCOMPARE(points[2].kind, PointKind::Timber);
        QCOMPARE(points[3].text, std::string("77"));
    }
    void aMarkIsMovedWrittenAnewAndTakenOut()
    {
        const ScanPx before = session().scene().drawing->levels[0].mark;
        QTest::mousePress(&board(), Qt::LeftButton, {}, at(before));
        QTest::mouseMove(&board(), at(place(-170, -60)));
        QTest::mouseRelease(&board(), Qt::LeftButton, {}, at(place(-170, -60)));
        QVERIFY(distance(session().scene().drawing->levels[0].mark, place(-170, -60)) <= onePixel());
        QTest::mouseDClick(&board(), Qt::LeftButton, {}, at(place(-170, -60)));
        answer("41.75");
        QCOMPARE(session().scene().drawing->levels[0].levelM, 41.75);
        point(session().scene().drawing->points[0].mark);
        key(Qt::Key_X);
        QCOMPARE(session().scene().drawing->points.size(), std::size_t(3));
        key(Qt::Key_Z, Qt::ControlModifier);
        QCOMPARE(session().scene().drawing->points.size(), std::size_t(4));
    }
    void slopesSectionLinesAndLimitsAreDrawn()
    {
        const auto line = [&](Qt::Key which, Qt::KeyboardModifiers modifiers, double row,
                              const QString& written) {
            key(which, modifiers);
            click(place(-100, row));
            click(place(0, row));
            key(Qt::Key_Return);
            if (!written.isEmpty())
                answer(written);
            QVERIFY(board().tool() == &m_window->traceTool());
        };
        line(Qt::Key_S, {}, 270, "9005");
        line(Qt::Key_S, Qt::ShiftModifier, 290, "9005");
        line(Qt::Key_A, Qt::ShiftModifier, -180, "A-B");
        line(Qt::Key_L, Qt::ShiftModifier, -200, {});
        const auto& lines = session().scene().drawing->lines;
        QCOMPARE(lines.size(), std::size_t(4));
        QCOMPARE(lines[0].kind, LineKind::BreakTop);
        QCOMPARE(lines[1].kind, LineKind::BreakBottom);
        QCOMPARE(lines[1].context, std::string("9005"));
        QCOMPARE(lines[2].label, std::string("A-B"));
        QCOMPARE(lines[3].kind, LineKind::LimitOfExcavation);
    }
    void measuringTellsLengthAreaAndTheirErrors()
    {
        key(Qt::Key_M);
        const ScanPx a = place(-100, 330), b = place(100, 330), c = place(100, 300);
        for (const ScanPx& vertex : {a, b, c})
            QTest::mouseClick(&board(), Qt::LeftButton, Qt::AltModifier, at(vertex));
        const DrawingGround& ground = *session().scene().drawing->ground;
        const double length = distance(ground.toGround(*board().scanOfWidget(at(a))),
                                       ground.toGround(*board().scanOfWidget(at(b)))) +
                              distance(ground.toGround(*board().scanOfWidget(at(b))),
                                       ground.toGround(*board().scanOfWidget(at(c))));
        const QString figures = m_window->measureTool().figures();
        QVERIFY2(figures.contains(QString::number(length, 'f', 3)), qPrintable(figures));
        QVERIFY(figures.contains(QString::fromUtf8("±")) && figures.contains("area"));
        key(Qt::Key_Escape);
        key(Qt::Key_Escape);
        QVERIFY(board().tool() == &m_window->traceTool());
    }
    void whatNeedsAnOutlineSaysSo()
    {
        key(Qt::Key_Escape);
        m_window->traceTool().selectOutline(0);
        key(Qt::Key_D);
        QVERIFY(board().tool() == &m_window->traceTool());
        key(Qt::Key_J);
        QVERIFY(allSound());
    }
    void allOfItIsUndone()
    {
        for (int i = 0;
             i < 60 && session().project().canUndo() && !session().scene().drawing->outlines.empty(); ++i)
            key(Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(session().scene().drawing->outlines.empty());
        QVERIFY(session().scene().drawing->lines.empty() && session().scene().drawing->points.empty());
    }
};

QTEST_MAIN(EditingTest)
#include "EditingTest.moc"
