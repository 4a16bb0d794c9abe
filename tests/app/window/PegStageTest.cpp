// SPDX-License-Identifier: GPL-3.0-or-later
// The peg stage in the real window: a sheet of sixteen crosses is pinned by at most six clicks and keys,
// wrong pins are named and put right, models chosen, and how sure it all is shown; by mouse and keys alone.
#include "app/window/MainWindow.h"

#include <memory>

#include <QApplication>
#include <QCheckBox>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QSignalSpy>
#include <QStandardPaths>
#include <QTableView>
#include <QTableWidget>
#include <QTest>

#include "app/window/PathField.h"
#include "app/window/PegPanels.h"
#include "app/window/PegPlan.h"
#include "tests/app/window/DemoWindow.h"

using namespace inkpeg;

class PegStageTest : public QObject {
    Q_OBJECT

    DemoFolder m_demo;
    std::unique_ptr<MainWindow> m_window;
    std::map<std::string, ScanPx> m_truth;
    int m_acts = 0; ///< clicks and keys since the scan was opened

    Board& board() { return m_window->board(); }
    Session& session() { return m_window->session(); }
    PegGuide& guide() { return m_window->pegGuide(); }
    const std::vector<Pin>& pins() { return session().scene().drawing->pins; }
    QPoint at(ScanPx position) { return board().widgetOfScan(position).toPoint(); }

    void click(QWidget* widget, QPoint place, Qt::KeyboardModifiers modifiers = {})
    {
        ++m_acts;
        QTest::mouseClick(widget, Qt::LeftButton, modifiers, place);
    }
    void key(QWidget* widget, Qt::Key key, Qt::KeyboardModifiers modifiers = {})
    {
        ++m_acts;
        QTest::keyClick(widget, key, modifiers);
    }
    QImage look() { return board().grab().toImage(); }
    /// For the docs, where INKPEG_SCREENSHOTS names a folder.
    void picture(const QString& name)
    {
        const QString folder = qEnvironmentVariable("INKPEG_SCREENSHOTS");
        if (folder.isEmpty())
            return;
        QTRY_VERIFY_WITH_TIMEOUT(!board().stillLoading(), 300000);
        QTest::qWait(300);
        QVERIFY(m_window->grab().save(folder + '/' + name + ".png"));
    }

private slots:
    void initTestCase()
    {
        QVERIFY(m_demo.make("P-05"));
        QVERIFY(QFile::remove(m_demo.registers() + "/pins.csv"));
        QFile drawings(m_demo.registers() + "/drawings.csv"); // drawn later over the same crosses
        QVERIFY(drawings.open(QIODevice::Append));
        drawings.write("P-15,plan,Posts after lifting,2,F-05,20,AB,2026-08-25,,,\n");
        drawings.close();
        for (const TruePin& pin : m_demo.pins("P-05"))
            m_truth[pin.peg.toStdString()] = pin.mark;
        QCOMPARE(m_truth.size(), std::size_t(16));
        m_window = shownWindow();
        QVERIFY(m_window);
        QVERIFY(takeDemoIn(*m_window, m_demo, "P-05", "MH"));
        session().chooseDrawing(session().project().byKey<Drawing>("P-05")->id);
        m_window->setStation(Station::Peg);
        QTRY_VERIFY_WITH_TIMEOUT(!board().stillLoading(), 300000);
        QVERIFY(pins().empty());
    }

    void sixteenCrossesArePinnedBySixClicksAndKeys()
    {
        m_acts = 0;
        QLineEdit* field = m_window->boardField().field();
        // A click some way beside a cross, all of the sheet in view; the small plan answers which peg it
        // is.
        click(&board(), at(m_truth.at("124/200")) + QPoint(1, -1));
        QTRY_VERIFY_WITH_TIMEOUT(field->isVisible() && guide().plan().isVisible(), 120000);
        picture("2-peg-plan");
        const std::optional<QPoint> peg = guide().plan().placeOf("124/200");
        QVERIFY(peg);
        click(&guide().plan(), *peg);
        QTRY_COMPARE(pins().size(), std::size_t(1));
        // The lines of that cross tell which peg the next one is.
        click(&board(), at(m_truth.at("126/200")) + QPoint(-1, 1));
        QTRY_VERIFY(field->isVisible() && field->hasFocus());
        QTRY_COMPARE_WITH_TIMEOUT(field->text(), QString("126/200"), 120000);
        key(field, Qt::Key_Return);
        QCOMPARE(pins().size(), std::size_t(2));
        // Two neighbours: the others are found by themselves.
        QTRY_VERIFY_WITH_TIMEOUT(!guide().proposals().empty(), 300000);
        QCOMPARE(guide().proposals().size(), std::size_t(14));
        picture("2-peg-found");
        key(&board(), Qt::Key_A, Qt::ShiftModifier);
        QCOMPARE(pins().size(), std::size_t(15));
        QCOMPARE(session().drawing()->stage, Stage::Pinned);
        // The sixteenth is doubtful: by its name it is 124/198, whose coordinates were written down
        // wrongly.
        QCOMPARE(guide().proposals().size(), std::size_t(1));
        QCOMPARE(guide().proposals().front().peg, std::string("124/198"));
        QVERIFY(guide().proposals().front().doubtful);
        key(&board(), Qt::Key_A);
        QCOMPARE(pins().size(), std::size_t(16));
        QVERIFY2(m_acts <= 6, qPrintable(QString::number(m_acts)));
        qInfo("%d clicks and keys for 16 pins", m_acts);
        for (const Pin& pin : pins()) {
            // 0.13 mm of film: the truth is where the cross was meant, a person drew it.
            QVERIFY2(distance(pin.mark, m_truth.at(pin.peg)) < 2.0, pin.peg.c_str());
            QVERIFY(pin.standardErrorPx && *pin.standardErrorPx < 0.5);
        }
    }

    void theCauseIsNamedAndItsRemedyIsOneKeyThatCanBeUndone()
    {
        QCOMPARE(pins().size(), std::size_t(16));
        QCOMPARE(session().drawing()->stage, Stage::Scanned); // one pin is 9 m off
        const DrawingDiagnosis* diagnosis = session().diagnosis();
        QVERIFY(diagnosis && diagnosis->alarm);
        QCOMPARE(diagnosis->hypotheses.front().kind, BlunderKind::TransposedDigits);
        QCOMPARE(m_window->pegCard().causes().list()->count(), int(diagnosis->hypotheses.size()));
        m_window->pegCard().showPage(2);
        picture("2-peg-causes");
        const GroundM wrong = session().project().byKey<Peg>("124/198")->position;
        board().setFocus();
        key(&board(), Qt::Key_R);
        QCOMPARE(session().drawing()->stage, Stage::Pinned);
        QVERIFY(session().project().byKey<Peg>("124/198")->position != wrong);
        QVERIFY(!session().diagnosis()->alarm);
        key(&board(), Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(session().project().byKey<Peg>("124/198")->position == wrong);
        // The same from the list of the card: Enter takes it.
        QListWidget* list = m_window->pegCard().causes().list();
        m_window->pegCard().showPage(2);
        list->setFocus();
        list->setCurrentRow(0);
        key(list, Qt::Key_Return);
        QCOMPARE(session().drawing()->stage, Stage::Pinned);
        // And by its button.
        key(&board(), Qt::Key_Z, Qt::ControlModifier);
        QCOMPARE(session().drawing()->stage, Stage::Scanned);
        click(m_window->pegCard().causes().take(), m_window->pegCard().causes().take()->rect().center());
        QCOMPARE(session().drawing()->stage, Stage::Pinned);
    }

    void theModelChosenAndItsReasonAreKept()
    {
        QCOMPARE(pins().size(), std::size_t(16));
        ModelPanel& models = m_window->pegCard().models();
        m_window->pegCard().showPage(1);
        QCOMPARE(models.table()->rowCount(), 6);
        QVERIFY2(models.advice()->text().contains("Advised"), qPrintable(models.advice()->text()));
        picture("2-peg-models");
        const Model advised = session().comparison()->recommended.value();
        const Model other = advised == Model::Polynomial2 ? Model::Projective : Model::Polynomial2;
        models.reason()->setFocus();
        QTest::keyClicks(models.reason(), "cockled at the left edge");
        models.table()->setFocus();
        models.table()->setCurrentCell(static_cast<int>(other), 0);
        key(models.table(), Qt::Key_Return);
        QCOMPARE(session().drawing()->model, other);
        QCOMPARE(session().drawing()->modelReason, std::string("cockled at the left edge"));
        QVERIFY(session().project().journal().back().why.find("cockled") != std::string::npos);
        board().setFocus();
        key(&board(), Qt::Key_M);
        QCOMPARE(session().drawing()->model, advised);
        QVERIFY(session().drawing()->modelReason.empty());
    }

    void aPinBecomesACheckPointAndIsLeftOutByKey()
    {
        QCOMPARE(pins().size(), std::size_t(16));
        m_window->pegCard().showPage(0);
        const std::int64_t pin = pins()[5].id;
        m_window->pegTool().selectPin(pin);
        QCOMPARE(m_window->pegCard().selectedPin(), pin);
        board().setFocus();
        key(&board(), Qt::Key_C);
        QCOMPARE(pins()[5].use, PinUse::Check);
        const QLabel* statement = nullptr;
        m_window->pegCard().showPage(3);
        for (const QLabel* label : m_window->pegCard().findChildren<QLabel*>())
            if (label->text().contains("1 check point"))
                statement = label;
        QVERIFY2(statement, "what check points say");
        QVERIFY2(statement->text().contains("Site grid in the CRS"), qPrintable(statement->text()));
        m_window->pegCard().showPage(0);
        key(&board(), Qt::Key_O);
        QCOMPARE(pins()[5].use, PinUse::LeftOut);
        key(&board(), Qt::Key_O);
        QCOMPARE(pins()[5].use, PinUse::Fit);
    }

    void theErrorEllipseAndSurfaceAreShownAndHidden()
    {
        QCOMPARE(pins().size(), std::size_t(16));
        board().setFocus();
        QTest::mouseMove(&board(), board().rect().center());
        QTRY_VERIFY(!board().stillLoading());
        const QImage with = look();
        picture("2-peg-ellipse");
        key(&board(), Qt::Key_E);
        QVERIFY(!m_window->pegTool().ellipseShown());
        const QImage without = look();
        QVERIFY(with != without);
        key(&board(), Qt::Key_E, Qt::ShiftModifier);
        QVERIFY(m_window->pegTool().surfaceShown());
        picture("2-peg-error");
        QVERIFY(look() != without);
        key(&board(), Qt::Key_E, Qt::ShiftModifier);
        QVERIFY(!m_window->pegTool().surfaceShown());
        key(&board(), Qt::Key_E);
    }

    void theNextPegIsGoneToAndAcceptedByKeysAlone()
    {
        QCOMPARE(pins().size(), std::size_t(16));
        m_window->pegTool().selectPin(pins()[7].id);
        const std::string peg = pins()[7].peg;
        key(&board(), Qt::Key_Delete);
        QCOMPARE(pins().size(), std::size_t(15));
        key(&board(), Qt::Key_N);
        QLineEdit* field = m_window->boardField().field();
        QTRY_VERIFY(field->isVisible() && field->hasFocus());
        // Other plans have pegs amid these: the key goes from one to the next.
        for (int i = 0; i < 40 && field->text().toStdString() != peg; ++i) {
            key(field, Qt::Key_Escape);
            key(&board(), Qt::Key_N);
            QTRY_VERIFY(field->isVisible());
        }
        QCOMPARE(field->text().toStdString(), peg);
        QTRY_VERIFY_WITH_TIMEOUT(field->accessibleName().contains("on the cross"), 120000);
        key(field, Qt::Key_Return);
        QCOMPARE(pins().size(), std::size_t(16));
        QCOMPARE(pins().back().placedBy, std::string("cross"));
        QVERIFY(distance(pins().back().mark, m_truth.at(peg)) < 2.0);
        QTest::keyClick(&board(), Qt::Key_0);
    }

    void theGridIsLookedForAgainByKeyAndDropped()
    {
        QCOMPARE(pins().size(), std::size_t(16));
        for (int i = 0; i < 3; ++i) {
            m_window->pegTool().selectPin(pins().back().id);
            QTest::keyClick(&board(), Qt::Key_Delete);
        }
        key(&board(), Qt::Key_L);
        QTRY_VERIFY_WITH_TIMEOUT(!guide().finding(), 300000);
        QCOMPARE(guide().proposals().size(), std::size_t(3));
        key(&board(), Qt::Key_Escape);
        QVERIFY(guide().proposals().empty());
        for (int i = 0; i < 3; ++i)
            QTest::keyClick(&board(), Qt::Key_Z, Qt::ControlModifier);
        QCOMPARE(pins().size(), std::size_t(16));
    }

    void aPartOfTheSheetIsDrawnAndTakenBack()
    {
        QTest::keyClick(&board(), Qt::Key_0);
        key(&board(), Qt::Key_P);
        QVERIFY(m_window->pegTool().framing());
        const QPoint from(60, 60), to(board().width() - 80, board().height() - 90);
        QTest::mousePress(&board(), Qt::LeftButton, {}, from);
        QTest::mouseMove(&board(), to);
        QTest::mouseRelease(&board(), Qt::LeftButton, {}, to);
        QVERIFY(!m_window->pegTool().framing());
        QCOMPARE(session().drawing()->frame.size(), std::size_t(4));
        key(&board(), Qt::Key_P, Qt::ShiftModifier);
        QVERIFY(session().drawing()->frame.empty());
    }

    void theStatedScaleIsEditedOnTheCard()
    {
        QCOMPARE(pins().size(), std::size_t(16));
        auto* scale = m_window->pegCard().findChild<QLineEdit*>("scale");
        scale->setFocus();
        scale->selectAll();
        QTest::keyClicks(scale, "10");
        key(scale, Qt::Key_Return);
        QCOMPARE(session().drawing()->scaleDenominator, 10.0);
        QCOMPARE(session().diagnosis()->hypotheses.front().kind, BlunderKind::WrongScale);
        board().setFocus();
        key(&board(), Qt::Key_R);
        QCOMPARE(session().drawing()->scaleDenominator, 20.0);
        // What is no scale is refused with words.
        QSignalSpy said(&session(), &Session::said);
        scale->setFocus();
        scale->selectAll();
        QTest::keyClicks(scale, "small");
        key(scale, Qt::Key_Return);
        QCOMPARE(session().drawing()->scaleDenominator, 20.0);
        QVERIFY(said.count() == 1 && said.front()[1].toBool());
        board().setFocus();
    }

    void anotherDrawingOfTheSheetTakesItsPinsByKey()
    {
        QCOMPARE(pins().size(), std::size_t(16));
        const std::vector<Pin> of5 = pins();
        session().chooseDrawing(session().project().byKey<Drawing>("P-15")->id);
        QTRY_VERIFY_WITH_TIMEOUT(!board().stillLoading(), 300000);
        QVERIFY(pins().empty());
        board().setFocus();
        key(&board(), Qt::Key_H);
        QCOMPARE(pins().size(), std::size_t(16));
        QCOMPARE(session().drawing()->stage, Stage::Pinned);
        for (std::size_t i = 0; i < pins().size(); ++i) {
            QCOMPARE(pins()[i].peg, of5[i].peg);
            QVERIFY(distance(pins()[i].mark, of5[i].mark) == 0);
            QCOMPARE(pins()[i].drawing, session().drawing()->id);
        }
        // Nothing more is to be had, which is said; undo takes all of it back, and only from this drawing.
        QSignalSpy said(&session(), &Session::said);
        key(&board(), Qt::Key_H);
        QVERIFY(said.count() == 1 && said.front()[1].toBool());
        key(&board(), Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(pins().empty());
        session().chooseDrawing(of5.front().drawing);
        QCOMPARE(pins().size(), std::size_t(16));
    }

    void everyActOfThePegStageHasAKeyAndATip()
    {
        for (const char* name : {"findGrid", "nextPeg", "acceptCross", "acceptCrosses", "dropCrosses",
                                 "checkPoint", "leaveOut", "takeRemedy", "adviseModel", "sharePins",
                                 "drawFrame", "wholeSheet", "errorEllipse", "errorSurface"}) {
            const QAction* act = m_window->act(name);
            QVERIFY2(act && act->isEnabled() && !act->shortcut().isEmpty() && !act->toolTip().isEmpty(),
                     name);
        }
    }
};

QTEST_MAIN(PegStageTest)
#include "PegStageTest.moc"
