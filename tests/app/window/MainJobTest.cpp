// SPDX-License-Identifier: GPL-3.0-or-later
// The main job in the real window, by mouse and keys alone: begin a project, take the registers in, pin a
// drawing, trace an outline, hand over; then the export is read by OGR and held against the planted truth.
#include "app/board/PaletteStyle.h"
#include "app/window/MainWindow.h"

#include <cmath>
#include <memory>

#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <QApplication>
#include <QCheckBox>
#include <QDialogButtonBox>
#include <QLineEdit>
#include <QListView>
#include <QPushButton>
#include <QSettings>
#include <QStandardPaths>
#include <QTableView>
#include <QTemporaryDir>
#include <QTest>
#include <QWheelEvent>

#include "app/window/NewProjectDialog.h"
#include "app/window/PathField.h"
#include "tests/app/window/DemoFolder.h"

using namespace inkpeg;

class MainJobTest : public QObject {
    Q_OBJECT

    DemoFolder m_demo;
    QTemporaryDir m_settings;
    std::unique_ptr<MainWindow> m_window;

    Board& board() { return m_window->board(); }
    Session& session() { return m_window->session(); }
    QPoint at(ScanPx position) { return board().widgetOfScan(position).toPoint(); }

    void write(QWidget* field, const QString& text)
    {
        field->setFocus();
        QTest::keyClick(field, Qt::Key_A, Qt::ControlModifier);
        QTest::keyClicks(field, text);
    }
    void wheel(QPoint where, int notches)
    {
        QWheelEvent event(where, board().mapToGlobal(where), {}, {0, notches * 120}, Qt::NoButton,
                          Qt::NoModifier, Qt::NoScrollPhase, false);
        QApplication::sendEvent(&board(), &event);
    }
    /// As a person does it: all of the drawing, then the wheel at the mark until its pixels are large.
    void placePin(const TruePin& pin, bool proposed)
    {
        QTest::keyClick(&board(), Qt::Key_0);
        wheel(at(pin.mark), 12);
        QTest::mouseClick(&board(), Qt::LeftButton, {}, at(pin.mark));
        QLineEdit* field = m_window->boardField().field();
        QTRY_VERIFY(field->isVisible() && field->hasFocus());
        if (proposed) {
            QCOMPARE(field->text(), pin.peg);
        } else {
            field->selectAll();
            QTest::keyClicks(field, pin.peg);
        }
        QTest::keyClick(field, Qt::Key_Return);
        QVERIFY(!m_window->boardField().isVisible());
    }
    std::vector<GroundM> exportedRing(const QString& context, int& count);

private slots:
    void initTestCase()
    {
        QStandardPaths::setTestModeEnabled(true);
        QApplication::setOrganizationName("Inkpeg");
        QApplication::setApplicationName("MainJobTest");
        QSettings::setPath(QSettings::NativeFormat, QSettings::UserScope, m_settings.path());
        QApplication::setStyle(new PaletteStyle);
        QVERIFY(m_demo.make("P-01"));
        // Pins are placed by hand here.
        QVERIFY(QFile::remove(m_demo.registers() + "/pins.csv"));
        m_window = std::make_unique<MainWindow>();
        m_window->applyTheme();
        m_window->show();
        m_window->activateWindow();
        QVERIFY(QTest::qWaitForWindowActive(m_window.get()));
    }
    void aProjectIsBegun()
    {
        QTest::keyClick(m_window.get(), Qt::Key_N, Qt::ControlModifier);
        auto* dialog = m_window->findChild<NewProjectDialog*>();
        QVERIFY(dialog && dialog->isVisible());
        write(dialog->findChild<QLineEdit*>("projectFile"), m_demo.path("demo/skelder-rigg.gpkg"));
        write(dialog->findChild<QLineEdit*>("siteCode"), "SKR26");
        write(dialog->findChild<QLineEdit*>("title"), "Skelder Rigg");
        write(dialog->findChild<QLineEdit*>("initials"), "MH");
        // A CRS that PROJ does not know is refused with words, and nothing is made.
        write(dialog->findChild<QLineEdit*>("crs"), "EPSG:999999");
        QTest::keyClick(dialog->findChild<QLineEdit*>("crs"), Qt::Key_Return);
        QVERIFY(dialog->isVisible());
        QVERIFY(!QFile::exists(m_demo.path("demo/skelder-rigg.gpkg")));
        write(dialog->findChild<QLineEdit*>("crs"), "EPSG:25832");
        QTest::keyClick(dialog->findChild<QLineEdit*>("crs"), Qt::Key_Return);
        QTRY_VERIFY(session().isOpen());
        QCOMPARE(session().project().facts().crs, std::string("EPSG:25832"));
        QCOMPARE(session().project().person(), std::string("MH"));
        QTRY_COMPARE(QApplication::activeWindow(), m_window.get()); // the window takes the keys back
    }
    void theRegistersAreTriedAndThenTaken()
    {
        QTest::keyClick(m_window.get(), Qt::Key_1, Qt::AltModifier);
        RegisterPage& page = m_window->registerPage();
        QVERIFY(page.isVisible());
        write(page.files()->field(), m_demo.registers());
        QTest::keyClick(page.files()->field(), Qt::Key_Return);
        QVERIFY(page.lines()->model()->rowCount() > 300);
        QVERIFY2(session().project().all<Context>().empty(), "a dry run takes nothing");
        // Of the sheets, only the one with P-01 has its scan here: the others are refused, and nothing is taken
        // unless one says so.
        QCheckBox* skip = page.findChild<QCheckBox*>();
        QVERIFY(!page.findChild<QPushButton*>("chief")->isEnabled());
        skip->setFocus();
        QTest::keyClick(skip, Qt::Key_Space);
        // Without a window manager nobody hands the focus back when the dialog of the trial closes.
        m_window->activateWindow();
        QTRY_VERIFY(QApplication::focusWidget() && QApplication::focusWidget()->objectName() == "chief");
        QTest::keyClick(QApplication::focusWidget(), Qt::Key_Space);
        QCOMPARE(session().project().all<Drawing>().size(), std::size_t(14));
        m_window->activateWindow();
        QVERIFY(QTest::qWaitForWindowActive(m_window.get()));
        QVERIFY(session().project().all<Context>().size() >= 60);
        QVERIFY(session().project().all<Peg>().size() >= 100);
    }
    void theDrawingIsFoundInThePlanChest()
    {
        QTest::keyClick(m_window.get(), Qt::Key_F, Qt::ControlModifier);
        QTest::keyClicks(QApplication::focusWidget(), "S-02");
        QTest::keyClick(m_window.get(), Qt::Key_Down, Qt::ControlModifier);
        QCOMPARE(session().drawing()->number, std::string("S-02"));
        QTest::keyClick(QApplication::focusWidget(), Qt::Key_A, Qt::ControlModifier);
        QTest::keyClicks(QApplication::focusWidget(), "P-01");
        QTest::keyClick(m_window.get(), Qt::Key_Down, Qt::ControlModifier);
        QCOMPARE(session().drawing()->number, std::string("P-01"));
        QCOMPARE(session().drawing()->stage, Stage::Scanned);
    }
    void pinsArePlacedByClickAndPegName()
    {
        QTest::keyClick(m_window.get(), Qt::Key_2, Qt::AltModifier);
        QCOMPARE(m_window->rail().station(), Station::Peg);
        QTRY_VERIFY_WITH_TIMEOUT(!board().stillLoading(), 300000);
        const std::vector<TruePin> pins = m_demo.pins("P-01");
        QVERIFY(pins.size() >= 8);
        placePin(pins[0], false);
        placePin(pins[2], false);
        placePin(pins[pins.size() - 1], true); // from the third on, the nearest peg is proposed
        QCOMPARE(session().drawing()->stage, Stage::Scanned); // three pins leave nothing to check by
        placePin(pins[pins.size() - 3], true);
        placePin(pins[4], true);
        placePin(pins[7], true);
        QCOMPARE(session().scene().drawing->pins.size(), std::size_t(6));
        QVERIFY(session().scene().drawing->ground);
        QCOMPARE(session().drawing()->stage, Stage::Pinned);
        QVERIFY(session().scene().drawing->ground->fit.redundancy == 6);
        // Each pin lies within one screen pixel of its mark at that zoom, which is below one pixel of the
        // scan.
        for (const Pin& pin : session().scene().drawing->pins)
            for (const TruePin& truth : pins)
                if (truth.peg.toStdString() == pin.peg)
                    QVERIFY(distance(pin.mark, truth.mark) < 2.0);
    }
    void aPegThatIsNotInTheRegisterIsRefused()
    {
        QTest::keyClick(&board(), Qt::Key_0);
        QTest::mouseClick(&board(), Qt::LeftButton, {}, board().rect().center());
        QLineEdit* field = m_window->boardField().field();
        QVERIFY(field->isVisible());
        write(field, "nowhere");
        QTest::keyClick(field, Qt::Key_Return);
        QVERIFY(field->isVisible());
        QTest::keyClick(field, Qt::Key_Escape);
        QVERIFY(!field->isVisible());
        QCOMPARE(session().scene().drawing->pins.size(), std::size_t(6));
    }
    void aPinIsDraggedAndTheUndoPutsItBack()
    {
        QTest::keyClick(&board(), Qt::Key_0);
        const Pin pin = session().scene().drawing->pins.front();
        const QPoint from = at(pin.mark);
        QTest::mousePress(&board(), Qt::LeftButton, {}, from);
        QTest::mouseMove(&board(), from + QPoint(20, -12));
        QTest::mouseRelease(&board(), Qt::LeftButton, {}, from + QPoint(20, -12));
        QVERIFY(distance(session().scene().drawing->pins.front().mark, pin.mark) > 50);
        QCOMPARE(session().drawing()->stage, Stage::Scanned); // far out of tolerance now
        QTest::keyClick(&board(), Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(session().scene().drawing->pins.front().mark == pin.mark);
        QCOMPARE(session().drawing()->stage, Stage::Pinned);
    }
    void aPinIsRemovedByDeleteAndTheUndoBringsItBack()
    {
        const Pin pin = session().scene().drawing->pins.back();
        QTest::mouseClick(&board(), Qt::LeftButton, {}, at(pin.mark));
        QTest::keyClick(&board(), Qt::Key_Delete);
        QCOMPARE(session().scene().drawing->pins.size(), std::size_t(5));
        QTest::keyClick(&board(), Qt::Key_Z, Qt::ControlModifier);
        QCOMPARE(session().scene().drawing->pins.size(), std::size_t(6));
        QVERIFY(session().scene().drawing->pins.back() == pin);
    }
    void thePinTableIsEditedInPlace()
    {
        QTableView* table = m_window->pegCard().table();
        table->setFocus();
        table->setCurrentIndex(table->model()->index(0, 0));
        QTest::keyClick(table, Qt::Key_F2);
        auto* editor = table->findChild<QLineEdit*>();
        QVERIFY(editor);
        write(editor, "not a peg");
        QTest::keyClick(editor, Qt::Key_Return);
        QTest::qWait(50); // the table takes the value after the key
        QVERIFY(session().scene().drawing->pins.front().peg != "not a peg");
        board().setFocus();
    }
    void theGroundShowsTheDrawingTurned()
    {
        QTest::keyClick(&board(), Qt::Key_G);
        QCOMPARE(board().side(), BoardSide::Ground);
        QVERIFY(!board().scene().pegs.empty());
        QVERIFY(!board().scene().trenches.empty());
        QTest::keyClick(&board(), Qt::Key_G);
        QCOMPARE(board().side(), BoardSide::Film);
    }
    void anOutlineIsTraced()
    {
        QTest::keyClick(m_window.get(), Qt::Key_3, Qt::AltModifier);
        QCOMPARE(m_window->rail().station(), Station::Trace);
        const TrueOutline truth = m_demo.outline("P-01", "1004");
        QVERIFY(truth.px.size() > 100);
        ScanPx middle;
        for (const ScanPx& vertex : truth.px)
            middle = {middle.column + vertex.column / static_cast<double>(truth.px.size()),
                      middle.row + vertex.row / static_cast<double>(truth.px.size())};
        QTest::keyClick(&board(), Qt::Key_0);
        const auto allInView = [&] {
            return std::ranges::all_of(truth.px, [&](const ScanPx& vertex) {
                return board().rect().adjusted(20, 20, -20, -20).contains(at(vertex));
            });
        };
        for (int i = 0; i < 20 && allInView(); ++i)
            wheel(at(middle), 1);
        wheel(at(middle), -1);
        QVERIFY(allInView());

        QTest::keyClick(&board(), Qt::Key_N);
        QLineEdit* field = m_window->boardField().field();
        QTRY_VERIFY(field->isVisible() && field->hasFocus());
        QVERIFY2(session().undrawnContexts().contains(field->text()),
                 "the next undrawn context is proposed");
        write(field, "1004");
        QTest::keyClick(field, Qt::Key_Return);
        QCOMPARE(m_window->traceTool().armedFor(), std::string("1004"));
        // Vertices some 14 screen pixels apart: nearer to the first, a click would close the outline.
        std::vector<QPoint> clicked;
        const auto clear = [](QPoint a, QPoint b) {
            return std::hypot(a.x() - b.x(), a.y() - b.y()) >= 14;
        };
        for (const ScanPx& vertex : truth.px) {
            const QPoint here = at(vertex);
            if (!clicked.empty() && (!clear(here, clicked.back()) || !clear(here, clicked.front())))
                continue;
            clicked.push_back(here);
            QTest::mouseClick(&board(), Qt::LeftButton, {}, here);
        }
        QVERIFY(clicked.size() > 20);
        // One too many, taken back.
        QTest::mouseClick(&board(), Qt::LeftButton, {}, clicked.front() + QPoint(40, 40));
        QTest::keyClick(&board(), Qt::Key_Backspace);
        QTest::keyClick(&board(), Qt::Key_Return);
        QCOMPARE(session().scene().drawing->outlines.size(), std::size_t(1));
        QCOMPARE(session().scene().drawing->outlines[0].context, std::string("1004"));
        QCOMPARE(session().scene().drawing->outlines[0].parts[0].outer.vertices.size(), clicked.size());
        QVERIFY(m_window->traceTool().armedFor().empty());
    }
    void anOutlineThatCrossesItselfIsRefusedAndStaysToBeMended()
    {
        QTest::keyClick(&board(), Qt::Key_N);
        QLineEdit* field = m_window->boardField().field();
        QTRY_VERIFY(field->hasFocus());
        write(field, "1006");
        QTest::keyClick(field, Qt::Key_Return);
        for (const QPoint offset : {QPoint(10, 10), QPoint(110, 110), QPoint(110, 10), QPoint(10, 110)})
            QTest::mouseClick(&board(), Qt::LeftButton, Qt::AltModifier, offset);
        QTest::keyClick(&board(), Qt::Key_C);
        QCOMPARE(session().scene().drawing->outlines.size(), std::size_t(1));
        QVERIFY(m_window->traceTool().drawing());
        // Out of the mended form it is shown in, out of the ring, out of the number.
        QTest::keyClick(&board(), Qt::Key_Escape);
        QVERIFY(m_window->traceTool().drawing());
        QTest::keyClick(&board(), Qt::Key_Escape);
        QVERIFY(!m_window->traceTool().drawing());
        QVERIFY(!m_window->traceTool().armedFor().empty());
        QTest::keyClick(&board(), Qt::Key_Escape);
        QVERIFY(m_window->traceTool().armedFor().empty());
    }
    void undoAndRedoOfTheOutline()
    {
        const Outline traced = session().scene().drawing->outlines[0];
        QTest::keyClick(&board(), Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(session().scene().drawing->outlines.empty());
        QTest::keyClick(&board(), Qt::Key_Z, Qt::ControlModifier | Qt::ShiftModifier);
        QCOMPARE(session().scene().drawing->outlines.size(), std::size_t(1));
        QVERIFY(session().scene().drawing->outlines[0] == traced);
    }
    void aVertexIsDraggedPutInTakenOutAndAllIsUndone()
    {
        const Outline traced = session().scene().drawing->outlines[0];
        const std::vector<ScanPx>& ring = traced.parts[0].outer.vertices;
        QTest::mousePress(&board(), Qt::LeftButton, {}, at(ring[5]));
        QTest::mouseMove(&board(), at(ring[5]) + QPoint(3, 5));
        QTest::mouseMove(&board(), at(ring[5]) + QPoint(6, 7));
        QTest::mouseRelease(&board(), Qt::LeftButton, {}, at(ring[5]) + QPoint(6, 7));
        QVERIFY(!(session().scene().drawing->outlines[0] == traced));
        QTest::keyClick(&board(), Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(session().scene().drawing->outlines[0] == traced);
        QTest::mouseMove(&board(), at(ring[8]));
        // Without a window manager a late activation may have given the keys to the first button of the page.
        QTest::keyClick(m_window.get(), Qt::Key_F6); // the keys to the board
        QTRY_VERIFY(board().hasFocus());
        QTest::keyClick(&board(), Qt::Key_X);
        QCOMPARE(session().scene().drawing->outlines[0].parts[0].outer.vertices.size(), ring.size() - 1);
        QTest::keyClick(&board(), Qt::Key_Z, Qt::ControlModifier);
        QVERIFY(session().scene().drawing->outlines[0] == traced);
    }
    void theTallyListsWhatIsOutstanding()
    {
        QTest::keyClick(m_window.get(), Qt::Key_4, Qt::AltModifier);
        QVERIFY(m_window->tally().unfolded());
        QTRY_VERIFY_WITH_TIMEOUT(!m_window->tally().tally().open.empty() && !m_window->tally().running(),
                                 30000);
    }
    void whatIsHandedOverLiesWhereTheTruthDoes()
    {
        QTest::keyClick(m_window.get(), Qt::Key_5, Qt::AltModifier);
        HandOverPage& page = m_window->handOverPage();
        QVERIFY(page.isVisible());
        write(page.folder()->field(), m_demo.path("handed-over"));
        QTest::keyClick(page.folder()->field(), Qt::Key_Return);
        QWidget* start = QApplication::focusWidget();
        QCOMPARE(start->objectName(), QString("chief"));
        QTest::keyClick(start, Qt::Key_Space);
        QVERIFY(page.running());
        QTRY_VERIFY_WITH_TIMEOUT(!page.running(), 300000);
        for (const char* file : {"geodata.gpkg", "reports/residuals.pdf", "reports/project-report.html"})
            QVERIFY2(QFile::exists(m_demo.path("handed-over") + '/' + file), file);

        int count = 0;
        const std::vector<GroundM> exported = exportedRing("1004", count);
        QCOMPARE(count, 1);
        const TrueOutline truth = m_demo.outline("P-01", "1004");
        // 1.0 mm on film at 1:20 is 20 mm on the ground; both ways round, so that nothing is left out.
        double worst = 0;
        for (const GroundM& vertex : exported)
            worst = std::max(worst, distanceToRing(vertex, truth.ground));
        for (const GroundM& vertex : truth.ground)
            worst = std::max(worst, distanceToRing(vertex, exported));
        qInfo("outline against truth: %.3f mm on film", worst * 1000 / 20);
        QVERIFY(worst <= 0.020);
    }
    void theProjectOpensAgainAsItWasLeft()
    {
        QTest::keyClick(m_window.get(), Qt::Key_O, Qt::ControlModifier);
        QVERIFY(!session().isOpen());
        QPushButton* last = nullptr;
        const auto findIt = [&] {
            for (QPushButton* button : m_window->findChildren<QPushButton*>())
                if (button->isVisible() && button->toolTip().endsWith("demo/skelder-rigg.gpkg"))
                    last = button;
            return last != nullptr;
        };
        QTRY_VERIFY(findIt()); // among the last projects
        QTest::mouseClick(last, Qt::LeftButton);
        QVERIFY(session().isOpen());
        QCOMPARE(session().project().all<Outline>().size(), std::size_t(1));
        QCOMPARE(session().project().all<Pin>().size(), std::size_t(6));
    }
};

std::vector<GroundM> MainJobTest::exportedRing(const QString& context, int& count)
{
    std::vector<GroundM> ring;
    GDALAllRegister();
    const std::string file = m_demo.path("handed-over/geodata.gpkg").toStdString();
    GDALDatasetUniquePtr data(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY));
    OGRLayer* layer = data ? data->GetLayerByName("outlines") : nullptr;
    if (!layer)
        return ring;
    for (const auto& feature : *layer) {
        if (context != feature->GetFieldAsString("context"))
            continue;
        ++count;
        const OGRGeometry* geometry = feature->GetGeometryRef();
        const OGRPolygon* polygon = wkbFlatten(geometry->getGeometryType()) == wkbMultiPolygon
                                        ? geometry->toMultiPolygon()->getGeometryRef(0)
                                        : geometry->toPolygon();
        for (const OGRPoint& point : *polygon->getExteriorRing())
            ring.push_back({point.getX(), point.getY()});
        ring.pop_back(); // closed by repeating the first
    }
    return ring;
}

QTEST_MAIN(MainJobTest)
#include "MainJobTest.moc"
