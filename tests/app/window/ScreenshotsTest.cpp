// SPDX-License-Identifier: GPL-3.0-or-later
// The window as it looks with the demo project at hand. Always checks that it fits a small screen and that
// nothing said on it is cut off; with INKPEG_SCREENSHOTS=FOLDER in the environment it also draws all sheets
// and saves a picture of each stage there (docs/screenshots/ is made so; INKPEG_SCREENSHOTS_SIZE=2560x1440 and
// INKPEG_SCREENSHOTS_THEME=dark for others).
#include <map>
#include <memory>

#include <QApplication>
#include <QCheckBox>
#include <QElapsedTimer>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QStandardPaths>
#include <QTest>

#include "app/board/Palette.h"
#include "app/board/PaletteStyle.h"
#include "app/window/MainWindow.h"
#include "app/window/PathField.h"
#include "tests/app/window/DemoFolder.h"

using namespace inkpeg;

class ScreenshotsTest : public QObject {
    Q_OBJECT

    DemoFolder m_demo;
    std::unique_ptr<MainWindow> m_window;
    QString m_folder = qEnvironmentVariable("INKPEG_SCREENSHOTS");
    QSize m_size = sizeNamed(qEnvironmentVariable("INKPEG_SCREENSHOTS_SIZE"));
    QString m_suffix = qEnvironmentVariable("INKPEG_SCREENSHOTS_SUFFIX");

    /// "2560x1440"; invalid when nothing is said.
    static QSize sizeNamed(const QString& text)
    {
        const QStringList sides = text.split('x');
        return sides.size() == 2 ? QSize(sides[0].toInt(), sides[1].toInt()) : QSize();
    }
    /// On a machine with much else to do the levels of a scan take as long as they take; what must not be is
    /// half a minute in which no scan's levels get further than they have been.
    void waitForFilm()
    {
        QElapsedTimer still;
        still.start();
        std::map<QString, double> furthest;
        const auto further = [&](double share, const QString& name) {
            if (share > furthest[name]) {
                furthest[name] = share;
                still.restart();
            }
        };
        const auto heard = connect(&m_window->board().shelf(), &ScanShelf::buildingShare, this, further);
        while (m_window->board().stillLoading() && still.elapsed() < 30000)
            QTest::qWait(20);
        disconnect(heard);
        QVERIFY(!m_window->board().stillLoading());
    }
    void settle()
    {
        QTest::qWait(150);
        waitForFilm();
        QTRY_VERIFY_WITH_TIMEOUT(!m_window->tally().running(), 300000);
        QTest::qWait(600);
        QTRY_VERIFY_WITH_TIMEOUT(!m_window->tally().running(), 300000);
    }
    void look(const QString& name)
    {
        settle();
        if (!m_folder.isEmpty())
            QVERIFY(m_window->grab().save(m_folder + '/' + name + m_suffix + ".png"));
        QVERIFY2(m_size.isValid() || (m_window->width() <= 1280 && m_window->height() <= 800),
                 qPrintable(name));
        for (const QPushButton* button : m_window->findChildren<QPushButton*>())
            if (button->isVisible())
                QVERIFY2(button->width() >= button->minimumSizeHint().width(),
                         qPrintable(name + ": " + button->text()));
    }

    QPoint at(ScanPx position) const { return m_window->board().widgetOfScan(position).toPoint(); }
    /// Half way round the flue, the pointer leading the line on.
    void followThePencil()
    {
        const TrueOutline flue = m_demo.outline("P-01", "1008");
        const auto along = [&](std::size_t eighths) { return flue.px[flue.px.size() * eighths / 8]; };
        m_window->board().goTo(along(1));
        m_window->traceTool().arm("1008");
        for (const std::size_t eighths : {0, 1})
            QTest::mouseClick(&m_window->board(), Qt::LeftButton, {}, at(along(eighths)));
        QVERIFY(m_window->traceTool().drawing());
        QTest::mouseMove(&m_window->board(), at(along(2)));
        look("3-trace-follow");
        m_window->traceTool().arm({});
    }
    /// The dish of the kiln by a click inside it.
    void proposeAnOutline()
    {
        const TrueOutline dish = m_demo.outline("P-01", "1004");
        ScanPx middle;
        for (const ScanPx& vertex : dish.px)
            middle = {middle.column + vertex.column / static_cast<double>(dish.px.size()),
                      middle.row + vertex.row / static_cast<double>(dish.px.size())};
        m_window->board().goTo(middle);
        m_window->board().zoomOut();
        m_window->traceTool().arm("1006");
        m_window->activateWindow();
        QVERIFY(QTest::qWaitForWindowActive(m_window.get()));
        if (!m_window->traceTool().ink().encloses())
            QTest::keyClick(&m_window->board(), Qt::Key_E);
        QTest::mouseClick(&m_window->board(), Qt::LeftButton, {}, at(middle) + QPoint(40, 60));
        QVERIFY(m_window->traceTool().ink().proposing());
        look("3-trace-inside");
        QTest::keyClick(&m_window->board(), Qt::Key_Escape);
        QTest::keyClick(&m_window->board(), Qt::Key_E);
    }

private slots:
    void initTestCase()
    {
        QStandardPaths::setTestModeEnabled(true);
        QApplication::setStyle(new PaletteStyle);
        if (qEnvironmentVariable("INKPEG_SCREENSHOTS_THEME") == "dark")
            setTheme(Theme::Dark);
        QVERIFY(m_demo.make(m_folder.isEmpty() ? "P-01" : ""));
        m_window = std::make_unique<MainWindow>();
        m_window->applyTheme();
        if (m_size.isValid())
            m_window->resize(m_size);
        m_window->show();
        QVERIFY(QTest::qWaitForWindowExposed(m_window.get()));
        look("0-start");
        ProjectFacts facts;
        facts.siteCode = "SKR26";
        facts.title = "Skelder Rigg";
        Person first;
        first.initials = "MH";
        first.name = "Maren Holt";
        QVERIFY(
            m_window->session().create(m_demo.path("demo/skelder-rigg.gpkg").toStdString(), facts, first));
    }
    void registers()
    {
        m_window->setStation(Station::Register);
        m_window->registerPage().files()->setText(m_demo.registers());
        emit m_window->registerPage().files()->accepted();
        look("1-register");
        // Without all the scans, the sheets that lack theirs are refused.
        m_window->registerPage().findChild<QCheckBox*>()->setChecked(m_folder.isEmpty());
        for (QPushButton* button : m_window->registerPage().findChildren<QPushButton*>("chief"))
            QTest::mouseClick(button, Qt::LeftButton);
        QVERIFY(!m_window->session().project().all<Pin>().empty());
    }
    void pegging()
    {
        m_window->session().chooseDrawing(m_window->session().project().byKey<Drawing>("P-01")->id);
        m_window->setStation(Station::Peg);
        look("2-peg");
        m_window->act("side")->trigger();
        look("2-peg-ground");
        m_window->act("side")->trigger();
    }
    void tracing()
    {
        m_window->setStation(Station::Trace);
        for (const char* context : {"1004", "1005", "1010"}) {
            const TrueOutline truth = m_demo.outline("P-01", context);
            Ring ring;
            for (std::size_t i = 0; i < truth.px.size(); i += 6) {
                ring.vertices.push_back(onLattice(truth.px[i]));
                ring.kinds.push_back(i < truth.px.size() / 3 ? EdgeKind::Uncertain : EdgeKind::Certain);
            }
            if (ring.vertices.size() >= 3)
                QVERIFY(m_window->session().addOutline(context, {{ring, {}}}));
        }
        m_window->traceTool().selectOutline(m_window->session().scene().drawing->outlines[0].id);
        look("3-trace");
        m_window->traceTool().selectOutline(0);
        QTRY_VERIFY_WITH_TIMEOUT(m_window->traceTool().ink().ready(), 300000);
        followThePencil();
        proposeAnOutline();
        m_window->traceTool().arm({});
    }
    void checking()
    {
        m_window->setStation(Station::Check);
        m_window->board().showAll();
        look("4-check");
        for (const char* page : {"sequence", "links", "records", "journal"}) {
            m_window->act(page)->trigger();
            QTest::qWait(300);
            look(QString("4-check-") + page);
        }
        m_window->setStation(Station::Check);
    }
    void handingOver()
    {
        m_window->setStation(Station::HandOver);
        m_window->handOverPage().folder()->setText(m_demo.path("handed-over"));
        for (QPushButton* button : m_window->handOverPage().findChildren<QPushButton*>("chief"))
            QTest::mouseClick(button, Qt::LeftButton);
        QTRY_VERIFY_WITH_TIMEOUT(!m_window->handOverPage().running(), 300000);
        look("5-hand-over");
        // The page that was left, shown once and polished, asks for nothing any more.
        m_window->setStation(Station::Check);
        settle();
        QVERIFY(m_size.isValid() || (m_window->width() <= 1280 && m_window->height() <= 800));
    }
};

QTEST_MAIN(ScreenshotsTest)
#include "ScreenshotsTest.moc"
