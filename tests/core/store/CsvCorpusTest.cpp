// SPDX-License-Identifier: GPL-3.0-or-later
// A corpus of broken and odd register files, taken in as contexts: each is read right or refused with the line
// and character, and then nothing of it is in the project. And: the memory of columns, seals under a register.
#include "core/store/RegisterImport.h"

#include <fstream>

#include <QTemporaryDir>
#include <QTest>

#include "core/store/RegisterLines.h"
#include "core/store/SignOffs.h"
#include "tests/core/store/SoundProject.h"

using namespace inkpeg;

class CsvCorpusTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    int m_count = 0;

    std::string path(const std::string& name) const
    {
        return m_folder.filePath(QString::fromStdString(name)).toStdString();
    }
    std::string write(const std::string& name, const QByteArray& bytes) const
    {
        std::ofstream(path(name), std::ios::binary) << bytes.toStdString();
        return path(name);
    }
    Project emptyProject()
    {
        return Project::create(path("corpus" + std::to_string(++m_count) + ".gpkg"), {}).value();
    }

private slots:
    void aFileOfTheCorpusIsReadRightOrRefusedWhole_data()
    {
        QTest::addColumn<QByteArray>("bytes");
        QTest::addColumn<QByteArray>("says");        // of a refusal; empty = it is read
        QTest::addColumn<QByteArray>("description"); // of context 1001, as read
        const auto row = [](const char* name, const QByteArray& bytes, const QByteArray& says,
                            const QByteArray& description = {}) {
            QTest::newRow(name) << bytes << says << description;
        };
        const QByteArray head = "number,description\r\n";
        row("byte order mark", "\xEF\xBB\xBF" + head + "1001,clay\r\n", {}, "clay");
        row("byte order mark alone", "\xEF\xBB\xBF", "empty");
        row("byte order mark twice", "\xEF\xBB\xBF\xEF\xBB\xBF" + head + "1001,clay\r\n", "column");
        row("UTF-16, little end first", QByteArray("\xFF\xFEn\0u\0", 6), "UTF-16");
        row("UTF-16, big end first", QByteArray("\xFE\xFF\0n\0u", 6), "UTF-16");
        row("mixed line ends", "number,description\r1001,clay\n1002,silt\r\n1003,sand\r", {}, "clay");
        row("no end at the end", head + "1001,clay", {}, "clay");
        row("blank lines", "\r\n" + head + "\r\n1001,clay\r\n\r\n,\r\n", {}, "clay");
        row("quotes as the standard has them", head + "1001,\"clay, \"\"blue\"\"\r\nsticky\"\r\n", {},
            "clay, \"blue\"\r\nsticky");
        row("a quote within a field", head + "1001,3\" of clay\r\n", "line 2, character 7");
        row("text after a quote", head + "1001,\"clay\" grey\r\n", "line 2, character 12");
        row("a quote never closed", head + "1001,\"clay\r\n1002,silt\r\n", "line 2, character 6");
        row("a NUL", head + QByteArray("1001,cl\0ay\r\n", 12), "line 2, character 8: a NUL");
        row("NULs alone", QByteArray(100, '\0'), "NUL");
        row("a line too long", head + "1001," + QByteArray(5 << 20, 'x') + "\r\n", "more than 4 MiB");
        row("a field too long in quotes", head + "1001,\"" + QByteArray(5 << 20, 'x'), "more than 4 MiB");
        row("semicolons and Windows-1252", "number;description\r\n1001;Br\xE4unlich, 2;5\r\n", "line 2");
        row("Windows-1252", "number;description\r\n1001;br\xE4unlich\r\n", {}, "br\xC3\xA4unlich");
        row("neither encoding", head + "1001,a\x81z\r\n", "line 2, character 7");
        row("too many cells", head + "1001,clay,grey\r\n", "line 2");
        row("too few cells", head + "1002,ok\r\n1001\r\n", "line 3");
        row("a column twice", "number,number\r\n1001,1002\r\n", "there twice");
        row("an unknown column", "number,colour\r\n1001,grey\r\n", "colour");
        row("columns alone", head, "no lines");
        row("blanks alone", "   \r\n\t\r\n", "");
        row("a formula-looking cell, neutralised", head + "1001,'=HYPERLINK(1)\r\n", {}, "=HYPERLINK(1)");
        row("a formula-looking cell, as it is", head + "1001,=1+1\r\n", {}, "=1+1");
        row("the same number twice", head + "1001,clay\r\n1001,silt\r\n", "line 3");
    }
    void aFileOfTheCorpusIsReadRightOrRefusedWhole()
    {
        QFETCH(QByteArray, bytes);
        QFETCH(QByteArray, says);
        QFETCH(QByteArray, description);
        Project project = emptyProject();
        const std::string file = write("contexts.csv", bytes);
        const auto report = importRegister(project, file);
        const bool isRefused = description.isEmpty();
        QCOMPARE(static_cast<bool>(report), !isRefused);
        if (!isRefused) {
            QCOMPARE(project.byKey<Context>("1001")->description, description.toStdString());
            return;
        }
        QVERIFY2(report.error().message.find("contexts.csv") != std::string::npos,
                 report.error().message.c_str());
        QVERIFY2(report.error().message.find(says.toStdString()) != std::string::npos,
                 report.error().message.c_str());
        QVERIFY(project.all<Context>().empty());
        QVERIFY(project.journal().empty());
    }

    /// Written so that a spreadsheet does not run it, and read again as it was.
    void cellsThatASpreadsheetWouldRunAreNeutralised()
    {
        Project project = emptyProject();
        const std::vector<std::string> texts{"=SUM(A1)", "+1-555", "-x", "@cmd", "\tx", "'quoted'", "-0.5"};
        QVERIFY(project.act("fill", [&](Editor& edit) -> Result<void> {
            for (std::size_t i = 0; i < texts.size(); ++i) {
                Context context;
                context.number = std::to_string(1001 + i);
                context.description = texts[i];
                if (const auto put = edit.put(context); !put)
                    return put;
            }
            return {};
        }));
        const std::string csv = registerCsv(project, RegisterKind::Contexts);
        for (const char* run : {",=", ",+1-", ",-x", ",@", ",\t"})
            QVERIFY2(csv.find(run) == std::string::npos, csv.c_str());
        Project again = emptyProject();
        const std::string file = write("contexts.csv", QByteArray::fromStdString(csv));
        const auto report = importRegister(again, file);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        for (std::size_t i = 0; i < texts.size(); ++i) {
            const std::string expected = texts[i] == "\tx" ? "x" : texts[i]; // blanks at the ends are none
            const std::string read = again.byKey<Context>(std::to_string(1001 + i))->description;
            QVERIFY2(read == expected || read == texts[i], read.c_str());
        }
    }

    void columnsPassedOverAreRememberedToo()
    {
        Project project = emptyProject();
        ImportSettings settings;
        settings.kind = RegisterKind::Photographs;
        settings.columns = {{"number", "Foto"}};
        settings.passOver = {"Film"};
        QVERIFY(importRegister(project, write("a.csv", "foto,film\n17,III\n"), settings));
        const HeaderMapping remembered = rememberedMapping(project, RegisterKind::Photographs);
        QCOMPARE(remembered.columns.at("number"), std::string("Foto"));
        QVERIFY(remembered.passOver.contains("Film"));
        QVERIFY(rememberedMapping(project, RegisterKind::Finds).columns.empty());
        const auto report = importRegister(project, write("photographs.csv", "foto,film\n18,III\n"));
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        QCOMPARE(report->remarks.size(), std::size_t{2}); // both are said
        // Given again otherwise, the later match counts, and is kept once.
        settings.columns = {{"number", "Nr"}};
        QVERIFY(importRegister(project, write("b.csv", "nr,film\n19,III\n"), settings));
        QCOMPARE(project.all<ColumnMatch>().size(), std::size_t{2});
        QCOMPARE(rememberedMapping(project, RegisterKind::Photographs).columns.at("number"),
                 std::string("Nr"));
    }

    void aRegisterBreaksASealWithAReasonAlone()
    {
        Project project = soundProject(path("sealed.gpkg"));
        for (const Stage stage : {Stage::Checked, Stage::SignedOff})
            QVERIFY(signOff(project, "drawing", "P-1", stage, "looked"));
        Peg peg =
            *project.byKey<Peg>(project.ofDrawing<Pin>(project.byKey<Drawing>("P-1")->id).front().peg);
        const std::string file = write("pegs.csv", QStringLiteral("name,east,north,note\n%1,%2,%3,again\n")
                                                       .arg(QString::fromStdString(peg.name))
                                                       .arg(peg.position.east + 0.002, 0, 'f', 4)
                                                       .arg(peg.position.north, 0, 'f', 4)
                                                       .toUtf8());
        const auto refused = importRegister(project, file);
        QVERIFY(!refused);
        QVERIFY2(refused.error().message.find("needs a reason") != std::string::npos,
                 refused.error().message.c_str());
        QVERIFY(isSealed(project, "drawing", "P-1"));
        QCOMPARE(project.byKey<Peg>(peg.name)->position, peg.position);
        ImportSettings settings;
        settings.why = "surveyed again";
        QVERIFY(importRegister(project, file, settings));
        QVERIFY(!isSealed(project, "drawing", "P-1"));
    }

    void aRegisterAsTextIsInTheOrderOfItsNumbers()
    {
        Project project = soundProject(path("table.gpkg"));
        const RegisterTable table = registerTable(project, RegisterKind::Contexts);
        QCOMPARE(table.rows(), std::size_t{3});
        QCOMPARE(table.columns()[0], std::string("number"));
        QCOMPARE(std::string(table.cell(0, 0)), std::string("1001"));
        QCOMPARE(table.matching("kind:cut").size(), std::size_t{1});
        for (const RegisterKind kind : allRegisters())
            QCOMPARE(registerTable(project, kind).columns().size(), registerColumns(kind).size());
    }
};

QTEST_GUILESS_MAIN(CsvCorpusTest)
#include "CsvCorpusTest.moc"
