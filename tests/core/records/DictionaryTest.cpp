// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/Dictionary.h"

#include <fstream>
#include <sstream>

#include <QTest>

#include "core/base/Csv.h"
#include "core/records/Registers.h"
#include "core/records/Schema.h"

using namespace inkpeg;

namespace {

/// The columns of every register, as docs/file-format.md has them.
std::string registersMarkdown()
{
    std::string text;
    for (const RegisterKind kind : allRegisters()) {
        text +=
            "**" + registerName(kind) + ".csv**\n\n| column | must be | what goes in |\n|---|---|---|\n";
        for (const RegisterColumn& column : registerColumns(kind))
            text +=
                "| " + column.name + " | " + (column.required ? "yes" : "") + " | " + column.words + " |\n";
        text += "\n";
    }
    return text;
}

} // namespace

class DictionaryTest final : public QObject {
    Q_OBJECT

private slots:
    // After a change of the records: INKPEG_PRINT_DICTIONARY=1 prints what belongs into the page.
    void thePageOnTheFileFormatIsUpToDate()
    {
        std::ifstream file(INKPEG_SOURCE_DIR "/docs/file-format.md");
        std::stringstream page;
        page << file.rdbuf();
        QVERIFY(file);
        const std::string parts[] = {registersMarkdown(), dataDictionaryMarkdown()};
        if (qEnvironmentVariableIsSet("INKPEG_PRINT_DICTIONARY"))
            std::fprintf(stdout, "%s<<<\n%s<<<\n", parts[0].c_str(), parts[1].c_str());
        for (const std::string& part : parts)
            QVERIFY2(page.str().find(part) != std::string::npos,
                     "see INKPEG_PRINT_DICTIONARY above for what belongs there");
    }

    void everyColumnHasItsLine()
    {
        const auto table = readCsv(dataDictionaryCsv(), "dictionary");
        QVERIFY(table);
        std::size_t columns = 0;
        for (const Table* each : allTables())
            columns += each->columns.size();
        QCOMPARE(table->rows.size(), columns);
        for (const CsvRow& row : table->rows)
            QVERIFY(!row.fields[2].empty() && !row.fields[4].empty());
    }
};

QTEST_GUILESS_MAIN(DictionaryTest)
#include "DictionaryTest.moc"
