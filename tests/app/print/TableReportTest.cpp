// SPDX-License-Identifier: GPL-3.0-or-later
// Reports made of tables, read again by programs that know nothing of them: poppler for the PDF, Qt's XML
// reader for the HTML.
#include "app/print/LevelReport.h"
#include "app/print/SectionReport.h"

#include <fstream>

#include <QProcess>
#include <QTemporaryDir>
#include <QTest>
#include <QXmlStreamReader>

#include "core/store/LoadRecords.h"
#include "tests/core/handover/YardProject.h"

using namespace inkpeg;

namespace {

QString pdfText(const std::filesystem::path& file)
{
    QProcess process;
    process.start("pdftotext", {"-layout", QString::fromStdString(file.string()), "-"});
    process.waitForFinished(60'000);
    return QString::fromUtf8(process.readAllStandardOutput());
}

/// The body as XML: every element closed, every text escaped.
bool isWellFormed(const std::string& html)
{
    QXmlStreamReader reader(QString::fromStdString(
        "<body>" + html.substr(html.find("<body>") + 6, html.rfind("</html>") - html.find("<body>") - 6)));
    while (!reader.atEnd())
        reader.readNext();
    if (reader.hasError())
        qWarning("%s", qPrintable(reader.errorString()));
    return !reader.hasError();
}

} // namespace

class TableReportTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<Project> m_project;

private slots:
    void initTestCase()
    {
        m_project.emplace(yard::make(m_folder.filePath("yard.gpkg").toStdString()));
        LevelBook book;
        book.name = "morning <1>";
        std::vector<LevelReading> readings(4);
        readings[0].point = "BM";
        readings[0].backsightM = 1.0;
        readings[0].benchmarkM = 51;
        readings[1].point = "A1";
        readings[1].intermediateM = 0.4;
        readings[1].note = "peg & nail";
        readings[2].point = "CP";
        readings[2].foresightM = 1.2;
        readings[2].backsightM = 1.1;
        readings[3].point = "BM";
        readings[3].foresightM = 0.903;
        readings[3].benchmarkM = 51;
        const Result<Change> put = putLevelBook(*m_project, book, readings);
        QVERIFY2(put, put ? "" : put.error().message.c_str());
    }

    void theLevelBookPageTellsBothReductionsAndTheChecks()
    {
        const Result<TableReport> report = levelReport(*m_project);
        QVERIFY(report);
        const auto files = writeTableReport(*report, m_folder.path().toStdString(), "levels");
        QVERIFY2(files, files ? "" : files.error().message.c_str());
        const QString text = pdfText(files->at(0));
        for (const char* words : {"Level book morning <1>", "arithmetic check holds",
                                  "miscloses by -3.0 mm", "51.600", "check holds", "Not for", "A1"})
            QVERIFY2(text.contains(words), qPrintable(QString(words) + " is not in:\n" + text));
        const std::string html = tableReportHtml(*report);
        QVERIFY(html.find("morning &lt;1&gt;") != std::string::npos);
        QVERIFY(html.find("peg &amp; nail") != std::string::npos);
        QVERIFY(isWellFormed(html));
        QVERIFY(!levelReport(*m_project, "evening"));
    }

    void theReportOnSectionsTellsLinesAndComparisons()
    {
        const Result<ProjectRecords> records = loadRecords(*m_project);
        const Result<TableReport> report = sectionReport(*m_project, *records);
        QVERIFY(report);
        QCOMPARE(report->tables.size(), std::size_t(4));
        QCOMPARE(report->tables[0].rows.size(), std::size_t(1));
        QCOMPARE(report->tables[0].rows[0].cells[0], std::string("S-01"));
        for (const ReportTable& table : report->tables)
            for (const ReportRow& row : table.rows)
                QCOMPARE(row.cells.size(), table.columns.size());
        QVERIFY(isWellFormed(tableReportHtml(*report)));
        QVERIFY(!sectionReport(*m_project, *records, "P-01"));
    }

    void aLongTableGoesOnOverPagesWithItsHead()
    {
        TableReport report{"Long", "A long table", "2026-08-21T12:00:00Z", {}};
        ReportTable table{"Rows", {}, {{"name", 1}, {"value", 1, true}}, {}, ""};
        for (int i = 0; i < 120; ++i)
            table.rows.push_back({{"row " + std::to_string(i), std::to_string(i)}, i % 10 == 0});
        report.tables = {table};
        const auto files = writeTableReport(report, m_folder.path().toStdString(), "long");
        QVERIFY(files);
        const QString text = pdfText(files->at(0));
        QVERIFY(text.count("value") >= 3 && text.contains("row 119"));
        QCOMPARE(tableReportPdf(report), tableReportPdf(report)); // the same bytes
        QVERIFY(!writeTableReport(report, "/proc/nowhere", "long"));
    }
};

QTEST_MAIN(TableReportTest)
#include "TableReportTest.moc"
