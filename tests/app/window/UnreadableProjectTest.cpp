// SPDX-License-Identifier: GPL-3.0-or-later
// The window with a project file of which a record cannot be read: it opens what there is and says what is missing.
#include <QLabel>
#include <QTemporaryDir>
#include <QTest>
#include <QTextBrowser>

#include "app/window/HandOverPage.h"
#include "core/store/Database.h"
#include "tests/app/window/DemoWindow.h"
#include "tests/core/handover/YardFilm.h"

using namespace inkpeg;

class UnreadableProjectTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

private slots:
    void theWindowNamesWhatItCannotRead()
    {
        const std::filesystem::path file = m_folder.filePath("yard.gpkg").toStdString();
        {
            Project project = yard::make(file);
            yard::scanFilm(project);
        }
        {
            const Result<Database> database = Database::open(file, SQLITE_OPEN_READWRITE);
            QVERIFY(database && database->run("UPDATE contexts SET stage = 'xyz' WHERE number = '1033'"));
        }
        const auto window = shownWindow();
        QVERIFY(window);
        QStringList said;
        connect(&window->session(), &Session::said, this, [&](const QString& text, bool trouble) {
            if (trouble)
                said << text;
        });
        QVERIFY(window->session().open(file));
        QVERIFY2(!said.isEmpty() &&
                     said.last().contains("contexts 1033: contexts.stage: \"xyz\" is none of"),
                 qPrintable(said.join('\n')));
        QVERIFY(said.last().contains("yard.gpkg"));

        QTest::keyClick(window.get(), Qt::Key_E, Qt::ControlModifier);
        const auto* outcome = window->handOverPage().findChild<QTextBrowser*>("handOverOutcome");
        QTRY_VERIFY2(outcome->toPlainText().contains("contexts 1033"), qPrintable(outcome->toPlainText()));

        // Work goes on with what there is; the trouble is not said after every act anew.
        said.clear();
        QVERIFY(window->session().setDepositWords("CC BY 4.0", "Skelder Rigg archive"));
        QVERIFY2(said.isEmpty(), qPrintable(said.join('\n')));
    }
};

QTEST_MAIN(UnreadableProjectTest)
#include "UnreadableProjectTest.moc"
