// SPDX-License-Identifier: GPL-3.0-or-later
// Laying in the real window: the drawing at hand, all plans, stopped and gone on with, and bad input.
#include <memory>

#include <gdal_priv.h>

#include <QApplication>
#include <QComboBox>
#include <QImage>
#include <QLabel>
#include <QLineEdit>
#include <QProgressBar>
#include <QPushButton>
#include <QRadioButton>
#include <QStandardPaths>
#include <QTest>
#include <QTextBrowser>

#include "app/board/PaletteStyle.h"
#include "app/window/LayDialog.h"
#include "app/window/MainWindow.h"
#include "app/window/PathField.h"
#include "app/window/SheetPreview.h"
#include "app/window/StitchDialog.h"
#include "app/window/UprightDialog.h"
#include "tests/app/window/DemoFolder.h"

using namespace inkpeg;

class LayWindowTest : public QObject {
    Q_OBJECT

    DemoFolder m_demo;
    std::unique_ptr<MainWindow> m_window;

    LayDialog& dialog() { return *m_window->findChild<LayDialog*>(); }
    QPushButton* button(const char* name) { return dialog().findChild<QPushButton*>(name); }
    QString outcome() { return dialog().findChild<QTextBrowser*>()->toPlainText(); }
    void write(const char* field, const QString& text)
    {
        auto* line = dialog().findChild<QLineEdit*>(field);
        line->setFocus();
        QTest::keyClick(line, Qt::Key_A, Qt::ControlModifier);
        text.isEmpty() ? QTest::keyClick(line, Qt::Key_Delete) : QTest::keyClicks(line, text);
    }
    /// Without a window manager the server may still be handing the keys back when a window says that it
    /// has them; whoever sits there presses once more.
    void press(Qt::Key key, const QWidget& opens)
    {
        for (int again = 0; again < 20 && !opens.isVisible(); ++again) {
            m_window->activateWindow();
            QVERIFY(QTest::qWaitForWindowActive(m_window.get()));
            QTest::keyClick(m_window.get(), key, Qt::ControlModifier);
            QTest::qWait(100);
        }
        QVERIFY(opens.isVisible());
    }
    void openByKey()
    {
        press(Qt::Key_G, dialog());
        dialog().activateWindow();
        QVERIFY(QTest::qWaitForWindowActive(&dialog()));
    }
    /// As ScreenshotsTest does, for whoever wants to see the dialogs.
    static void picture(QWidget& widget, const QString& name)
    {
        if (const QString folder = qEnvironmentVariable("INKPEG_SCREENSHOTS"); !folder.isEmpty())
            QVERIFY(widget.grab().save(folder + "/" + name + ".png"));
    }
    QStringList files(const QString& folder)
    {
        return QDir(m_demo.path(folder)).entryList(QDir::Files | QDir::Hidden, QDir::Name);
    }

private slots:
    void initTestCase()
    {
        QStandardPaths::setTestModeEnabled(true);
        QApplication::setStyle(new PaletteStyle);
        QVERIFY(m_demo.make({}));
        m_window = std::make_unique<MainWindow>();
        m_window->applyTheme();
        m_window->show();
        ProjectFacts facts;
        facts.siteCode = "SKR26";
        facts.title = "Skelder Rigg";
        facts.crs = "EPSG:25832";
        Person person;
        person.initials = "MH";
        Session& session = m_window->session();
        const auto made =
            session.create(m_demo.path("demo/skelder-rigg.gpkg").toStdString(), facts, person);
        QVERIFY2(made, made ? "" : made.error().message.c_str());
        QVERIFY(takeRegisters());
        session.refresh();
        const auto drawing = session.project().byKey<Drawing>("P-01");
        QVERIFY(drawing);
        session.chooseDrawing(drawing->id);
    }

    void theDrawingAtHandIsLaid()
    {
        openByKey();
        QVERIFY(dialog().findChild<QRadioButton*>("layOne")->isChecked());
        write("layFolder", m_demo.path("one"));
        write("layPixel", "5");
        QTest::keyClick(button("chief"), Qt::Key_Space);
        QTRY_VERIFY_WITH_TIMEOUT(!dialog().running() && outcome().contains("1 laid"), 300000);
        QCOMPARE(files("one"), QStringList("P-01.tif"));
        GDALAllRegister();
        GDALDatasetUniquePtr laid(
            GDALDataset::Open(qPrintable(m_demo.path("one/P-01.tif")), GDAL_OF_RASTER));
        QVERIFY(laid);
        double geotransform[6];
        QCOMPARE(laid->GetGeoTransform(geotransform), CE_None);
        QCOMPARE(geotransform[1], 0.005);
    }

    void aPixelThatIsNoNumberIsRefusedInWords()
    {
        write("layPixel", "five");
        QTest::keyClick(button("chief"), Qt::Key_Space);
        QVERIFY(!dialog().running());
        QVERIFY2(outcome().contains("five"), qPrintable(outcome()));
        write("layPixel", "");
    }

    void allPlansAreStoppedAndGoneOnWith()
    {
        QTest::mouseClick(dialog().findChild<QRadioButton*>("layAll"), Qt::LeftButton, {}, QPoint(10, 10));
        write("layFolder", m_demo.path("all"));
        write("layPixel", "5"); // coarse and nearest: the demo's sheets are large
        auto* kernel = dialog().findChild<QComboBox*>("layKernel");
        kernel->setFocus();
        QTest::keyClick(kernel, Qt::Key_End);
        QCOMPARE(kernel->currentData().toInt(), static_cast<int>(Kernel::Nearest));
        QTest::keyClick(button("chief"), Qt::Key_Space);
        QVERIFY(dialog().running());
        QTRY_VERIFY(button("layStop")->isVisible() && dialog().findChild<QProgressBar*>()->isVisible());
        // The window goes on working meanwhile: another stage is gone to.
        m_window->act("stagePeg")->trigger();
        QCOMPARE(m_window->rail().station(), Station::Peg);
        QTest::mouseClick(button("layStop"), Qt::LeftButton);
        QTRY_VERIFY_WITH_TIMEOUT(!dialog().running(), 300000);
        QVERIFY2(outcome().contains("stopped"), qPrintable(outcome()));
        for (const QString& name : files("all"))
            QVERIFY2(!name.startsWith('.'), qPrintable(name));
        const auto stopped = files("all").size();
        dialog().hide();
        openByKey();
        dialog().findChild<QRadioButton*>("layAll")->setFocus();
        QTest::keyClick(dialog().findChild<QRadioButton*>("layAll"), Qt::Key_Space);
        QTest::keyClick(button("chief"), Qt::Key_Space);
        QTRY_VERIFY_WITH_TIMEOUT(!dialog().running() && outcome().contains("failed"), 100'000);
        QVERIFY(files("all").size() > stopped);
        QVERIFY2(outcome().contains(QString("%1 up to date").arg(stopped)), qPrintable(outcome()));
        picture(dialog(), "lay");
        dialog().hide(); // without a window manager an open dialog keeps the keys
    }

    void theSheetStandsUprightAndItsPartIsMarked()
    {
        auto* upright = m_window->findChild<UprightDialog*>();
        press(Qt::Key_U, *upright);
        QTRY_VERIFY_WITH_TIMEOUT(!upright->running(), 300000);
        auto* said = upright->findChild<QLabel*>("uprightWords");
        QVERIFY2(said->text().contains("clockwise"), qPrintable(said->text()));
        SheetPreview& preview = upright->preview();
        const QPoint middle = preview.rect().center();
        const QPoint from = middle - QPoint(120, 90), to = middle + QPoint(130, 70);
        QTest::mousePress(&preview, Qt::LeftButton, {}, from);
        QTest::mouseMove(&preview, middle);
        QTest::mouseRelease(&preview, Qt::LeftButton, {}, to);
        picture(*upright, "sheet-upright");
        const auto take = upright->findChild<QPushButton*>("chief");
        QVERIFY(take->isEnabled());
        QVERIFY(m_window->session().drawing()->frame.empty());
        QTest::mouseClick(take, Qt::LeftButton);
        const auto frame = m_window->session().drawing()->frame;
        QCOMPARE(frame.size(), std::size_t{4});
        QVERIFY(QLineF(preview.widgetOfScan(frame[0]), from).length() < 1);
        QVERIFY(QLineF(preview.widgetOfScan(frame[2]), to).length() < 1);
        QVERIFY(m_window->session().undo());
        QVERIFY(m_window->session().drawing()->frame.empty());
        upright->hide();
    }

    void halvesOfASheetAreStitched()
    {
        const QImage sheet = pictureOf(m_window->session().scene().drawing->scanFile);
        const int width = sheet.width() * 6 / 10;
        QVERIFY(sheet.copy(0, 0, width, sheet.height()).save(m_demo.path("left.png")));
        QVERIFY(sheet.copy(sheet.width() - width, 0, width, sheet.height()).save(m_demo.path("right.png")));
        auto* stitch = m_window->findChild<StitchDialog*>();
        press(Qt::Key_J, *stitch);
        const auto type = [&](const char* name, const QString& text) {
            auto* field = stitch->findChild<QLineEdit*>(name);
            field->setFocus();
            QTest::keyClicks(field, text);
        };
        auto* outcome = stitch->findChild<QLabel*>("stitchOutcome");
        type("stitchFirst", m_demo.path("left.png"));
        QTest::mouseClick(stitch->findChild<QPushButton*>("chief"), Qt::LeftButton);
        QVERIFY2(outcome->text().contains("both halves"), qPrintable(outcome->text()));
        type("stitchSecond", m_demo.path("right.png"));
        type("stitchOutput", m_demo.path("whole"));
        QTest::mouseClick(stitch->findChild<QPushButton*>("chief"), Qt::LeftButton);
        QVERIFY(stitch->running());
        QTRY_VERIFY_WITH_TIMEOUT(!stitch->running(), 100'000);
        QVERIFY2(outcome->text().contains("misfit"), qPrintable(outcome->text()));
        const QImage whole = pictureOf(m_demo.path("whole.tif").toStdString());
        QVERIFY(std::abs(whole.width() - sheet.width()) <= 2);
        picture(*stitch, "stitch");
        stitch->hide();
    }

private:
    bool takeRegisters();
    static QImage pictureOf(const std::filesystem::path& file);
};

/// A scan with its resolution; Qt by itself reads no TIFF.
QImage LayWindowTest::pictureOf(const std::filesystem::path& file)
{
    const Result<Scan> scan = Scan::open(file);
    if (!scan)
        return {};
    const int width = scan->facts().widthPx, height = scan->facts().heightPx;
    const auto grey = scan->readGrey({0, 0, width, height}, width, height);
    if (!grey)
        return {};
    QImage picture = QImage(grey->pixels.data(), width, height, width, QImage::Format_Grayscale8).copy();
    picture.setDotsPerMeterX(static_cast<int>(std::lround(scan->facts().dpiX / 0.0254)));
    picture.setDotsPerMeterY(static_cast<int>(std::lround(scan->facts().dpiY / 0.0254)));
    return picture;
}

/// By the window itself, as MainJobTest shows; here only its outcome counts.
bool LayWindowTest::takeRegisters()
{
    QTest::keyClick(m_window.get(), Qt::Key_1, Qt::AltModifier);
    RegisterPage& page = m_window->registerPage();
    QLineEdit* field = page.files()->field();
    field->setFocus();
    QTest::keyClick(field, Qt::Key_A, Qt::ControlModifier);
    QTest::keyClicks(field, m_demo.registers());
    QTest::keyClick(field, Qt::Key_Return);
    auto* take = page.findChild<QPushButton*>("chief");
    if (!take->isEnabled())
        return false;
    QTest::mouseClick(take, Qt::LeftButton);
    return !m_window->session().project().all<Drawing>().empty();
}

QTEST_MAIN(LayWindowTest)
#include "LayWindowTest.moc"
