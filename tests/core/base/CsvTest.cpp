// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/Csv.h"

#include <fstream>

#include <nlohmann/json.hpp>

#include <QTest>

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
                                    << QByteArray("line 2: a quote is opened");
        QTest::newRow("after quote") << QByteArray("a\n\"1\"x\n") << QByteArray("line 2: text follows");
        QTest::newRow("too few") << QByteArray("a,b\n1,2\n3\n")
                                 << QByteArray("line 3: 1 fields, the header has 2");
        QTest::newRow("twice") << QByteArray("a,A\n1,2\n") << QByteArray("\"a\" is there twice");
        QTest::newRow("latin-1") << QByteArray("a\n\xE6\n") << QByteArray("not UTF-8");
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
};

QTEST_GUILESS_MAIN(CsvTest)
#include "CsvTest.moc"
