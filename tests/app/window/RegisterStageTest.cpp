// SPDX-License-Identifier: GPL-3.0-or-later
// Registers in the real window while they take long: how far they are is shown, they can be stopped, and
// what was open is not deleted under its own feet. Here every piece of work takes long.
#include <memory>

#include <QApplication>
#include <QComboBox>
#include <QLabel>
#include <QLineEdit>
#include <QPointer>
#include <QProgressBar>
#include <QProgressDialog>
#include <QPushButton>
#include <QTableView>
#include <QTemporaryDir>
#include <QTest>
#include <QTimer>

#include "app/window/Away.h"
#include "app/window/MappingDialog.h"
#include "app/window/PathField.h"
#include "tests/app/window/DemoWindow.h"

using namespace inkpeg;

class RegisterStageTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::unique_ptr<MainWindow> m_window;

    QString path(const QString& name) const { return m_folder.filePath(name); }
    Project& project() { return m_window->session().project(); }
    RegisterPage& page() { return m_window->registerPage(); }
    QPushButton* take() { return page().findChild<QPushButton*>("chief"); }

    void writeCsv(const QString& name, const QByteArray& head, int lines)
    {
        QFile file(path(name));
        QVERIFY(file.open(QIODevice::WriteOnly));
        file.write(head);
        for (int i = 1; i <= lines; ++i)
            file.write(QByteArray::number(i) + ",from the north\n");
    }
    void enter(const QString& name)
    {
        page().files()->field()->setText(path(name));
        page().files()->field()->setFocus();
        QTest::keyClick(page().files()->field(), Qt::Key_Return);
    }

    /// What stands on the screen while work is away; `act` is done once with its dialog.
    struct Watch {
        bool seen = false;
        int furthest = 0;
    };
    Watch watch(const std::function<void()>& work, const std::function<void(QProgressDialog*)>& act)
    {
        Watch watch;
        QTimer tick;
        tick.setInterval(1);
        connect(&tick, &QTimer::timeout, this, [&] {
            auto* dialog = page().findChild<QProgressDialog*>();
            if (!dialog || !dialog->isVisible())
                return;
            watch.furthest = std::max(watch.furthest, dialog->value());
            if (!std::exchange(watch.seen, true))
                act(dialog);
        });
        tick.start();
        work();
        return watch;
    }

private slots:
    void initTestCase()
    {
        m_window = shownWindow();
        QVERIFY(m_window);
        ProjectFacts facts;
        facts.siteCode = "SKR26";
        Person first;
        first.initials = "MH";
        QVERIFY(m_window->session().create(path("site.gpkg").toStdString(), facts, first));
        m_window->setStation(Station::Register);
        showAwayAfter(0);
    }

    void aLongRegisterShowsHowFarItIsAndStopsWhenAsked()
    {
        writeCsv("photographs.csv", "number,subject\n", 60'000);
        const Watch stopped = watch([&] { enter("photographs.csv"); },
                                    [](QProgressDialog* dialog) {
                                        auto* stop = dialog->findChild<QPushButton*>();
                                        QVERIFY(stop != nullptr);
                                        QTest::mouseClick(stop, Qt::LeftButton);
                                        // Until the work has heard of it the window takes no input.
                                        QVERIFY(dialog->isVisible());
                                        QTest::keyClick(dialog, Qt::Key_Escape);
                                        QVERIFY(dialog->isVisible());
                                    });
        QVERIFY(stopped.seen);
        bool said = false;
        for (const QLabel* label : page().findChildren<QLabel*>())
            said = said || label->text().startsWith("Stopped: not every register was tried");
        QVERIFY(said);
        QVERIFY(!take()->isEnabled());
        QCOMPARE(page().lines()->model()->rowCount(), 0);
        const auto asked = [&] {
            m_window->act("takeRegisters")->trigger();
            return m_window->findChild<QLabel*>("said")->toolTip();
        };
        QVERIFY2(asked().startsWith("Name the register files"), qPrintable(asked()));

        const Watch tried = watch([&] { enter("photographs.csv"); }, [](QProgressDialog*) {});
        QVERIFY(tried.seen && tried.furthest > 0);
        QVERIFY(take()->isEnabled());
        QVERIFY(project().all<Photograph>().empty());
        const Watch halted = watch([&] { QTest::mouseClick(take(), Qt::LeftButton); },
                                   [this](QProgressDialog* dialog) {
                                       // The work has the project; what is drawn reads another way.
                                       QVERIFY(!m_window->session().canWrite());
                                       QVERIFY(project().all<Photograph>().empty());
                                       QTest::mouseClick(dialog->findChild<QPushButton*>(), Qt::LeftButton);
                                   });
        QVERIFY(halted.seen);
        QVERIFY(m_window->session().canWrite());
        QVERIFY(project().all<Photograph>().empty());
        QCOMPARE(page().lines()->model()->index(0, 3).data().toString(), QString("! stopped"));
        QVERIFY2(asked().startsWith("Name the register files"), qPrintable(asked()));
        enter("photographs.csv");
        const Watch taken =
            watch([&] { QTest::mouseClick(take(), Qt::LeftButton); }, [](QProgressDialog*) {});
        QVERIFY(taken.seen && taken.furthest > 0);
        QCOMPARE(project().all<Photograph>().size(), std::size_t(60'000));
        QVERIFY(m_window->session().undo());
        QVERIFY(project().all<Photograph>().empty());
    }

    void whyTheLinesCannotBeTakenIsTheTrueReason()
    {
        const auto asked = [&] {
            m_window->act("takeRegisters")->trigger();
            return m_window->findChild<QLabel*>("said")->toolTip();
        };
        writeCsv("photographs.csv", "number,subject\n", 3);
        QFile file(path("photographs.csv"));
        QVERIFY(file.open(QIODevice::Append) && file.write(",without a number\n") > 0);
        file.close();
        enter("photographs.csv");
        QVERIFY(!take()->isEnabled());
        QVERIFY2(asked().startsWith("Lines are refused"), qPrintable(asked()));
        writeCsv("photographs.csv", "other,columns\n", 3);
        enter("photographs.csv");
        QVERIFY(!take()->isEnabled());
        QVERIFY2(asked().startsWith("A file could not be read"), qPrintable(asked()));
        QVERIFY(project().all<Photograph>().empty());
    }

    /// Trying began while the dialog was still saying that it was accepted, in an event loop that deleted it.
    void theMappingDialogIsGoneBeforeItsRegisterIsTried()
    {
        writeCsv("bilder.csv", "Foto Nr,Zeigt\n", 2'000);
        enter("bilder.csv");
        QVERIFY(!take()->isEnabled());
        for (int round = 0; round < 5; ++round) {
            QTest::mouseClick(page().matchButton(), Qt::LeftButton);
            QPointer<MappingDialog> dialog = m_window->findChild<MappingDialog*>();
            QVERIFY(dialog && dialog->isVisible());
            QComboBox* kind = dialog->registerField();
            kind->setFocus();
            kind->setCurrentIndex(kind->findText("photographs", Qt::MatchFixedString));
            emit kind->activated(kind->currentIndex()); // the fields of the columns are made anew
            for (const auto& [ours, theirs] : {std::pair{"number", "foto nr"}, {"subject", "zeigt"}}) {
                QComboBox* box = dialog->columnField(ours);
                box->setFocus();
                box->setCurrentIndex(box->findText(theirs, Qt::MatchFixedString));
            }
            bool alive = false;
            take()->setEnabled(false); // as the round before has left it
            const Watch tried = watch(
                [&] {
                    QTest::mouseClick(dialog->findChild<QPushButton*>("chief"), Qt::LeftButton);
                    QTRY_VERIFY_WITH_TIMEOUT(take()->isEnabled(), 300000);
                },
                [&](QProgressDialog*) { alive = dialog && dialog->isVisible(); });
            QVERIFY(tried.seen && !alive);
            QTRY_VERIFY(!dialog);
        }
    }
};

QTEST_MAIN(RegisterStageTest)
#include "RegisterStageTest.moc"
