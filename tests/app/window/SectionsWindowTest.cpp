// SPDX-License-Identifier: GPL-3.0-or-later
// The third dimension in the real window, by mouse and keys: sections turned, levels typed in, plans held
// against sections, posts aligned, the view in space. With INKPEG_SCREENSHOTS=FOLDER pictures are saved.
#include <memory>

#include <QApplication>
#include <QComboBox>
#include <QDir>
#include <QFile>
#include <QFileDialog>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QRegularExpression>
#include <QStandardPaths>
#include <QTableWidget>
#include <QTemporaryDir>
#include <QTest>
#include <QTimer>
#include <gdal_priv.h>

#include "app/board/Palette.h"
#include "app/board/PaletteStyle.h"
#include "app/window/BoardField.h"
#include "app/window/CompareDialog.h"
#include "app/window/LevelBookDialog.h"
#include "app/window/MainWindow.h"
#include "app/window/PeopleDialog.h"
#include "app/window/PostsDialog.h"
#include "app/window/SectionDialog.h"
#include "app/window/SpaceWindow.h"
#include "core/records/Names.h"
#include "core/store/LevelFlow.h"
#include "core/store/RegisterImport.h"
#include "core/store/SectionTurn.h"
#include "samples/generator/Demo.h"
#include "samples/generator/Draughting.h"
#include "samples/generator/Film.h"
#include "samples/generator/Registers.h"

using namespace inkpeg;

class SectionsWindowTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    const demo::Demo m_demo = demo::skelderRigg(60);
    std::unique_ptr<MainWindow> m_window;
    QString m_pictures = qEnvironmentVariable("INKPEG_SCREENSHOTS");

    std::filesystem::path file(const char* name) const { return m_folder.filePath(name).toStdString(); }
    Project& project() { return m_window->session().project(); }

    template<typename Window>
    Window* opened(const char* act)
    {
        m_window->act(act)->trigger();
        const auto windows = m_window->findChildren<Window*>();
        if (windows.isEmpty())
            return nullptr;
        Window* window = windows.last();
        window->activateWindow();
        return QTest::qWaitForWindowActive(window) ? window : nullptr;
    }
    void look(QWidget* widget, const char* name)
    {
        QTest::qWait(200);
        if (!m_pictures.isEmpty())
            QVERIFY(widget->grab().save(m_pictures + '/' + name +
                                        qEnvironmentVariable("INKPEG_SCREENSHOTS_SUFFIX") + ".png"));
    }
    /// The demo's drawings as scanned coarsely, its registers, and its outlines as they truly are.
    void makeProject()
    {
        GDALAllRegister();
        std::filesystem::create_directories(file("film"));
        QCOMPARE(demo::writeRegisters(m_demo, file("registers")), std::string());
        for (const demo::SheetPlan& sheet : m_demo.sheets) {
            demo::Pencil pencil(sheet.map, 1);
            demo::draughtSheet(m_demo, sheet, pencil);
            QCOMPARE(demo::writeScan(sheet, demo::exposeSheet(sheet, pencil.graphite()),
                                     file(sheet.file.c_str())),
                     std::string());
        }
        ProjectFacts facts;
        facts.siteCode = "SKR26";
        facts.title = "Skelder Rigg";
        Result<Project> made = Project::create(file("demo.gpkg"), facts);
        QVERIFY2(made, made ? "" : made.error().message.c_str());
        for (const char* name : {"people", "trenches", "pegs", "sheets", "drawings", "contexts", "finds",
                                 "samples", "timbers", "pins"}) {
            const auto taken = importRegister(*made, file("registers") / (std::string(name) + ".csv"));
            QVERIFY2(taken, taken ? "" : taken.error().message.c_str());
        }
        const Result<Change> traced = made->act("trace", [&](Editor& edit) -> Result<void> {
            for (const demo::DrawingPlan& plan : m_demo.drawings)
                for (const demo::DrawnOutline& drawn : plan.outlines) {
                    Outline outline;
                    outline.drawing = made->byKey<Drawing>(plan.number)->id;
                    outline.context = drawn.context;
                    Part& part = outline.parts.emplace_back();
                    for (std::size_t i = 0; i < drawn.ring.size(); ++i) {
                        part.outer.vertices.push_back(
                            m_demo.sheetOf(plan).map.toScan(plan.toFilm(drawn.ring[i])));
                        part.outer.kinds.push_back(*named<EdgeKind>(drawn.edges[i]));
                    }
                    if (auto put = edit.put(outline); !put)
                        return put;
                }
            return {};
        });
        QVERIFY2(traced, traced ? "" : traced.error().message.c_str());
    }

private slots:
    void initTestCase()
    {
        QStandardPaths::setTestModeEnabled(true);
        QApplication::setStyle(new PaletteStyle);
        if (qEnvironmentVariable("INKPEG_SCREENSHOTS_THEME") == "dark")
            setTheme(Theme::Dark);
        makeProject();
        m_window = std::make_unique<MainWindow>();
        m_window->applyTheme();
        m_window->show();
        QVERIFY(QTest::qWaitForWindowExposed(m_window.get()));
        QVERIFY(m_window->session().open(file("demo.gpkg")));
    }
    void whoIsAtTheKeyboardIsSaid()
    {
        if (auto* who = m_window->findChild<WhoDialog*>()) // several people stand in the register
            who->reject();
        QTRY_VERIFY(!m_window->findChild<WhoDialog*>());
    }

    void theViewInSpaceTurnsByMouseAndKeysAndIsSavedAsPicture()
    {
        auto* window = opened<SpaceWindow>("viewInSpace");
        QVERIFY(window != nullptr);
        QCOMPARE(opened<SpaceWindow>("viewInSpace"), window); // comes to the front, not once more
        SpaceView* view = window->view();
        int plans = 0, sections = 0, posts = 0;
        for (const SpaceFace& face : view->scene().faces) {
            plans += face.kind == SpaceFaceKind::Plan ? 1 : 0;
            sections += face.kind == SpaceFaceKind::Section ? 1 : 0;
            posts += face.kind == SpaceFaceKind::Post ? 1 : 0;
        }
        QVERIFY(plans > 40 && sections > 15 && posts >= 35);
        look(window, "space-all");

        const SpaceStance before = view->stance();
        const QPoint middle = view->rect().center();
        QTest::mousePress(view, Qt::LeftButton, {}, middle);
        QTest::mouseMove(view, middle + QPoint(110, 44));
        QTest::mouseRelease(view, Qt::LeftButton, {}, middle + QPoint(110, 44));
        QVERIFY(std::abs(view->stance().bearingRad - before.bearingRad) > 0.2);
        QVERIFY(view->stance().downwardRad > before.downwardRad);
        QTest::keyClick(view, Qt::Key_Left);
        QTest::keyClick(view, Qt::Key_A);
        QVERIFY(std::abs(view->stance().downwardRad - std::acos(0.0)) < 1e-12);
        // From above, east is right and north is up.
        const SpacePoint place = view->scene().faces.front().rings.front().front();
        const QPointF at = view->widgetOf(place);
        QVERIFY(view->widgetOf({place.eastM + 1, place.northM, place.levelM}).x() > at.x());
        QVERIFY(view->widgetOf({place.eastM, place.northM + 1, place.levelM}).y() < at.y());
        QVERIFY(std::abs(view->widgetOf({place.eastM, place.northM, place.levelM + 1}).y() - at.y()) <
                1e-6);

        // One trench fills the window by itself.
        const double far = view->stance().pxPerM;
        window->trenchField()->setFocus();
        QTest::keyClick(window->trenchField(), Qt::Key_Down);
        QVERIFY(view->stance().pxPerM > 1.5 * far);
        for (const SpaceFace& face : view->scene().faces)
            QCOMPARE(face.trench, std::string("1"));
        look(window, "space-trench");

        // Square at a section: its line is level and its length is true to scale.
        view->faceSection("S-01");
        const std::vector<SpacePoint>& line = view->scene().traces.front().line;
        const QPointF a = view->widgetOf(line.front()), b = view->widgetOf(line.back());
        QVERIFY(a.x() < b.x() && std::abs(a.y() - b.y()) < 1e-6); // A on the left, as drawn
        look(window, "space-section");

        const QString picture = m_folder.filePath("space.png");
        QCOMPARE(window->savePicture(picture), QString());
        const QImage saved(picture);
        QCOMPARE(saved.size(), view->size() * 2);
        int inked = 0;
        for (int y = 0; y < saved.height(); y += 5)
            for (int x = 0; x < saved.width(); x += 5)
                inked += saved.pixelColor(x, y) != inkpeg::palette().desk ? 1 : 0;
        QVERIFY(inked > 500);
        QVERIFY(!window->savePicture(m_folder.filePath("no/such/folder/space.png")).isEmpty());
        window->close();
    }

    void aSectionThatRunsBackwardsIsTurnedByItsButtonAndTheTurnUndone()
    {
        const Drawing section = *project().byKey<Drawing>("S-01");
        QVERIFY(setSectionLine(project(), section, {{"S-01 B"}, {"S-01 M"}, {"S-01 A"}}, 1));
        m_window->session().refresh();
        m_window->session().chooseDrawing(section.id);
        QVERIFY(m_window->session().noFitBecause().contains("Turn the line to run from"));
        auto* dialog = opened<SectionDialog>("sectionStands");
        QVERIFY(dialog != nullptr);
        look(dialog, "section-reversed");
        auto* button = dialog->findChild<QPushButton*>("remedy0");
        QVERIFY(button != nullptr);
        QTest::mouseClick(button, Qt::LeftButton);
        QCOMPARE(project().byKey<Drawing>("S-01")->sectionLine, std::string("S-01 A; S-01 M; S-01 B"));
        QVERIFY(m_window->session().scene().drawing->ground.has_value());
        QVERIFY(dialog->findChild<QLabel*>("sectionReads")->text().contains("✓"));
        m_window->act("undo")->trigger();
        QCOMPARE(project().byKey<Drawing>("S-01")->sectionLine, std::string("S-01 B; S-01 M; S-01 A"));
        m_window->act("redo")->trigger();
        look(dialog, "section-stands");
        dialog->close();
    }

    void theCardTellsWhereOnTheFaceAnOutlineLies()
    {
        m_window->setStation(Station::Trace);
        const auto& drawing = *m_window->session().scene().drawing;
        QCOMPARE(drawing.record.number, std::string("S-01"));
        const Outline outline = project().ofDrawing<Outline>(drawing.record.id).front();
        m_window->traceTool().selectOutline(outline.id);
        const auto* card = m_window->findChild<QLabel*>("figures");
        QVERIFY(card && card->isVisible());
        const auto match = QRegularExpression(R"(Centroid ([0-9.]+) ± [0-9.]+ m along the line
Centroid at level ([0-9.]+) ± [0-9.]+ m)")
                               .match(card->text());
        QVERIFY2(match.hasMatch(), qPrintable(card->text()));
        // A centroid lies within the box of its outline.
        double least[2] = {1e9, 1e9}, most[2] = {-1e9, -1e9};
        for (const ScanPx vertex : outline.parts[0].outer.vertices) {
            const GroundM at = drawing.ground->toGround(vertex);
            for (const auto& [axis, value] : {std::pair{0, at.east}, {1, at.north}}) {
                least[axis] = std::min(least[axis], value);
                most[axis] = std::max(most[axis], value);
            }
        }
        for (const int axis : {0, 1}) {
            const double told = match.captured(axis + 1).toDouble();
            QVERIFY2(told > least[axis] && told < most[axis], qPrintable(card->text()));
        }
        m_window->setStation(Station::Peg);
    }

    void aDatumInFeetIsRefusedInWordsAndNothingIsChanged()
    {
        auto* dialog = opened<SectionDialog>("sectionStands");
        QVERIFY(dialog != nullptr);
        const std::size_t acts = project().journal().size();
        auto* datum = dialog->findChild<QLineEdit*>("sectionDatum");
        datum->selectAll();
        QTest::keyClicks(datum, "139.4 ft");
        QTest::mouseClick(dialog->findChild<QPushButton*>("chief"), Qt::LeftButton);
        auto* trouble = dialog->findChild<QLabel*>("sectionTrouble");
        QVERIFY(trouble->isVisible() && trouble->text().contains("is in feet"));
        QCOMPARE(project().journal().size(), acts);
        datum->selectAll();
        QTest::keyClicks(datum, "42.5");
        QTest::mouseClick(dialog->findChild<QPushButton*>("chief"), Qt::LeftButton);
        QVERIFY(!trouble->isVisible());
        dialog->close();
    }

    void plansAgainstSectionsLeadToTheirPlaces()
    {
        auto* dialog = opened<CompareDialog>("plansAgainstSections");
        QVERIFY(dialog != nullptr);
        auto* lines = dialog->findChild<QTableWidget*>("compareLines");
        QVERIFY(lines->rowCount() >= 4);
        look(dialog, "plans-against-sections");
        m_window->session().chooseDrawing(project().byKey<Drawing>("P-01")->id);
        lines->setCurrentCell(0, 0);
        lines->setFocus();
        QTest::keyClick(lines, Qt::Key_Return);
        QCOMPARE(m_window->session().drawing()->number, lines->item(0, 2)->text().toStdString());
        dialog->close();
    }

    void aLevelBookIsTypedInKeptAndCarried()
    {
        auto* dialog = opened<LevelBookDialog>("levelBooks");
        QVERIFY(dialog != nullptr);
        auto* lines = dialog->findChild<QTableWidget*>("bookLines");
        const auto type = [&](int row, int column, const char* text) {
            lines->setCurrentCell(row, column);
            lines->setFocus();
            QTest::keyClick(lines, Qt::Key_F2);
            auto* editor = lines->findChild<QLineEdit*>();
            QVERIFY(editor != nullptr);
            QTest::keyClicks(editor, text);
            QTest::keyClick(editor, Qt::Key_Return);
            QTRY_VERIFY(lines->findChild<QLineEdit*>() == nullptr); // the cell has it now
        };
        type(0, 0, "BM");
        type(0, 1, "1.500");
        type(0, 4, "43");
        type(1, 0, "Q-1");
        type(1, 2, "2,25"); // with a comma, as many write it
        type(2, 0, "BM");
        type(2, 3, "1.502");
        auto* closes = dialog->findChild<QLabel*>("bookCloses");
        QVERIFY2(closes->text().contains("miscloses by -2.0 mm"), qPrintable(closes->text()));
        QCOMPARE(lines->item(1, 9)->text(), QString("42.2520"));
        Find find;
        find.number = "Q-1";
        QVERIFY(project().act("a find", [&](Editor& edit) { return edit.put(find); }));
        auto* keep = dialog->findChild<QPushButton*>("chief");
        QTest::mouseClick(keep, Qt::LeftButton); // it has no name yet
        QVERIFY(dialog->findChild<QLabel*>("bookSaid")->text().contains("needs a name"));
        QTest::keyClicks(dialog->findChild<QLineEdit*>("bookName"), "evening");
        QTest::mouseClick(keep, Qt::LeftButton);
        QCOMPARE(project().all<LevelReading>().size(), std::size_t(3));
        QTest::mouseClick(dialog->findChild<QPushButton*>("carryLevels"), Qt::LeftButton);
        QCOMPARE(*project().byKey<Find>("Q-1")->levelM, 42.252);
        look(dialog, "level-book");
        m_window->act("undo")->trigger();
        QVERIFY(!project().byKey<Find>("Q-1")->levelM);
        dialog->close();
    }

    void aLevelIsSetByTheNameOfItsLevelledPointAndWrittenAnewWithIt()
    {
        const Drawing plan = *project().byKey<Drawing>("P-01");
        m_window->session().chooseDrawing(plan.id);
        m_window->setStation(Station::Trace);
        m_window->activateWindow();
        QVERIFY(QTest::qWaitForWindowActive(m_window.get()));
        m_window->act("spotLevel")->trigger();
        Board& board = m_window->board();
        const auto answer = [&](const char* text) {
            auto* field = m_window->findChild<BoardField*>();
            QTRY_VERIFY(field && field->isVisible());
            field->field()->selectAll();
            QTest::keyClicks(field->field(), text);
            QTest::keyClick(field->field(), Qt::Key_Return);
            QTRY_VERIFY(!field->isVisible());
        };
        const auto levels = [&] { return project().ofDrawing<SpotLevel>(plan.id); };
        const std::size_t before = levels().size();
        const QPoint place = board.rect().center() + QPoint(40, 30);
        QTest::mouseClick(&board, Qt::LeftButton, {}, place);
        answer("Q-1");
        QCOMPARE(levels().size(), before + 1);
        QCOMPARE(levels().back().point, std::string("Q-1"));
        // The book of the evening: 43 m and 1.500 back, 2.25 in between, and the misclosure of -2 mm taken
        // back at the one set-up.
        QCOMPARE(levels().back().levelM, 43 + 1.500 - 2.25 + 0.002);
        QTest::keyClick(m_window.get(),
                        Qt::Key_Escape); // looking again: a double click writes the mark anew
        QTRY_VERIFY(board.tool() == &m_window->traceTool());
        const QPoint mark = board.widgetOfScan(levels().back().mark).toPoint();
        QTest::mouseMove(&board, mark);
        QTest::mouseDClick(&board, Qt::LeftButton, {}, mark);
        answer("42.40 Q-1");
        QCOMPARE(levels().back().levelM, 42.40);
        // It is held against the book: 148 mm off, and named so.
        bool named = false;
        for (const LevelUse& use : levelUses(project()))
            named =
                named || (use.target == LevelTarget::SpotLevel && use.point == "Q-1" && use.disagrees());
        QVERIFY(named);
        m_window->session().undo();
        m_window->session().undo();
        QCOMPARE(levels().size(), before);
    }

    void postsAreTickedByKeyAndTheirRowIsTold()
    {
        auto* dialog = opened<PostsDialog>("posts");
        QVERIFY(dialog != nullptr);
        auto* posts = dialog->findChild<QListWidget*>("posts");
        QVERIFY(posts->count() >= 30);
        // The row of the demo: those whose contexts are drawn on P-05 in a line.
        for (int i = 0; i < 5; ++i) {
            posts->setCurrentRow(i);
            posts->setFocus();
            QTest::keyClick(posts, Qt::Key_Space);
        }
        auto* figures = dialog->findChild<QLabel*>("postsFigures");
        QVERIFY2(figures->text().contains("from grid north"), qPrintable(figures->text()));
        look(dialog, "posts-row");
        auto* shape = dialog->findChild<QComboBox*>("postsShape");
        shape->setFocus();
        QTest::keyClick(shape, Qt::Key_Down);
        QVERIFY2(figures->text().contains("arc of radius") || figures->text().contains("straight"),
                 qPrintable(figures->text()));
        dialog->close();
    }

    void theReportOnPostsIsWrittenWhereAsked()
    {
        auto* dialog = opened<PostsDialog>("posts");
        QVERIFY(dialog != nullptr);
        auto* write = dialog->findChild<QPushButton*>("postsReport");
        auto* figures = dialog->findChild<QLabel*>("postsFigures");
        QTest::mouseClick(write, Qt::LeftButton); // nothing is ticked: nothing is asked
        QVERIFY2(figures->text().contains("0 posts"), qPrintable(figures->text()));
        auto* posts = dialog->findChild<QListWidget*>("posts");
        QStringList ticked;
        for (int i = 0; i < 4; ++i) {
            posts->setCurrentRow(i);
            posts->setFocus();
            QTest::keyClick(posts, Qt::Key_Space);
            ticked << posts->item(i)->text();
        }
        const QString told = figures->text(), folder = m_folder.filePath("report on posts");
        QVERIFY(QDir().mkpath(folder));
        bool asked = false;
        QTimer answer;
        connect(&answer, &QTimer::timeout, this, [&] {
            auto* where = qobject_cast<QFileDialog*>(QApplication::activeModalWidget());
            if (where == nullptr)
                return;
            answer.stop();
            asked = true;
            auto* name = where->findChild<QLineEdit*>("fileNameEdit");
            name->setText(folder);
            QTest::keyClick(name, Qt::Key_Return);
        });
        answer.start(50);
        QTest::mouseClick(write, Qt::LeftButton);
        QVERIFY(asked);
        QVERIFY2(figures->text().startsWith("Written: posts.pdf and posts.html in " + folder),
                 qPrintable(figures->text()));
        QFile page(folder + "/posts.html"), paper(folder + "/posts.pdf");
        QVERIFY(page.open(QIODevice::ReadOnly) && paper.open(QIODevice::ReadOnly));
        QVERIFY(paper.readAll().startsWith("%PDF-"));
        const QString html = QString::fromUtf8(page.readAll());
        QVERIFY2(html.contains(told), qPrintable(told));
        for (const QString& number : ticked)
            QVERIFY2(html.count("<td>" + number + "</td>") == 2,
                     qPrintable(number)); // place, and how it stands
        dialog->close();
    }

    void sectionsShowOnTheGroundAsLinesWithABarForEachContext()
    {
        m_window->setStation(Station::Check);
        m_window->session().chooseDrawing(project().byKey<Drawing>("P-01")->id);
        m_window->act("side")->trigger();
        QCOMPARE(m_window->board().side(), BoardSide::Ground);
        const auto& traces = m_window->session().scene().traces;
        QCOMPARE(traces.size(), std::size_t(4));
        QCOMPARE(traces[0].drawing, std::string("S-01"));
        bool cut = false;
        for (const DrawnSpan& span : traces[0].spans)
            cut = cut || (span.context == "1004" && span.toM - span.fromM > 1);
        QVERIFY(cut);
        QTRY_VERIFY_WITH_TIMEOUT(!m_window->board().stillLoading(), 300000);
        m_window->board().goTo(traces[0].line.front());
        look(m_window.get(), "section-trace");
        m_window->act("side")->trigger();
    }
};

QTEST_MAIN(SectionsWindowTest)
#include "SectionsWindowTest.moc"
