// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/Csv.h"

#include <fstream>
#include <random>

#include <nlohmann/json.hpp>

#include <QTemporaryDir>
#include <QTest>

#include "core/base/Text.h"

using namespace inkpeg;

class CsvTest final : public QObject {
    Q_OBJECT

private slots:
    // RFC 4180, Common Format and MIME Type for CSV Files, section 2; cases in
    // tests/published/csv_rfc4180.json.
    void theExamplesOfTheStandardAreRead()
    {
        std::ifstream file(INKPEG_PUBLISHED_DIR "/csv_rfc4180.json");
        const auto published = nlohmann::json::parse(file);
        QVERIFY(published["cases"].size() >= 4);
        for (const auto& example : published["cases"]) {
            const auto rows = readCsvRows(example["text"].get<std::string>(), "example");
            QVERIFY(rows);
            std::vector<std::vector<std::string>> fields;
            for (const CsvRow& row : *rows)
                fields.push_back(row.fields);
            QCOMPARE(fields, example["fields"].get<std::vector<std::vector<std::string>>>());
        }
    }

    void rowsRememberTheirLine()
    {
        const auto table = readCsv("\xEF\xBB\xBFPoint , BS\nA,1\n\n\"b\nc\",2\rD,3", "book.csv");
        QVERIFY(table);
        QCOMPARE(table->columns, (std::vector<std::string>{"point", "bs"}));
        QCOMPARE(table->rows.size(), std::size_t(3));
        QCOMPARE(table->rows[0].line, 2);
        QCOMPARE(table->rows[1].line, 4);
        QCOMPARE(table->rows[2].line, 6);
        QCOMPARE(table->column("bs").value(), std::size_t(1));
        QVERIFY(!table->column("fs"));
    }

    void badTextIsRefusedWithItsLine_data()
    {
        QTest::addColumn<QByteArray>("text");
        QTest::addColumn<QByteArray>("says");
        QTest::newRow("empty") << QByteArray("") << QByteArray("empty");
        QTest::newRow("open quote") << QByteArray("a,b\n1,\"2\n3,4\n")
                                    << QByteArray("line 2, character 3: a quote is opened");
        QTest::newRow("after quote") << QByteArray("a\n\"1\"x\n")
                                     << QByteArray("line 2, character 4: text follows");
        QTest::newRow("too few") << QByteArray("a,b\n1,2\n3\n")
                                 << QByteArray("line 3: 1 fields, the header has 2");
        QTest::newRow("twice") << QByteArray("a,A\n1,2\n") << QByteArray("\"a\" is there twice");
        QTest::newRow("NUL") << QByteArray("a,b\n1,\0\n", 8) << QByteArray("line 2, character 3: a NUL");
        QTest::newRow("UTF-16") << QByteArray("\xFF\xFE"
                                              "a\0",
                                              4)
                                << QByteArray("UTF-16");
        QTest::newRow("neither") << QByteArray("a\nb\x81\n")
                                 << QByteArray("line 2, character 2: is neither");
        QTest::newRow("stray quote") << QByteArray("a,b\n1,\xC3\xA6 3\" nail\n")
                                     << QByteArray("line 2, character 6: a quote within");
        QTest::newRow("semicolon") << QByteArray("a;b\n1;2;3\n") << QByteArray("line 2: 3 fields");
        QTest::newRow("long field") << "a,b\n1,\"" + QByteArray(5 << 20, 'x') + "\"\n"
                                    << QByteArray(
                                           "line 2, character 3: a quote is opened and never closed");
        QTest::newRow("long row") << "a,b\n1," + QByteArray(5 << 20, 'x') + "\n"
                                  << QByteArray("line 2, character 1: a line of more than 4 MiB");
    }
    void badTextIsRefusedWithItsLine()
    {
        QFETCH(QByteArray, text);
        QFETCH(QByteArray, says);
        const auto table = readCsv(text.toStdString(), "book.csv");
        QVERIFY(!table);
        QVERIFY2(table.error().message.find(says.toStdString()) != std::string::npos,
                 table.error().message.c_str());
    }

    void semicolonsAndWindows1252AreRecognisedAndSaid()
    {
        const auto table = readCsv("\n\"a,x\";b\r\n12,5;K\xF6rper \x96 \x80\r\n;;\r\n", "site.csv");
        QVERIFY2(table, table ? "" : table.error().message.c_str());
        QCOMPARE(table->reading.words(), std::string("Windows-1252, semicolon between the fields"));
        QCOMPARE(table->columns, (std::vector<std::string>{"a,x", "b"}));
        QCOMPARE(table->rows.size(), std::size_t(1));
        QCOMPARE(table->rows[0].fields,
                 (std::vector<std::string>{"12,5", "K\xC3\xB6rper \xE2\x80\x93 \xE2\x82\xAC"}));
    }

    void aLineWithoutEndIsRefusedBeforeItIsRead()
    {
        QTemporaryDir folder;
        const std::string file = folder.filePath("huge.csv").toStdString();
        {
            std::ofstream stream(file, std::ios::binary);
            stream << "a,b\n1,";
            // A hole of 1 GiB: reads as NULs without taking room on the disk.
            stream.seekp(std::streamoff{1} << 30);
            stream << "2\n";
        }
        const auto table = readCsvFile(file);
        QVERIFY(!table);
        QVERIFY2(table.error().message.find("line 2, character 1: a line of more than 4 MiB") !=
                     std::string::npos,
                 table.error().message.c_str());
    }

    void whatIsWrittenReadsBack()
    {
        const std::vector<std::string> cells = {
            "1032", "=SUM(A1:A9)", "-0.25",  "+12",    "-x",   "@cmd", "\tx",           "\rx",
            "'=x",  "''-y",        "'plain", "a\"b,c", "d\ne", "",     "K\xC3\xB6rper", "'-5"};
        for (const char separator : {',', ';'}) {
            const auto rows = readCsvRows(csvLine(std::vector<std::string>(cells.size(), "h"), separator) +
                                              csvLine(cells, separator),
                                          "written");
            QVERIFY2(rows, rows ? "" : rows.error().message.c_str());
            std::vector<std::string> meant;
            for (const std::string& field : rows->at(1).fields) {
                QVERIFY2(field.empty() || parseNumber(field) ||
                             std::string("=+-@\t\r").find(field[0]) == std::string::npos,
                         field.c_str());
                meant.push_back(cellAsMeant(field));
            }
            QCOMPARE(meant, cells);
        }
    }

    // RFC 4180, section 2, rules 1, 5, 6 and 7.
    void linesAreWrittenAsTheStandardSays()
    {
        QCOMPARE(csvLine({"aaa", "b\r\nbb", "c\"c"}), std::string("aaa,\"b\r\nbb\",\"c\"\"c\"\r\n"));
    }

    // Whatever bytes come, the reader answers; with no quotes lost, an accepted text written again reads
    // the same.
    void brokenTextsNeverBreakTheReader()
    {
        std::mt19937 random(20260504);
        const std::string alphabet("a1\"\",,;\r\n\n \xC3\xA6\x81\0=", 16);
        int accepted = 0;
        for (int round = 0; round < 20'000; ++round) {
            std::string text;
            for (std::size_t length = random() % 24; length > 0; --length)
                text += alphabet[random() % alphabet.size()];
            const auto rows = readCsvRows(text, "random");
            if (!rows) {
                QVERIFY(rows.error().message.starts_with("random"));
                continue;
            }
            ++accepted;
            std::string again;
            for (const CsvRow& row : *rows)
                for (std::size_t i = 0; i < row.fields.size(); ++i)
                    again += (i ? "," : "") + std::string("\"") +
                             [&] {
                                 std::string doubled;
                                 for (const char c : row.fields[i])
                                     doubled.append(c == '"' ? 2U : 1U, c);
                                 return doubled;
                             }() +
                             "\"" + (i + 1 == row.fields.size() ? "\r\n" : "");
            const auto reread = readCsvRows(again, "again");
            QVERIFY2(reread, again.c_str());
            QCOMPARE(reread->size(), rows->size());
            for (std::size_t i = 0; i < rows->size(); ++i)
                QCOMPARE(reread->at(i).fields, rows->at(i).fields);
        }
        QVERIFY(accepted > 1000);
    }
};

QTEST_GUILESS_MAIN(CsvTest)
#include "CsvTest.moc"
