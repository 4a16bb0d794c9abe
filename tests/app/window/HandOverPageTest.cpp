// SPDX-License-Identifier: GPL-3.0-or-later
// The hand-over page in the real window, by mouse and keys: deposit fields, the preview of plans, a bag and
// its verification, stopping, and the push into a real PostgreSQL with PostGIS.
#include <QApplication>
#include <QCheckBox>
#include <QComboBox>
#include <QInputDialog>
#include <QLabel>
#include <QLineEdit>
#include <QProgressBar>
#include <QPushButton>
#include <QTemporaryDir>
#include <QTest>
#include <QTextBrowser>
#include <QWheelEvent>

#include "app/board/Palette.h"
#include "app/window/HandOverPage.h"
#include "app/window/PathField.h"
#include "app/window/PlanPreview.h"
#include "core/film/Pyramid.h"
#include "core/handover/Bag.h"
#include "tests/app/window/DemoWindow.h"
#include "tests/core/handover/SiteServer.h"
#include "tests/core/handover/YardFilm.h"

using namespace inkpeg;

namespace fs = std::filesystem;

class HandOverPageTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    SiteServer m_server;
    std::unique_ptr<MainWindow> m_window;

    fs::path path(const char* name) const { return m_folder.filePath(name).toStdString(); }
    HandOverPage& page() const { return m_window->handOverPage(); }
    template<typename Widget>
    Widget* part(const char* name) const
    {
        auto* found = page().findChild<Widget*>(name);
        if (found == nullptr)
            qFatal("the page has no %s", name);
        return found;
    }
    QString outcome() const { return part<QTextBrowser>("handOverOutcome")->toPlainText(); }
    ProjectFacts facts() const { return m_window->session().project().facts(); }

    static void type(QLineEdit* field, const QString& text)
    {
        QTest::mouseClick(field, Qt::LeftButton);
        QTest::keyClick(field, Qt::Key_A, Qt::ControlModifier);
        QTest::keyClick(field, Qt::Key_Delete);
        QTest::keyClicks(field, text);
    }
    void click(const char* name) const
    {
        auto* button = part<QPushButton>(name);
        QVERIFY2(button->isVisible() && button->isEnabled(), name);
        QTest::mouseClick(button, Qt::LeftButton);
    }
    void tick(const QString& text, bool on) const
    {
        for (QCheckBox* box : page().findChildren<QCheckBox*>())
            if (QString(box->text()).remove('&') == text) {
                if (box->isChecked() != on) {
                    box->setFocus();
                    QTest::keyClick(box, Qt::Key_Space);
                }
                QCOMPARE(box->isChecked(), on);
                return;
            }
        QFAIL(qPrintable("there is no choice " + text));
    }
    /// By keys, as one who does not take the mouse: the first letters of an entry choose it.
    void choose(const char* name, const QString& entry) const
    {
        auto* box = part<QComboBox>(name);
        box->setFocus();
        QTest::keyClicks(box, entry);
        QCOMPARE(box->currentText(), entry);
    }
    bool ended() const
    {
        return QTest::qWaitFor([this] { return !page().running(); }, 120'000);
    }
    /// What lies beside the project, without the project itself and its tiles.
    QStringList beside() const
    {
        QStringList names;
        for (const fs::directory_entry& entry : fs::directory_iterator(m_folder.path().toStdString()))
            if (!entry.path().filename().string().starts_with("yard.gpkg") &&
                entry.path().filename() != TilePyramid::FolderName) // of the board's, made when it has time
                names << QString::fromStdString(entry.path().filename().string());
        names.sort();
        return names;
    }

    /// With INKPEG_SCREENSHOTS=FOLDER a picture is saved there, for people to look at.
    static void look(QWidget& widget, const char* name)
    {
        const QString folder = qEnvironmentVariable("INKPEG_SCREENSHOTS");
        if (folder.isEmpty())
            return;
        QTest::qWait(200);
        QVERIFY(widget.grab().save(folder + '/' + name + qEnvironmentVariable("INKPEG_SCREENSHOTS_SUFFIX") +
                                   ".png"));
    }

private slots:
    void initTestCase()
    {
        if (qEnvironmentVariable("INKPEG_SCREENSHOTS_THEME") == "dark")
            setTheme(Theme::Dark);
        const QString trouble = m_server.start();
        QVERIFY2(trouble.isEmpty(), qPrintable(trouble));
        {
            Project project = yard::make(path("yard.gpkg"));
            yard::scanFilm(project);
        }
        m_window = shownWindow();
        QVERIFY(m_window);
        QVERIFY(m_window->session().open(path("yard.gpkg")));
        QTest::keyClick(m_window.get(), Qt::Key_E, Qt::ControlModifier);
        QVERIFY(page().isVisible());
        QCOMPARE(QApplication::focusWidget()->objectName(), QString("handOverFolder"));
    }

    void itSaysBeforehandWhatWhereHowMuchAndWhatIsUnfinished()
    {
        QTRY_VERIFY2(outcome().contains("To be written, about"), qPrintable(outcome()));
        for (const char* words :
             {"GeoPackage: 2 outlines, 14 vertices", "In ", "hand-over", "drawing P-02 is not pinned"})
            QVERIFY2(outcome().contains(words), qPrintable(outcome()));
        QVERIFY(!outcome().contains("Scans:"));
        tick("As an archive bag", true);
        QVERIFY2(outcome().contains("Scans: 2 files"), qPrintable(outcome()));
        look(*m_window, "hand-over");
        tick("As an archive bag", false);
    }

    void rightsAndDepositorAreAskedForOnceAndKeptInTheProject()
    {
        QCOMPARE(part<QLineEdit>("depositRights")->text(), QString("CC BY 4.0"));
        type(part<QLineEdit>("depositRights"), "CC BY-SA 4.0");
        QTest::keyClick(part<QLineEdit>("depositRights"), Qt::Key_Tab);
        QCOMPARE(QApplication::focusWidget()->objectName(), QString("depositor"));
        QTest::keyClick(part<QLineEdit>("depositor"), Qt::Key_A, Qt::ControlModifier);
        QTest::keyClicks(part<QLineEdit>("depositor"), "Harrow & <Lund> ");
        QTest::keyClick(part<QLineEdit>("depositor"), Qt::Key_Tab);
        QCOMPARE(facts().rights, std::string("CC BY-SA 4.0"));
        QCOMPARE(facts().depositor, std::string("Harrow & <Lund>"));
        // each is an act that can be undone; the field shows what is so
        m_window->act("undo")->trigger();
        QCOMPARE(facts().depositor, std::string("MH"));
        QCOMPARE(part<QLineEdit>("depositor")->text(), QString("MH"));
        m_window->act("redo")->trigger();
        QCOMPARE(part<QLineEdit>("depositor")->text(), QString("Harrow & <Lund>"));
        // passing through the fields is no act
        const std::size_t acts = m_window->session().project().journal().size();
        for (const char* name : {"depositRights", "depositor"}) {
            QTest::mouseClick(part<QLineEdit>(name), Qt::LeftButton);
            QTest::keyClick(part<QLineEdit>(name), Qt::Key_Tab);
        }
        QCOMPARE(m_window->session().project().journal().size(), acts);
    }

    void thePreviewShowsThePagesAndWritesNothing()
    {
        const QStringList before = beside();
        choose("planPaper", "A4");
        choose("planTrench", "1");
        tick("each context", true);
        QTest::keyClick(m_window.get(), Qt::Key_V, Qt::ControlModifier | Qt::ShiftModifier);
        QVERIFY(ended());
        QTRY_VERIFY(page().findChild<PlanPreview*>() != nullptr);
        auto* preview = page().findChild<PlanPreview*>();
        QVERIFY(QTest::qWaitForWindowActive(preview));
        auto* view = preview->findChild<PageView*>();
        // plan of the trench, of the context, and the section
        QList<QImage> pictures;
        for (const char* title :
             {"1 of 3 · Trench 1", "2 of 3 · Context 1032, Trench 1", "3 of 3 · Section S-01"}) {
            const QString caption = preview->findChild<QLabel*>("previewCaption")->text();
            QVERIFY2(caption.startsWith(title), qPrintable(caption));
            pictures << view->grab().toImage();
            // Without a window manager the main window may have been activated late.
            preview->activateWindow();
            QVERIFY(QTest::qWaitForWindowActive(preview));
            QTest::keyClick(preview, Qt::Key_PageDown);
        }
        QCOMPARE(preview->page(), 2); // the last stays
        for (const QImage& picture : pictures) {
            const auto [paper, ink] = paperAndInk(picture);
            QVERIFY2(paper > 0.5 && ink > 0.002, qPrintable(QString("%1 %2").arg(paper).arg(ink)));
        }
        look(*preview, "hand-over-preview");
        QVERIFY(pictures[0] != pictures[1] && pictures[1] != pictures[2]);
        QTest::keyClick(preview, Qt::Key_PageUp);
        QCOMPARE(preview->page(), 1);
        QTest::keyClick(preview, Qt::Key_Escape);
        QTRY_VERIFY(page().findChild<PlanPreview*>() == nullptr);
        QTRY_VERIFY(m_window->isActiveWindow());
        QCOMPARE(beside(), before);
        // a choice that shows nothing is said, with no empty window
        type(part<QLineEdit>("planContexts"), "9999");
        click("planPreview");
        QVERIFY(ended());
        QVERIFY2(outcome().contains("context \"9999\" has no outline on a pinned plan"),
                 qPrintable(outcome()));
        QVERIFY(page().findChild<PlanPreview*>() == nullptr);
        type(part<QLineEdit>("planContexts"), "");
    }

    void thePreviewComesNearerAndIsDraggedButNeverLost()
    {
        PageArt wide, tall;
        wide.widthMm = tall.heightMm = 420;
        wide.heightMm = tall.widthMm = 297;
        wide.box({0, 0}, 420, 297, InkBlack);
        tall.box({0, 0}, 297, 420, InkBlack);
        PlanPreview preview({wide, tall});
        preview.show();
        QVERIFY(QTest::qWaitForWindowExposed(&preview));
        auto* view = preview.findChild<PageView*>();
        const QPoint middle = view->rect().center(), place = middle + QPoint(60, -40);
        const auto wheel = [&](QPoint at, int notches) {
            QWheelEvent event(at, view->mapToGlobal(at), {}, {0, 120 * notches}, Qt::NoButton,
                              Qt::NoModifier, Qt::NoScrollPhase, false);
            QApplication::sendEvent(view, &event);
        };
        // What lies under the pointer stays there while it comes nearer: two notches are twice as near.
        wheel(middle, 4);
        QVERIFY(std::abs(view->nearness() - 4) < 1e-9);
        const QPointF before = view->shareAt(place);
        wheel(place, 2);
        QVERIFY(std::abs(view->nearness() - 8) < 1e-9);
        QVERIFY((view->shareAt(place) - before).manhattanLength() < 1e-6);
        // A drag takes the paper along.
        QTest::mousePress(view, Qt::LeftButton, {}, middle);
        const QPointF held = view->shareAt(middle);
        QMouseEvent move(QEvent::MouseMove, middle + QPoint(-90, 30),
                         view->mapToGlobal(middle + QPoint(-90, 30)), Qt::NoButton, Qt::LeftButton,
                         Qt::NoModifier);
        QApplication::sendEvent(view, &move);
        QTest::mouseRelease(view, Qt::LeftButton, {}, middle + QPoint(-90, 30));
        QVERIFY((view->shareAt(middle + QPoint(-90, 30)) - held).manhattanLength() < 1e-6);
        // Neither arrows nor a page of another shape nor another size of the window show nothing but desk.
        const auto onPaper = [&] {
            const QPointF share = view->shareAt(QPointF(view->width() / 2.0, view->height() / 2.0));
            return share.x() > 0 && share.x() < 1 && share.y() > 0 && share.y() < 1;
        };
        const auto filled = [&] { // nearer than the whole, no edge of the page lies within
            const QPointF from = view->shareAt({0, 0});
            const QPointF to = view->shareAt(QPointF(view->width(), view->height()));
            return from.x() > -1e-6 && from.y() > -1e-6 && to.x() < 1 + 1e-6 && to.y() < 1 + 1e-6;
        };
        for (int i = 0; i < 60; ++i)
            QTest::keyClick(view, i % 2 == 0 ? Qt::Key_Right : Qt::Key_Down);
        QVERIFY(filled());
        preview.turnTo(1);
        QVERIFY(onPaper() && filled());
        preview.resize(preview.width() - 200, preview.height() - 250);
        QCoreApplication::processEvents();
        QVERIFY(onPaper() && filled());
        // And far again: the whole page in the middle, no farther.
        wheel({3, 3}, -20);
        QCOMPARE(view->nearness(), 1.0);
        const QPointF centre = view->shareAt(QPointF(view->width() / 2.0, view->height() / 2.0));
        QVERIFY((centre - QPointF(0.5, 0.5)).manhattanLength() < 1e-6);
    }

    /// Shares of the pixels that are nearly white and nearly black.
    static std::pair<double, double> paperAndInk(const QImage& picture)
    {
        int white = 0, black = 0;
        for (int y = 0; y < picture.height(); ++y)
            for (int x = 0; x < picture.width(); ++x) {
                white += qGray(picture.pixel(x, y)) > 240 ? 1 : 0;
                black += qGray(picture.pixel(x, y)) < 100 ? 1 : 0;
            }
        const double all = static_cast<double>(picture.width()) * picture.height();
        return {white / all, black / all};
    }

    void aBagIsWrittenAndVerifiedFromThePage()
    {
        tick("As an archive bag", true);
        tick("Laid scans", true);
        tick("cloud-optimised", true);
        tick("Plans and sections", true);
        type(page().folder()->field(), m_folder.filePath("bag"));
        QTest::keyClick(page().folder()->field(), Qt::Key_Return);
        QCOMPARE(QApplication::focusWidget()->objectName(), QString("chief"));
        QTest::keyClick(QApplication::focusWidget(), Qt::Key_Space);
        QVERIFY(page().running());
        QVERIFY(ended());
        QVERIFY2(outcome().contains("Bagged in"), qPrintable(outcome()));
        QVERIFY2(outcome().contains("data/plans/plans.pdf") && outcome().contains("data/laid/P-01.tif"),
                 qPrintable(outcome()));
        const Result<BagReport> sound = verifyBag(path("bag"));
        QVERIFY2(sound, sound ? "" : sound.error().message.c_str());
        click("verifyBag");
        QVERIFY(ended());
        QVERIFY2(outcome().contains("is sound") && outcome().contains("It holds the project as it is now"),
                 qPrintable(outcome()));
        // and one that is not
        QFile readMe(m_folder.filePath("bag/data/README.txt"));
        QVERIFY(readMe.open(QIODevice::Append) && readMe.write("x") == 1);
        readMe.close();
        QTest::keyClick(m_window.get(), Qt::Key_Y, Qt::ControlModifier | Qt::ShiftModifier);
        QVERIFY(ended());
        QVERIFY2(outcome().contains("! " + m_folder.filePath("bag") + " is not sound: ") &&
                     outcome().contains("README.txt: has been altered") && !outcome().contains("Not done"),
                 qPrintable(outcome()));
        // the place is taken, and stays so unless asked otherwise
        click("chief");
        QVERIFY(ended());
        QVERIFY2(outcome().contains("Not done"), qPrintable(outcome()));
    }

    void stoppingLeavesNothingBehind()
    {
        const QStringList before = beside();
        type(page().folder()->field(), m_folder.filePath("stopped"));
        QTest::keyClick(m_window.get(), Qt::Key_Return, Qt::ControlModifier);
        QVERIFY(page().running());
        QVERIFY(part<QProgressBar>("handOverProgress")->isVisible());
        click("cancelHandOver");
        QVERIFY(ended());
        QVERIFY2(outcome().contains("stopped"), qPrintable(outcome()));
        QCOMPARE(beside(), before);
        QVERIFY(!part<QPushButton>("cancelHandOver")->isVisible());
    }

    void theDatabaseIsTriedThenPushedInto()
    {
        click("databaseDryRun"); // without a service: it asks for one
        QVERIFY2(outcome().contains("Name the database's service"), qPrintable(outcome()));
        QCOMPARE(QApplication::focusWidget()->objectName(), QString("databaseService"));
        QTest::keyClicks(QApplication::focusWidget(), "site");
        choose("databaseStage", "everything");
        click("databaseDryRun");
        QVERIFY(ended());
        QVERIFY2(outcome().contains("Dry run: the database is as it was") &&
                     outcome().contains("contexts: 2 added"),
                 qPrintable(outcome()));
        QCOMPARE(m_server.sql("SELECT count(*) FROM pg_namespace WHERE nspname = 'excavation'"),
                 QString("0"));
        QTest::keyClick(m_window.get(), Qt::Key_U, Qt::ControlModifier | Qt::ShiftModifier);
        QVERIFY(ended());
        QVERIFY2(outcome().contains("Pushed into the site database"), qPrintable(outcome()));
        QCOMPARE(m_server.sql("SELECT context FROM excavation.outlines"), QString("1032"));
        look(*m_window, "hand-over-pushed");
    }

    void aConflictIsListedAndWrittenOverOnlyWhenAsked()
    {
        const char* const ask = "SELECT description FROM excavation.contexts WHERE record_number = '1032'";
        m_server.sql("UPDATE excavation.contexts SET description = 'mine' WHERE record_number = '1032'");
        click("databasePush");
        QVERIFY(ended());
        QVERIFY2(outcome().contains(
                     "contexts 1032 was changed in the database and stays as it is there: description"),
                 qPrintable(outcome()));
        QCOMPARE(m_server.sql(ask), QString("mine"));
        tick("write over rows changed there", true);
        click("databaseDryRun"); // and that changes nothing, and says so
        QVERIFY(ended());
        QVERIFY2(outcome().contains("would be written over: description"), qPrintable(outcome()));
        QCOMPARE(m_server.sql(ask), QString("mine"));
        click("databasePush");
        QVERIFY(ended());
        QVERIFY2(outcome().contains("is written over: description"), qPrintable(outcome()));
        QVERIFY(m_server.sql(ask).startsWith("Kiln pit"));
        tick("write over rows changed there", false);
    }

    void aPasswordIsAskedForAndNotKept()
    {
        m_server.usePasswordFile(false);
        for (const bool right : {false, true}) {
            click("databaseDryRun");
            QVERIFY(ended());
            QTRY_VERIFY(page().findChild<QInputDialog*>("databasePassword") != nullptr);
            auto* dialog = page().findChild<QInputDialog*>("databasePassword");
            QVERIFY(QTest::qWaitForWindowActive(dialog));
            auto* field = dialog->findChild<QLineEdit*>();
            QCOMPARE(field->echoMode(), QLineEdit::Password);
            const char* const typed = right ? SiteServer::Password : "Zq7-kv9xw";
            QTest::keyClicks(field, typed);
            QTest::keyClick(field, Qt::Key_Return);
            QTRY_VERIFY(page().findChild<QInputDialog*>("databasePassword") == nullptr);
            QVERIFY(ended());
            QVERIFY2(outcome().contains(right ? "Dry run" : "password authentication failed"),
                     qPrintable(outcome()));
            QVERIFY2(!outcome().contains(typed), qPrintable(outcome()));
        }
        // not kept: the next time it asks again; Esc leaves the database alone
        click("databasePush");
        QVERIFY(ended());
        QTRY_VERIFY(page().findChild<QInputDialog*>("databasePassword") != nullptr);
        auto* dialog = page().findChild<QInputDialog*>("databasePassword");
        QVERIFY(QTest::qWaitForWindowActive(dialog));
        QTest::keyClick(dialog, Qt::Key_Escape);
        QTRY_VERIFY(page().findChild<QInputDialog*>("databasePassword") == nullptr);
        QVERIFY2(outcome().contains("no password supplied"), qPrintable(outcome()));
        m_server.usePasswordFile(true);
        QVERIFY(!m_server.log().contains(SiteServer::Password));
    }

    void anotherProjectIsHandedOverBesideItself()
    {
        fs::create_directories(path("elsewhere"));
        yard::make(path("elsewhere/yard.gpkg"));
        page().folder()->setText({});
        QVERIFY(m_window->session().open(path("elsewhere/yard.gpkg")));
        QCOMPARE(page().folder()->text(), m_folder.filePath("elsewhere/hand-over"));
        QVERIFY(m_window->session().open(path("yard.gpkg")));
        QCOMPARE(page().folder()->text(), m_folder.filePath("hand-over"));
    }
};

QTEST_MAIN(HandOverPageTest)
#include "HandOverPageTest.moc"
