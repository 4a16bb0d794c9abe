// SPDX-License-Identifier: GPL-3.0-or-later
// The stage Check in the real window, by mouse and keys: who is at the keyboard, checking, signing, seals,
// setting aside, the diagram, finds against outlines, records, journal, close-of-day sheet; and registers
// whose columns have other names.
#include <memory>

#include <QApplication>
#include <QComboBox>
#include <QInputDialog>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QSettings>
#include <QStandardPaths>
#include <QTableView>
#include <QTableWidget>
#include <QTemporaryDir>
#include <QTest>
#include <QTreeWidget>
#include <QTreeWidgetItemIterator>

#include "app/board/Palette.h"
#include "app/board/PaletteStyle.h"
#include "app/window/CloseOfDayDialog.h"
#include "app/window/JournalPage.h"
#include "app/window/LinksPage.h"
#include "app/window/MainWindow.h"
#include "app/window/MappingDialog.h"
#include "app/window/PathField.h"
#include "app/window/PeopleDialog.h"
#include "app/window/RecordsPage.h"
#include "app/window/SequencePage.h"
#include "app/window/SignOffCard.h"
#include "app/window/TextTableModel.h"
#include "core/store/SignOffs.h"
#include "tests/app/window/SealQuestion.h"
#include "tests/core/store/SoundProject.h"

using namespace inkpeg;

class CheckStageTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::unique_ptr<MainWindow> m_window;

    Session& session() { return m_window->session(); }
    QString path(const QString& name) const { return m_folder.filePath(name); }
    QTreeWidget* list() { return m_window->signOffCard().list(); }
    Stage stageOf(const char* drawing) { return session().project().byKey<Drawing>(drawing)->stage; }

    void activate()
    {
        // Without a window manager nobody hands the focus back when a dialog closes.
        m_window->activateWindow();
        QVERIFY(QTest::qWaitForWindowActive(m_window.get()));
    }
    /// With INKPEG_SCREENSHOTS=FOLDER a picture is saved.
    void look(QWidget* widget, const char* name)
    {
        const QString folder = qEnvironmentVariable("INKPEG_SCREENSHOTS");
        if (folder.isEmpty())
            return;
        QTest::qWait(200);
        QVERIFY(widget->grab().save(folder + '/' + name +
                                    qEnvironmentVariable("INKPEG_SCREENSHOTS_SUFFIX") + ".png"));
    }
    void write(QWidget* field, const QString& text)
    {
        field->setFocus();
        QTest::keyClick(field, Qt::Key_A, Qt::ControlModifier);
        QTest::keyClicks(field, text);
    }
    void key(int key, Qt::KeyboardModifiers modifiers = {})
    {
        activate();
        QTest::keyClick(m_window.get(), static_cast<Qt::Key>(key), modifiers);
    }
    void chooseLine(const QString& subject)
    {
        list()->clearSelection();
        for (int row = 0; row < list()->topLevelItemCount(); ++row)
            if (list()->topLevelItem(row)->text(0) == subject) {
                const QRect rect = list()->visualItemRect(list()->topLevelItem(row));
                QTest::mouseClick(list()->viewport(), Qt::LeftButton, {}, rect.center());
                return;
            }
        QFAIL(qPrintable("no line " + subject));
    }
    QString signedText(const QString& subject)
    {
        for (int row = 0; row < list()->topLevelItemCount(); ++row)
            if (list()->topLevelItem(row)->text(0) == subject)
                return list()->topLevelItem(row)->text(2);
        return {};
    }
    bool moveAPin()
    {
        const Pin pin = session().project().ofDrawing<Pin>(session().drawing()->id).front();
        return session().movePin(pin.id, {pin.mark.column + 0.25, pin.mark.row});
    }

private slots:
    void initTestCase()
    {
        QStandardPaths::setTestModeEnabled(true);
        QSettings().remove("lastPerson");
        QApplication::setStyle(new PaletteStyle);
        if (qEnvironmentVariable("INKPEG_SCREENSHOTS_THEME") == "dark")
            setTheme(Theme::Dark);
        SoundSite site;
        site.records.finds.push_back(site.records.finds[0]);
        site.records.finds[1].number = "2";
        site.records.finds[1].position = GroundM{105.5, 52}; // in 1003 alone
        site.records.finds[1].levelM.reset();
        soundProject(path("site.gpkg").toStdString(), site.records);
        m_window = std::make_unique<MainWindow>();
        m_window->applyTheme();
        m_window->show();
        activate();
    }

    void whoIsAtTheKeyboardIsAskedAtTheStart()
    {
        m_window->openProject(path("site.gpkg"));
        auto* dialog = m_window->findChild<WhoDialog*>();
        QVERIFY(dialog && dialog->isVisible());
        QTRY_COMPARE(QApplication::activeWindow(), dialog); // else C is the act of the window behind
        look(dialog, "check-who");
        QCOMPARE(dialog->list()->count(), 2);
        QTest::keyClick(dialog->list(), Qt::Key_C); // CD
        QTest::keyClick(dialog->list(), Qt::Key_Return);
        QCOMPARE(session().project().person(), std::string("CD"));
        QTRY_VERIFY(!m_window->findChild<WhoDialog*>());
        activate();
    }

    void peopleAreAddedChangedAndRemovedAsActs()
    {
        key(Qt::Key_P, Qt::ControlModifier | Qt::AltModifier);
        auto* dialog = m_window->findChild<PeopleDialog*>();
        look(dialog, "check-people");
        QVERIFY(dialog && dialog->isVisible());
        const QList<QLineEdit*> fields =
            dialog->findChildren<QLineEdit*>(QString(), Qt::FindDirectChildrenOnly);
        QCOMPARE(fields.size(), 3);
        QTest::keyClicks(fields[0], "EF");
        QTest::keyClicks(fields[1], "E. Frost");
        QTest::mouseClick(dialog->findChildren<QPushButton*>(QString(), Qt::FindDirectChildrenOnly)[0],
                          Qt::LeftButton);
        QCOMPARE(session().project().all<Person>().size(), std::size_t(3));
        QCOMPARE(session().project().person(), std::string("CD")); // adding somebody is not becoming them
        dialog->table()->item(2, 1)->setText("Ellen Frost");
        QTRY_COMPARE(session().project().byKey<Person>("EF")->name, std::string("Ellen Frost"));
        dialog->table()->setCurrentCell(2, 0);
        QTest::mouseClick(dialog->findChildren<QPushButton*>(QString(), Qt::FindDirectChildrenOnly)[1],
                          Qt::LeftButton);
        QCOMPARE(session().project().all<Person>().size(), std::size_t(2));
        dialog->reject();
        QVERIFY(session().undo());
        QCOMPARE(session().project().byKey<Person>("EF")->name, std::string("Ellen Frost"));
        QVERIFY(session().undo() && session().undo());
        QCOMPARE(session().project().all<Person>().size(), std::size_t(2));
        activate();
    }

    void aDrawingIsCheckedAndSignedOff()
    {
        key(Qt::Key_4, Qt::AltModifier);
        QCOMPARE(m_window->rail().station(), Station::Check);
        QVERIFY(m_window->signOffCard().isVisible());
        session().chooseDrawing(session().project().byKey<Drawing>("S-1")->id);
        chooseLine("drawing S-1");
        write(m_window->signOffCard().reason(), "held against the film");
        key(Qt::Key_K, Qt::ControlModifier);
        QTRY_COMPARE(stageOf("S-1"), Stage::Checked);
        key(Qt::Key_K, Qt::ControlModifier | Qt::ShiftModifier);
        QTRY_COMPARE(stageOf("S-1"), Stage::SignedOff);
        QVERIFY(isSealed(session().project(), "drawing", "S-1"));
        QVERIFY2(signedText("drawing S-1").contains("sealed, CD"), qPrintable(signedText("drawing S-1")));
        QCOMPARE(signOffsOf(session().project(), {"drawing", "S-1"})[0].reason,
                 std::string("held against the film"));
    }

    void whoDrewItMayNotCheckIt()
    {
        session().setPerson("AB");
        session().chooseDrawing(session().project().byKey<Drawing>("P-1")->id);
        chooseLine("context 1001");
        QString said;
        const auto heard =
            connect(&session(), &Session::said, this,
                    [&](const QString& words, bool trouble) { said = trouble ? words : said; });
        key(Qt::Key_K, Qt::ControlModifier);
        QTRY_VERIFY2(said.contains("somebody else has to check it"), qPrintable(said));
        disconnect(heard);
        session().setPerson("CD");
        chooseLine("context 1001");
        key(Qt::Key_K, Qt::ControlModifier);
        QTRY_COMPARE(session().project().byKey<Context>("1001")->stage, Stage::Checked);
    }

    void changingWhatIsSealedAsksForAReasonAndCanBeLeft()
    {
        session().chooseDrawing(session().project().byKey<Drawing>("S-1")->id);
        bool asked = false;
        answerSealQuestion(m_window.get(), {}, asked);
        QVERIFY(!moveAPin());
        QVERIFY(asked);
        QVERIFY(isSealed(session().project(), "drawing", "S-1"));

        asked = false;
        answerSealQuestion(m_window.get(), "the nail was misread", asked);
        QVERIFY(moveAPin());
        QVERIFY(asked);
        QVERIFY(!isSealed(session().project(), "drawing", "S-1"));
        QCOMPARE(stageOf("S-1"), Stage::Traced);
        QCOMPARE(session().project().journal().back().why, std::string("the nail was misread"));
        QVERIFY2(signedText("drawing S-1").contains("seal broken"), qPrintable(signedText("drawing S-1")));

        activate();
        key(Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(isSealed(session().project(), "drawing", "S-1"));
        QCOMPARE(stageOf("S-1"), Stage::SignedOff);
    }

    void aSignOffIsTakenBackWithAReason()
    {
        activate();
        chooseLine("drawing S-1");
        m_window->signOffCard().reason()->clear();
        key(Qt::Key_K, Qt::ControlModifier | Qt::AltModifier);
        QCOMPARE(stageOf("S-1"), Stage::SignedOff); // no reason, nothing done
        write(m_window->signOffCard().reason(), "the wrong film");
        key(Qt::Key_K, Qt::ControlModifier | Qt::AltModifier);
        QCOMPARE(stageOf("S-1"), Stage::Traced);
    }

    void theDiagramIsWalkedThroughAndLeadsToTheBoard()
    {
        key(Qt::Key_F7);
        SequencePage& page = m_window->sequencePage();
        QVERIFY(page.isVisible());
        QTRY_VERIFY(!page.running());
        SequenceView* view = page.view();
        QCOMPARE(view->diagram().units.size(), std::size_t(3));
        QTRY_VERIFY(view->hasFocus());
        // 1002 fills 1001 cuts 1003
        const auto labelOfChosen = [&] { return view->diagram().units[*view->chosen()].label; };
        QTest::mouseClick(view->viewport(), Qt::LeftButton, {},
                          view->toViewport(view->diagram().units[0].middle()).toPoint());
        QCOMPARE(labelOfChosen(), std::string("[1001]"));
        QTest::keyClick(view, Qt::Key_Up);
        QCOMPARE(labelOfChosen(), std::string("(1002)"));
        QTest::keyClick(view, Qt::Key_Down);
        QTest::keyClick(view, Qt::Key_Down);
        QCOMPARE(labelOfChosen(), std::string("(1003)"));
        for (const char* name : {"sequence.pdf", "sequence.svg"}) {
            QVERIFY(page.exportTo(path(name)));
            QVERIFY(QFileInfo(path(name)).size() > 1000);
        }
        QVERIFY(!page.exportTo(path("sequence.xyz")));
        QTest::keyClick(view, Qt::Key_Return);
        QVERIFY(!page.isVisible());
        QVERIFY(m_window->board().isVisible());
        QCOMPARE(session().drawing()->number, std::string("P-1"));
        QCOMPARE(list()->selectedItems().value(0)->text(0), QString("context 1003"));
    }

    void theMisplacedFindIsPutRightFromItsPlace()
    {
        activate();
        key(Qt::Key_F8);
        LinksPage& page = m_window->linksPage();
        QVERIFY(page.isVisible());
        QTRY_VERIFY_WITH_TIMEOUT(!page.running(), 300000);
        QCOMPARE(page.table()->model()->rowCount(), 4); // two finds, a sample, a timber
        QTest::keyClicks(page.filter(), "disagree");
        QCOMPARE(page.table()->model()->rowCount(), 1);
        QVERIFY(!page.takeButton()->isEnabled());
        page.table()->selectRow(0);
        QCOMPARE(page.chosenProposals().size(), std::size_t(1));
        look(m_window.get(), "check-corrections");
        QTest::mouseClick(page.takeButton(), Qt::LeftButton);
        auto* dialog = page.findChild<QInputDialog*>();
        QVERIFY(dialog && dialog->isVisible());
        QTest::keyClicks(dialog->findChild<QLineEdit*>(), "slip on the bag");
        QTest::keyClick(dialog->findChild<QLineEdit*>(), Qt::Key_Return);
        QTRY_COMPARE(session().project().byKey<Find>("2")->context, std::string("1003"));
        QTRY_VERIFY_WITH_TIMEOUT(!page.running(), 300000);
        QCOMPARE(page.table()->model()->rowCount(), 0);
        QVERIFY(session().undo());
        QCOMPARE(session().project().byKey<Find>("2")->context, std::string("1002"));
        QTRY_VERIFY_WITH_TIMEOUT(!page.running(), 300000);
        emit page.table()->activated(page.table()->model()->index(0, 0));
        QVERIFY(m_window->board().isVisible());
    }

    void aMatterOfTheTallyIsSetAside()
    {
        activate();
        QTRY_VERIFY_WITH_TIMEOUT(!m_window->tally().running() && m_window->tally().tally().count.must == 1,
                                 20000);
        auto* tree = m_window->tally().findChild<QTreeWidget*>();
        QTreeWidgetItem* line = nullptr;
        for (QTreeWidgetItemIterator at(tree); *at; ++at)
            if ((*at)->text(1) == "find 2")
                line = *at;
        QVERIFY(line);
        tree->setCurrentItem(line);
        key(Qt::Key_A, Qt::ControlModifier | Qt::ShiftModifier);
        auto* dialog = m_window->tally().findChild<QInputDialog*>();
        look(dialog, "check-waive");
        QVERIFY(dialog && dialog->isVisible());
        QTest::keyClicks(dialog->findChild<QLineEdit*>(), "a mole carried it");
        QTest::keyClick(dialog->findChild<QLineEdit*>(), Qt::Key_Return);
        QTRY_COMPARE(session().project().all<Waiver>().size(), std::size_t(1));
        QCOMPARE(session().project().all<Waiver>()[0].person, std::string("CD"));
        QTRY_VERIFY_WITH_TIMEOUT(m_window->tally().tally().count.must == 0, 300000);
    }

    void recordsAreFoundAsOneTypes()
    {
        activate();
        key(Qt::Key_F, Qt::ControlModifier | Qt::ShiftModifier);
        RecordsPage& page = m_window->recordsPage();
        QVERIFY(page.isVisible());
        QTRY_VERIFY(!page.running());
        QCOMPARE(page.table()->model()->rowCount(), 3);
        QTRY_VERIFY(page.filter()->hasFocus());
        QTest::keyClicks(page.filter(), "kind:cut");
        QCOMPARE(page.table()->model()->rowCount(), 1);
        QVERIFY(page.exportTo(path("contexts-out.csv")));
        QVERIFY(QFileInfo(path("contexts-out.csv")).size() > 100);
        emit page.table()->activated(page.table()->model()->index(0, 0));
        QVERIFY(m_window->board().isVisible());
        QCOMPARE(list()->selectedItems().value(0)->text(0), QString("context 1001"));
    }

    void theJournalTellsWhoWhatAndWhy()
    {
        activate();
        key(Qt::Key_F9);
        JournalPage& page = m_window->journalPage();
        QVERIFY(page.isVisible());
        const QAbstractItemModel* model = page.table()->model();
        QVERIFY(model->rowCount() > 8);
        QVERIFY2(model->index(0, 2).data().toString().startsWith("set aside"),
                 qPrintable(model->index(0, 2).data().toString())); // the latest first
        QTest::keyClicks(page.filter(), "who:cd mole");
        QCOMPARE(model->rowCount(), 1);
        QCOMPARE(model->index(0, 3).data().toString(), QString("a mole carried it"));
    }

    void theCloseOfDaySheetIsWritten()
    {
        activate();
        key(Qt::Key_P, Qt::ControlModifier);
        auto* dialog = m_window->findChild<CloseOfDayDialog*>();
        look(dialog, "check-close-of-day");
        QVERIFY(dialog && dialog->isVisible());
        write(dialog->file()->field(), path("today.pdf"));
        QTest::mouseClick(dialog->findChild<QPushButton*>("chief"), Qt::LeftButton);
        QTRY_VERIFY(QFileInfo(path("today.pdf")).size() > 1000);
        QTRY_VERIFY(!m_window->findChild<CloseOfDayDialog*>());
    }

    /// A site's own file: semicolons, Windows-1252, other names, another file name.
    void columnsOfASitesFileAreMatchedOnceAndRemembered()
    {
        const auto writeCsv = [&](const QString& name, const QByteArray& lines) {
            QFile file(path(name));
            QVERIFY(file.open(QIODevice::WriteOnly));
            file.write("Foto Nr;Zeigt;Datum;Film\r\n" + lines);
        };
        writeCsv("bilder.csv", "17;S\xFC"
                               "dprofil;2026-05-12;III\r\n18;Planum;2026-05-13;III\r\n");
        activate();
        key(Qt::Key_1, Qt::AltModifier);
        RegisterPage& page = m_window->registerPage();
        write(page.files()->field(), path("bilder.csv"));
        QTest::keyClick(page.files()->field(), Qt::Key_Return);
        QVERIFY(!page.findChild<QPushButton*>("chief")->isEnabled());
        QTest::mouseClick(page.matchButton(), Qt::LeftButton);
        auto* dialog = m_window->findChild<MappingDialog*>();
        QVERIFY(dialog && dialog->isVisible());
        const auto choose = [](QComboBox* box, const QString& text) {
            const int index = box->findText(text, Qt::MatchFixedString);
            QVERIFY2(index >= 0, qPrintable(text));
            box->setFocus();
            box->setCurrentIndex(index);
            emit box->activated(index);
        };
        choose(dialog->registerField(), "photographs");
        choose(dialog->columnField("number"), "foto nr");
        choose(dialog->columnField("subject"), "zeigt");
        choose(dialog->columnField("taken_on"), "datum");
        look(dialog, "check-mapping");
        QTest::mouseClick(dialog->findChild<QPushButton*>("chief"), Qt::LeftButton);
        QTRY_VERIFY(page.findChild<QPushButton*>("chief")->isEnabled());
        const QAbstractItemModel* lines = page.lines()->model();
        bool said = false;
        for (int row = 0; row < lines->rowCount(); ++row)
            said = said || lines->index(row, 4).data().toString().contains("Windows-1252, semicolon");
        QVERIFY2(said, "how the file was read is said");
        look(m_window.get(), "check-registers");
        QVERIFY(session().project().all<Photograph>().empty()); // tried on a copy alone
        QTest::mouseClick(page.findChild<QPushButton*>("chief"), Qt::LeftButton);
        QTRY_COMPARE(session().project().all<Photograph>().size(), std::size_t(2));
        QCOMPARE(session().project().byKey<Photograph>("17")->subject, std::string("S\xC3\xBC"
                                                                                   "dprofil"));

        // The next one of that kind needs no matching: its name tells the register, the project the columns.
        writeCsv("photographs.csv", "19;Pfosten;2026-05-14;IV\r\n");
        write(page.files()->field(), path("photographs.csv"));
        QTest::keyClick(page.files()->field(), Qt::Key_Return);
        QTRY_VERIFY(page.findChild<QPushButton*>("chief")->isEnabled());
        QTest::mouseClick(page.findChild<QPushButton*>("chief"), Qt::LeftButton);
        QTRY_COMPARE(session().project().all<Photograph>().size(), std::size_t(3));
        QVERIFY(session().undo());
        QCOMPARE(session().project().all<Photograph>().size(), std::size_t(2));
    }
};

QTEST_MAIN(CheckStageTest)
#include "CheckStageTest.moc"
