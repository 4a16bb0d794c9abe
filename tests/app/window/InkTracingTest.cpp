// SPDX-License-Identifier: GPL-3.0-or-later
// Tracing by the pencil in the real window, by mouse and keys: an outline led along its edge with a few
// clicks, one proposed from a click inside it, both held against the truth of the demo; and tracing while
// the ink is still being read.
#include <algorithm>
#include <cmath>
#include <memory>

#include <QApplication>
#include <QCheckBox>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QStandardPaths>
#include <QTest>
#include <QWheelEvent>

#include "app/window/MainWindow.h"
#include "app/window/PathField.h"
#include "core/outline/DrawnOutlines.h"
#include "core/outline/Validity.h"
#include "tests/app/window/DemoWindow.h"
#include "tests/samples/TracingQuality.h"

using namespace inkpeg;

class InkTracingTest : public QObject {
    Q_OBJECT

    static constexpr double PxPerMm = 400 / 25.4;
    DemoFolder m_demo;
    std::unique_ptr<MainWindow> m_window;

    Board& board() { return m_window->board(); }
    Session& session() { return m_window->session(); }
    TraceTool& tool() { return m_window->traceTool(); }
    const OutlineSet& outlines() { return session().scene().drawing->outlines; }
    QPoint at(ScanPx position) { return board().widgetOfScan(position).toPoint(); }
    void key(int which) { QTest::keyClick(&board(), static_cast<Qt::Key>(which)); }
    void click(QPoint where)
    {
        QTest::mouseMove(&board(), where);
        QTest::mouseClick(&board(), Qt::LeftButton, {}, where);
    }

    void choose(const char* drawing)
    {
        session().chooseDrawing(session().project().byKey<Drawing>(drawing)->id);
        QTest::keyClick(m_window.get(), Qt::Key_3, Qt::AltModifier);
        board().setFocus();
    }
    void waitForInk()
    {
        QTRY_VERIFY_WITH_TIMEOUT(tool().ink().ready(), 300000);
        QCOMPARE(tool().ink().guide().percent(), -1);
    }
    /// All of the outline in view, as large as it goes by the wheel.
    void lookAt(const TrueOutline& truth)
    {
        ScanPx middle;
        for (const ScanPx& vertex : truth.px)
            middle = {middle.column + vertex.column / static_cast<double>(truth.px.size()),
                      middle.row + vertex.row / static_cast<double>(truth.px.size())};
        const auto inView = [&] {
            return std::ranges::all_of(truth.px, [&](const ScanPx& vertex) {
                return board().rect().adjusted(20, 20, -20, -20).contains(at(vertex));
            });
        };
        const auto wheel = [&](int notches) {
            QWheelEvent event(at(middle), board().mapToGlobal(at(middle)), {}, {0, notches * 120},
                              Qt::NoButton, Qt::NoModifier, Qt::NoScrollPhase, false);
            QApplication::sendEvent(&board(), &event);
        };
        key(Qt::Key_0);
        for (int i = 0; i < 20 && inView(); ++i)
            wheel(1);
        wheel(-1);
        QVERIFY(inView());
    }
    void begin(const QString& context)
    {
        key(Qt::Key_N);
        QLineEdit* field = m_window->boardField().field();
        QTRY_VERIFY(field->isVisible() && field->hasFocus());
        field->selectAll();
        QTest::keyClicks(field, context);
        QTest::keyClick(field, Qt::Key_Return);
        QCOMPARE(tool().armedFor(), context.toStdString());
        board().setFocus();
    }
    void mustLieOnTheTruth(const Outline& outline, const TrueOutline& truth)
    {
        QVERIFY(checkParts(outline.parts));
        const quality::Misfit misfit =
            quality::misfitBetween(outline.parts[0].outer.vertices, truth.px, PxPerMm);
        const QString said = QString("context %1: mean %2 mm, 95 % %3 mm, %4 vertices")
                                 .arg(QString::fromStdString(outline.context))
                                 .arg(misfit.meanMm, 0, 'f', 3)
                                 .arg(misfit.ninetyFiveMm, 0, 'f', 3)
                                 .arg(outline.parts[0].outer.vertices.size());
        qInfo("%s", qPrintable(said));
        QVERIFY2(misfit.meanMm <= 0.15 && misfit.ninetyFiveMm <= 0.35, qPrintable(said));
    }
    static ScanPx along(const TrueOutline& truth, double share)
    {
        return truth.px[static_cast<std::size_t>(share * static_cast<double>(truth.px.size()))];
    }

private slots:
    void initTestCase()
    {
        QVERIFY(m_demo.make("P-08") && m_demo.make("P-06"));
        m_window = shownWindow();
        QVERIFY(m_window);
        QVERIFY(takeDemoIn(*m_window, m_demo, "P-08", "TK"));
    }

    void straightTracingGoesOnWhileTheInkIsRead()
    {
        choose("P-08");
        QVERIFY(!tool().ink().ready());
        QVERIFY(tool().ink().guide().percent() >= 0);
        QVERIFY(tool().hint().contains("N begins"));
        begin("1069");
        QVERIFY2(tool().hint().contains("reading the ink"), qPrintable(tool().hint()));
        key(Qt::Key_E);
        QString said;
        const auto told =
            connect(&tool(), &TraceTool::refused, this, [&](const QString& words) { said = words; });
        click(board().rect().center());
        disconnect(told);
        if (!tool().ink().ready())
            QVERIFY2(said.contains("still being read"), qPrintable(said));
        key(Qt::Key_E);
        for (const QPoint offset : {QPoint(60, 60), QPoint(160, 60), QPoint(160, 160)})
            QTest::mouseClick(&board(), Qt::LeftButton, Qt::AltModifier, offset);
        QVERIFY(tool().drawing());
        key(Qt::Key_Escape);
        key(Qt::Key_Escape);
        QVERIFY(tool().armedFor().empty());
        waitForInk();
    }

    void theLineFollowsThePencilToThePointer()
    {
        const TrueOutline truth = m_demo.outline("P-08", "1068");
        lookAt(truth);
        begin("1068");
        // The hand misses the line by a third of a millimetre; the click is drawn to its middle.
        const ScanPx first = along(truth, 0);
        click(at({first.column + 3, first.row + 4}));
        int clicks = 1;
        for (const double share : {0.27, 0.52, 0.77}) {
            const ScanPx next = along(truth, share);
            QTest::mouseMove(&board(), at(next));
            QVERIFY2(tool().ink()
                             .lead(*tool().lastVertex(), onLattice(*board().scanOfWidget(at(next))))
                             .size() >= 3,
                     "a line leads along the pencil before the click");
            click(at(next));
            ++clicks;
        }
        key(Qt::Key_Return);
        QCOMPARE(outlines().size(), std::size_t(1));
        mustLieOnTheTruth(outlines()[0], truth);
        QVERIFY(outlines()[0].parts[0].outer.vertices.size() > std::size_t(4 * clicks));
        // One outline, one act.
        const Outline traced = outlines()[0];
        QTest::keyClick(&board(), Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(outlines().empty());
        QTest::keyClick(&board(), Qt::Key_Z, Qt::ControlModifier | Qt::ShiftModifier);
        QVERIFY(outlines()[0] == traced);
    }

    void backspaceTakesBackAWholeClick()
    {
        const TrueOutline truth = m_demo.outline("P-08", "1069");
        begin("1069");
        click(at(along(truth, 0.1)));
        click(at(along(truth, 0.3)));
        QVERIFY(tool().ringSize() > 4);
        key(Qt::Key_Backspace);
        QCOMPARE(tool().ringSize(), std::size_t(1));
        // Straight by the key: one click, one vertex.
        key(Qt::Key_W);
        click(at(along(truth, 0.3)));
        QCOMPARE(tool().ringSize(), std::size_t(2));
        key(Qt::Key_W);
        key(Qt::Key_Escape);
        key(Qt::Key_Escape);
    }

    void aClickInsideProposesTheOutlineAndEnterTakesIt()
    {
        const TrueOutline truth = m_demo.outline("P-08", "1069");
        lookAt(truth);
        begin("1069");
        key(Qt::Key_E);
        ScanPx inside;
        for (const ScanPx& vertex : truth.px)
            inside = {inside.column + vertex.column / static_cast<double>(truth.px.size()),
                      inside.row + vertex.row / static_cast<double>(truth.px.size())};
        inside.row += 60; // beside its number
        click(at(inside));
        QVERIFY(tool().ink().proposing());
        QCOMPARE(outlines().size(), std::size_t(1)); // nothing is stored yet
        // The next larger one is the cut around the fill; and back.
        const double own = tool().ink().proposal()->areaMm2;
        key(Qt::Key_Period);
        QVERIFY(tool().ink().proposal()->areaMm2 > own);
        key(Qt::Key_Comma);
        QCOMPARE(tool().ink().proposal()->areaMm2, own);
        key(Qt::Key_Return);
        QCOMPARE(outlines().size(), std::size_t(2));
        QVERIFY(tool().armedFor().empty());
        mustLieOnTheTruth(outlines()[1], truth);
        QTest::keyClick(&board(), Qt::Key_Z, Qt::ControlModifier);
        QCOMPARE(outlines().size(), std::size_t(1));
        // And again, after a click beside it, and taken by a second click inside.
        begin("1069");
        const auto* said = m_window->findChild<QLabel*>("said");
        emit tool().refused("no closed outline");
        QVERIFY(said->text().contains("no closed outline"));
        click(at(inside));
        QVERIFY(tool().ink().proposing());
        QVERIFY2(!said->text().contains("no closed outline"), "what was refused before still stands there");
        click(at(inside));
        QCOMPARE(outlines().size(), std::size_t(2));
        mustLieOnTheTruth(outlines()[1], truth);
    }

    void escapeDropsAProposalAndOpenPaperHasNone()
    {
        begin("1070");
        QString said;
        const auto told =
            connect(&tool(), &TraceTool::refused, this, [&](const QString& words) { said = words; });
        key(Qt::Key_0);
        const PxRect place = tool().ink().guide().ink()->map.place();
        click(at({place.column + place.width - 60.0, place.row + place.height - 60.0}));
        disconnect(told);
        QVERIFY2(said.contains("no closed outline"), qPrintable(said));
        QVERIFY(!tool().ink().proposing());
        key(Qt::Key_E);
        key(Qt::Key_Escape);
        QVERIFY(tool().armedFor().empty());
    }
    void onePencilLineBetweenTwoContextsBecomesOneEdgeAndTheHintSaysSo()
    {
        choose("P-06");
        waitForInk();
        const TrueOutline first = m_demo.outline("P-06", "1056"), second = m_demo.outline("P-06", "1057");
        // Places inside them, clear of lines.
        const ScanPx inFirst = m_demo.placeIn("P-06", "1056"), inSecond = m_demo.placeIn("P-06", "1057");
        lookAt(second);
        begin("1056");
        if (!tool().ink().encloses())
            key(Qt::Key_E);
        click(at(inFirst));
        QVERIFY(tool().ink().proposing() && tool().sharing().edges.empty());
        QVERIFY(!tool().hint().contains("shares"));
        key(Qt::Key_Return);
        QCOMPARE(outlines().size(), std::size_t(1));
        mustLieOnTheTruth(outlines()[0], first);
        const auto sharedNow = [&] {
            DrawnOutlines all;
            for (const Outline& outline : outlines())
                all.push_back({outline.id, outline.context, outline.parts});
            return sharedEdges(all).size();
        };
        begin("1057");
        click(at(inSecond));
        QVERIFY(tool().ink().proposing());
        QVERIFY2(tool().hint().contains("shares edges with 1056"), qPrintable(tool().hint()));
        const std::size_t shown = tool().sharing().edges.size();
        QVERIFY(shown >= 5);
        // As the pencil lies, on demand: two lines a hair apart.
        QTest::mouseClick(&board(), Qt::LeftButton, Qt::AltModifier, at(inSecond));
        QCOMPARE(outlines().size(), std::size_t(2));
        QVERIFY(sharedNow() < shown);
        QTest::keyClick(&board(), Qt::Key_Z, Qt::ControlModifier);
        begin("1057");
        click(at(inSecond));
        key(Qt::Key_Return);
        QCOMPARE(outlines().size(), std::size_t(2));
        QCOMPARE(sharedNow(), shown); // what the hint showed
        mustLieOnTheTruth(outlines()[1], second);
        key(Qt::Key_E);
    }
};

QTEST_MAIN(InkTracingTest)
#include "InkTracingTest.moc"
