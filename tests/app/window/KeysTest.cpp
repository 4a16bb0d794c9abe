// SPDX-License-Identifier: GPL-3.0-or-later
// The main job by keys alone. The pointer is used for one thing: to place the points of an outline. No
// widget is given the keys by the test; each is reached by a shortcut, a mnemonic or Tab.
#include <algorithm>
#include <cmath>
#include <memory>
#include <set>

#include <QApplication>
#include <QGroupBox>
#include <QLabel>
#include <QLineEdit>
#include <QListView>
#include <QMap>
#include <QMenu>
#include <QMenuBar>
#include <QPushButton>
#include <QSettings>
#include <QSignalSpy>
#include <QSlider>
#include <QStandardPaths>
#include <QTabBar>
#include <QTableView>
#include <QTemporaryDir>
#include <QTest>

#include "app/board/PaletteStyle.h"
#include "app/window/MainWindow.h"
#include "app/window/NewProjectDialog.h"
#include "app/window/PathField.h"
#include "app/window/PeopleDialog.h"
#include "app/window/ViewPanel.h"
#include "tests/app/window/DemoFolder.h"

using namespace inkpeg;

class KeysTest final : public QObject {
    Q_OBJECT

    DemoFolder m_demo;
    QTemporaryDir m_settings;
    std::unique_ptr<MainWindow> m_window;
    std::string m_person;

    Board& board() { return m_window->board(); }
    Session& session() { return m_window->session(); }
    const BoardDrawing& drawing() { return *session().scene().drawing; }

    /// To whoever has the keys, as the desktop would. On a busy machine work shows how far it is in a
    /// dialog, and the X server gives the keys back in its own time.
    static void press(Qt::Key key, Qt::KeyboardModifiers modifiers = {})
    {
        QTRY_VERIFY_WITH_TIMEOUT(QApplication::activeWindow(), 300000);
        QWidget* at =
            QApplication::focusWidget() ? QApplication::focusWidget() : QApplication::activeWindow();
        QVERIFY(at);
        QTest::keyClick(at, key, modifiers);
    }
    static void type(const QString& text)
    {
        QVERIFY(qobject_cast<QLineEdit*>(QApplication::focusWidget()));
        press(Qt::Key_A, Qt::ControlModifier);
        QTest::keyClicks(QApplication::focusWidget(), text);
    }
    static bool tabTo(const QString& name)
    {
        for (int i = 0; i < 40; ++i) {
            if (QApplication::focusWidget() && QApplication::focusWidget()->objectName() == name)
                return true;
            press(Qt::Key_Tab);
        }
        return false;
    }

    /// A project with several people asks who is at the keyboard: Enter takes the last one.
    void sayWhoIsHere()
    {
        auto* dialog = m_window->findChild<WhoDialog*>();
        QVERIFY(dialog);
        QTRY_COMPARE(QApplication::activeWindow(), dialog);
        press(Qt::Key_Return);
        QTRY_VERIFY(!m_window->findChild<WhoDialog*>());
        QTRY_COMPARE(QApplication::activeWindow(), m_window.get());
        QCOMPARE(session().project().person(), m_person);
        QVERIFY(!m_person.empty());
    }

    void pointTo(QPoint place)
    {
        QSignalSpy moved(&board(), &Board::pointerMoved);
        QTest::mouseMove(&board(), place);
        // The X server tells of it in its own time.
        QTRY_VERIFY(!moved.isEmpty() && moved.last()[1].toPointF().toPoint() == place);
    }

private slots:
    void initTestCase()
    {
        QStandardPaths::setTestModeEnabled(true);
        QApplication::setOrganizationName("Inkpeg");
        QApplication::setApplicationName("KeysTest");
        QSettings::setPath(QSettings::NativeFormat, QSettings::UserScope, m_settings.path());
        QApplication::setStyle(new PaletteStyle);
        QVERIFY(m_demo.make("P-01"));
        m_window = std::make_unique<MainWindow>();
        m_window->applyTheme();
        m_window->show();
        m_window->activateWindow();
        QVERIFY(QTest::qWaitForWindowActive(m_window.get()));
    }
    void aProjectIsBegun()
    {
        press(Qt::Key_N, Qt::ControlModifier);
        auto* dialog = m_window->findChild<NewProjectDialog*>();
        QVERIFY(dialog);
        QTRY_COMPARE(QApplication::activeWindow(), dialog);
        for (const auto& [name, text] :
             {std::pair{"projectFile", m_demo.path("demo/skelder-rigg.gpkg")},
              std::pair{"siteCode", QString("SKR26")}, std::pair{"title", QString("Skelder Rigg")},
              std::pair{"initials", QString("MH")}}) {
            QVERIFY2(tabTo(name), name);
            type(text);
        }
        press(Qt::Key_Return);
        QTRY_VERIFY(session().isOpen());
        QTRY_COMPARE(QApplication::activeWindow(), m_window.get());
    }
    void registersAreTaken()
    {
        press(Qt::Key_1, Qt::AltModifier);
        QCOMPARE(QApplication::focusWidget()->objectName(), QString("registerFiles"));
        type(m_demo.registers());
        press(Qt::Key_Return);
        press(Qt::Key_L, Qt::AltModifier); // the good lines although others are refused
        QTRY_VERIFY(QApplication::focusWidget() && QApplication::focusWidget()->objectName() == "chief");
        press(Qt::Key_Space);
        QTRY_COMPARE(session().project().all<Drawing>().size(), std::size_t(14));
    }
    void theDrawingIsChosen()
    {
        press(Qt::Key_F, Qt::ControlModifier);
        type("P-0");
        press(Qt::Key_Down);
        const std::string first = drawing().record.number;
        press(Qt::Key_Down);
        QVERIFY(drawing().record.number != first);
        press(Qt::Key_Up);
        QCOMPARE(drawing().record.number, first);
        press(Qt::Key_A, Qt::ControlModifier);
        type("P-01");
        press(Qt::Key_Return);
        QCOMPARE(drawing().record.number, std::string("P-01"));
        QVERIFY(qobject_cast<QListView*>(QApplication::focusWidget()));
        press(Qt::Key_F, Qt::ControlModifier);
        press(Qt::Key_Escape); // all drawings again, the same one chosen
        QCOMPARE(drawing().record.number, std::string("P-01"));
        auto* list = qobject_cast<QListView*>(QApplication::focusWidget());
        QVERIFY(list && list->model()->rowCount() > 14);
        QVERIFY(drawing().pins.size() >= 6); // from the register of pins
    }
    void pinsAreJudgedChangedAndRemovedInTheTable()
    {
        press(Qt::Key_2, Qt::AltModifier);
        QTRY_VERIFY(board().hasFocus());
        press(Qt::Key_F6, Qt::ShiftModifier);
        QCOMPARE(QApplication::focusWidget(), m_window->pegCard().table());
        press(Qt::Key_Tab); // the table does not keep the keys for ever
        QVERIFY(QApplication::focusWidget() != m_window->pegCard().table());
        press(Qt::Key_Backtab, Qt::ShiftModifier);
        QCOMPARE(QApplication::focusWidget(), m_window->pegCard().table());
        const std::vector<Pin> before = drawing().pins;
        press(Qt::Key_Right);
        press(Qt::Key_F2);
        press(Qt::Key_Down);
        press(Qt::Key_Return);
        QTRY_COMPARE(drawing().pins.front().use, PinUse::Check);
        press(Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(drawing().pins == before);
        press(Qt::Key_F6); // whatever editor there was is closed with its row
        press(Qt::Key_F6, Qt::ShiftModifier);
        press(Qt::Key_Down);
        press(Qt::Key_C); // as on the board
        QCOMPARE(std::ranges::count(drawing().pins, PinUse::Check, &Pin::use),
                 std::ranges::count(before, PinUse::Check, &Pin::use) + 1);
        press(Qt::Key_O);
        QVERIFY(std::ranges::count(drawing().pins, PinUse::LeftOut, &Pin::use) >
                std::ranges::count(before, PinUse::LeftOut, &Pin::use));
        press(Qt::Key_Z, Qt::ControlModifier);
        press(Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(drawing().pins == before);
        press(Qt::Key_F6);
        press(Qt::Key_F6, Qt::ShiftModifier);
        press(Qt::Key_Down);
        press(Qt::Key_Delete);
        QCOMPARE(drawing().pins.size(), before.size() - 1);
        press(Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(drawing().pins == before);
    }
    void theViewIsChangedWithoutAnAct()
    {
        press(Qt::Key_F6, Qt::ShiftModifier);
        const QImage without = board().grab().toImage();
        press(Qt::Key_F6);
        QVERIFY(board().hasFocus());
        QVERIFY(board().grab().toImage().pixel(1, 1) != without.pixel(1, 1)); // where one is is seen
        const auto act = session().project().canUndo();
        press(Qt::Key_V);
        QCOMPARE(QApplication::focusWidget(), m_window->viewPanel().inkStrength());
        for (int i = 0; i < 4; ++i)
            press(Qt::Key_Right);
        QCOMPARE(board().scene().drawing->view.tone.inkStrength, 0.2);
        press(Qt::Key_Escape);
        QVERIFY(board().hasFocus() && !m_window->viewPanel().isVisible());
        press(Qt::Key_PageUp);
        QVERIFY(std::abs(board().scene().drawing->view.tone.inkStrength - 0.3) < 1e-9);
        press(Qt::Key_PageUp, Qt::ControlModifier);
        press(Qt::Key_PageUp, Qt::ShiftModifier);
        press(Qt::Key_Right, Qt::ControlModifier);
        press(Qt::Key_M, Qt::ControlModifier);
        const ViewSettings view = board().scene().drawing->view;
        QVERIFY(view.tone.brightness > 0 && view.tone.contrast > 0 && view.mirrored &&
                view.turnDegrees == 90);
        QCOMPARE(session().project().canUndo(), act);
        // Another drawing is seen as scanned; this one as it was left.
        press(Qt::Key_F, Qt::ControlModifier);
        type("P-0");
        press(Qt::Key_Down, Qt::ControlModifier);
        QVERIFY(drawing().record.number != "P-01");
        QVERIFY(board().scene().drawing->view.asScanned());
        press(Qt::Key_Up, Qt::ControlModifier);
        QCOMPARE(drawing().record.number, std::string("P-01"));
        QVERIFY(board().scene().drawing->view == view);
        press(Qt::Key_F6);
        press(Qt::Key_0, Qt::ControlModifier);
        QVERIFY(board().scene().drawing->view.asScanned());
    }
    void anOutlineIsTracedWithItsKindsAndClosed()
    {
        press(Qt::Key_3, Qt::AltModifier);
        QTRY_VERIFY(board().hasFocus());
        press(Qt::Key_N);
        QTRY_COMPARE(QApplication::focusWidget(), m_window->boardField().field());
        type("1004");
        press(Qt::Key_Return);
        QVERIFY(board().hasFocus());
        const QPoint middle = board().rect().center();
        const QPoint corners[] = {middle, middle + QPoint(120, 0), middle + QPoint(120, 90),
                                  middle + QPoint(0, 90)};
        const Qt::Key kinds[] = {Qt::Key_1, Qt::Key_2, Qt::Key_3, Qt::Key_K};
        for (int i = 0; i < 4; ++i) {
            QTest::mouseClick(&board(), Qt::LeftButton, Qt::AltModifier, corners[i]);
            press(kinds[i]);
        }
        press(Qt::Key_Backspace);
        QTest::mouseClick(&board(), Qt::LeftButton, Qt::AltModifier, corners[3]);
        press(Qt::Key_C);
        QCOMPARE(drawing().outlines.size(), std::size_t(1));
        const Ring& ring = drawing().outlines[0].parts[0].outer;
        QCOMPARE(ring.vertices.size(), std::size_t(4));
        QVERIFY(ring.kinds[0] == EdgeKind::Certain || ring.kinds[0] == EdgeKind::Uncertain);
        QVERIFY(std::set<EdgeKind>(ring.kinds.begin(), ring.kinds.end()).size() >= 3);
    }
    void aVertexIsPutInAndTheOutlineRemovedAndBroughtBack()
    {
        const OutlineSet traced = drawing().outlines;
        QCOMPARE(traced.size(), std::size_t(1));
        pointTo(board().rect().center() + QPoint(60, 1));
        // Without a window manager the pointer's coming may have given the keys to another part.
        press(Qt::Key_F6);
        QTRY_VERIFY(board().hasFocus());
        press(Qt::Key_I);
        QCOMPARE(drawing().outlines[0].parts[0].outer.vertices.size(), std::size_t(5));
        press(Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(drawing().outlines == traced);
        pointTo({5, 5});
        press(Qt::Key_F6, Qt::ShiftModifier);
        auto* list = qobject_cast<QListView*>(QApplication::focusWidget());
        QVERIFY(list && list->model()->rowCount() == 1);
        QCOMPARE(m_window->traceTool().selectedOutline(), qint64(traced[0].id));
        press(Qt::Key_F6);
        press(Qt::Key_X);
        QVERIFY(drawing().outlines.empty());
        press(Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(drawing().outlines == traced);
        press(Qt::Key_T, Qt::ControlModifier);
        QCOMPARE(drawing().record.stage, Stage::Traced);
    }
    void theTallyLeadsToItsPlaces()
    {
        press(Qt::Key_4, Qt::AltModifier);
        QTRY_VERIFY_WITH_TIMEOUT(!m_window->tally().running() && !m_window->tally().tally().open.empty(),
                                 30000);
        QTest::qWait(500); // another round may have been waiting
        QTRY_VERIFY_WITH_TIMEOUT(!m_window->tally().running(), 300000);
        press(Qt::Key_L, Qt::ControlModifier);
        QVERIFY(!m_window->tally().unfolded() && board().hasFocus());
        press(Qt::Key_L, Qt::ControlModifier);
        QVERIFY(m_window->tally().unfolded() &&
                m_window->tally().isAncestorOf(QApplication::focusWidget()));
        QSignalSpy led(&m_window->tally(), &TallyPanel::chosen);
        press(Qt::Key_Down);
        press(Qt::Key_Return);
        QCOMPARE(led.size(), 1);
    }
    void allIsHandedOver()
    {
        press(Qt::Key_5, Qt::AltModifier);
        QVERIFY(m_window->handOverPage().isVisible());
        QCOMPARE(QApplication::focusWidget()->objectName(), QString("handOverFolder"));
        type(m_demo.path("handed-over"));
        press(Qt::Key_Return);
        press(Qt::Key_Space);
        QTRY_VERIFY_WITH_TIMEOUT(!m_window->handOverPage().running(), 300000);
        QVERIFY(QFile::exists(m_demo.path("handed-over/geodata.gpkg")));
    }
    void theProjectIsLeftAndOpenedAgainFromTheStartPage()
    {
        m_person = session().project().person();
        press(Qt::Key_O, Qt::ControlModifier);
        QVERIFY(!session().isOpen());
        type(m_demo.path("demo/nowhere.gpkg"));
        press(Qt::Key_Return);
        QVERIFY(!session().isOpen());
        type(m_demo.path("demo/skelder-rigg.gpkg"));
        press(Qt::Key_Return);
        QVERIFY(session().isOpen());
        sayWhoIsHere();
        QCOMPARE(session().project().all<Outline>().size(), std::size_t(1));
        // And once more from the list of the last projects.
        press(Qt::Key_O, Qt::ControlModifier);
        QTest::qWait(0); // the list is laid out by the event loop
        bool reached = false;
        for (int i = 0; i < 20 && !reached; ++i) {
            press(Qt::Key_Tab);
            auto* button = qobject_cast<QPushButton*>(QApplication::focusWidget());
            reached = button && button->text().startsWith("skelder-rigg");
        }
        QVERIFY(reached);
        press(Qt::Key_Space);
        QVERIFY(session().isOpen());
        sayWhoIsHere();
    }
    void everyActHasAKeyATipAndAMenuEntry()
    {
        for (const QAction* action : m_window->findChildren<QAction*>()) {
            if (action->objectName().isEmpty() || action->objectName().startsWith("_q_"))
                continue;
            QVERIFY2(!action->shortcut().isEmpty(), qPrintable(action->objectName()));
            QVERIFY2(!action->toolTip().isEmpty(), qPrintable(action->objectName()));
        }
        // No key means two things in the same place: else neither would happen. Each stage is one place;
        // what only the state of the project forbids for now counts as if it were allowed.
        const QList<QAction*> acts = m_window->findChildren<QAction*>();
        for (int station = 0; station < 5; ++station) {
            m_window->setStation(static_cast<Station>(station));
            QList<QAction*> here;
            for (QAction* act : acts)
                if (!act->objectName().isEmpty() &&
                    (act->isEnabled() || act->objectName() == "undo" || act->objectName() == "redo"))
                    here << act;
            QVERIFY(here.size() > 20);
            for (const QAction* one : here)
                for (const QAction* other : here)
                    if (one < other)
                        for (const QKeySequence& key : one->shortcuts())
                            QVERIFY2(!other->shortcuts().contains(key),
                                     qPrintable(one->objectName() + " and " + other->objectName()));
        }
    }
    /// Alt with a letter means one thing among all that is seen, the titles of the menus included.
    void noLetterIsGivenTwice()
    {
        for (int station = 0; station < 5; ++station) {
            m_window->setStation(static_cast<Station>(station));
            QTest::qWait(0);
            QMap<QString, QString> given;
            const auto give = [&](const QString& text) {
                const QKeySequence letter = QKeySequence::mnemonic(text);
                if (letter.isEmpty())
                    return;
                QString& owner = given[letter.toString()];
                QVERIFY2(owner.isEmpty(), qPrintable(owner + " and " + text));
                owner = text;
            };
            for (const QAction* menu : m_window->menuBar()->actions())
                give(menu->text());
            for (const auto* button : m_window->findChildren<QAbstractButton*>())
                if (button->isVisible() && button->window() == m_window.get())
                    give(button->text());
            for (const auto* label : m_window->findChildren<QLabel*>())
                if (label->isVisible() && label->window() == m_window.get() && label->buddy())
                    give(label->text());
            for (const auto* group : m_window->findChildren<QGroupBox*>())
                if (group->isVisible() && group->window() == m_window.get())
                    give(group->title());
            for (const auto* tabs : m_window->findChildren<QTabBar*>())
                for (int i = 0; tabs->isVisible() && i < tabs->count(); ++i)
                    give(tabs->tabText(i));
        }
    }
    void theMenusAreReachedByAKey()
    {
        press(Qt::Key_F10);
        QTRY_VERIFY(QApplication::activePopupWidget());
        auto* menu = qobject_cast<QMenu*>(QApplication::activePopupWidget());
        QVERIFY(menu && menu->menuAction() == m_window->menuBar()->actions().first());
        QTest::keyClick(menu, Qt::Key_Right);
        QTRY_COMPARE(QApplication::activePopupWidget(),
                     static_cast<QWidget*>(m_window->menuBar()->actions().at(1)->menu()));
        QTest::keyClick(QApplication::activePopupWidget(), Qt::Key_Escape);
        QTRY_VERIFY(!QApplication::activePopupWidget());
    }
};

QTEST_MAIN(KeysTest)
#include "KeysTest.moc"
