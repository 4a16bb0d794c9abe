// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/RegisterTable.h"

#include <random>

#include <QString>
#include <QTest>

using namespace inkpeg;

namespace {

RegisterTable finds()
{
    RegisterTable table({"number", "context", "material"});
    table.add({"SF-093", "1012", "pottery"});
    table.add({"SF-10", "1005", "Iron nail"});
    table.add({"SF-9", "1005",
               "Gef\xC3\xA4\xC3\x9F, \xC3\x9C"
               "berzug"});
    return table;
}

std::vector<std::uint32_t> rows(std::initializer_list<std::uint32_t> list)
{
    return list;
}

} // namespace

class RegisterTableTest final : public QObject {
    Q_OBJECT

private slots:
    void wordsAreFoundInAnyColumnAndCase()
    {
        const RegisterTable table = finds();
        QCOMPARE(table.matching(""), rows({0, 1, 2}));
        QCOMPARE(table.matching("  "), rows({0, 1, 2}));
        QCOMPARE(table.matching("POT"), rows({0}));
        QCOMPARE(table.matching("sf 1005"), rows({1, 2}));
        QCOMPARE(table.matching("\xC3\xBC"
                                "BER"),
                 rows({2}));
        QCOMPARE(table.matching("1005 pottery"), rows({}));
    }

    void aColumnsNameBindsAWord()
    {
        const RegisterTable table = finds();
        QCOMPARE(table.matching("10"), rows({0, 1, 2}));
        QCOMPARE(table.matching("number:10"), rows({1}));
        QCOMPARE(table.matching("Context:1005 iron"), rows({1}));
        QCOMPARE(table.matching("nosuch:10"), rows({}));
        QCOMPARE(table.matching("number:"), rows({0, 1, 2})); // still being typed
    }

    void quotesKeepWordsTogether()
    {
        const RegisterTable table = finds();
        QCOMPARE(table.matching("\"iron nail\""), rows({1}));
        QCOMPARE(table.matching("\"nail iron\""), rows({}));
        QCOMPARE(table.matching("material:\"iron n"), rows({1})); // the quote is not closed yet
    }

    void nothingIsFoundAcrossCellsOrRows()
    {
        RegisterTable table({"a", "b"});
        table.add({"on", "e"});
        table.add({"two", ""});
        QCOMPARE(table.matching("one"), rows({}));
        QCOMPARE(table.matching("etwo"), rows({}));
        QCOMPARE(table.matching("two"), rows({1}));
    }

    void numbersSortByValue()
    {
        const RegisterTable table = finds();
        QCOMPARE(table.sortedBy(0), rows({2, 1, 0}));
        QCOMPARE(table.sortedBy(1), rows({1, 2, 0}));
    }

    /// Reference: Qt's QChar::toLower for every letter of the blocks named in the header.
    void caseIsFoldedAsQtDoes()
    {
        for (char32_t letter = 0x20; letter < 0x460; ++letter) {
            const bool named = letter < 0x180 || (letter >= 0x391 && letter <= 0x3C9) || letter >= 0x400;
            if (!named || letter == 0x130 || letter == 0x149 || letter == 0x17F || letter == 0xB5 ||
                letter == 0x3C2)
                continue; // they fold to something longer or into another block
            const QString text = QString::fromUcs4(&letter, 1);
            QVERIFY2(foldedCase(text.toStdString()) == text.toLower().toStdString(), qPrintable(text));
        }
        QCOMPARE(foldedCase("A\xFF\xC3"), std::string("a\xFF\xC3")); // what is not UTF-8 stays
    }

    /// Reference: every cell looked at with Qt's search.
    void whatMatchesIsWhatLookingAtEachFinds()
    {
        std::mt19937 random(41);
        const QStringList pieces{"a", "B", "ab", "10", "0", "\u00C4", "\u00E4", " ", "x:", "-"};
        const auto text = [&](int most) {
            QString made;
            for (int count = static_cast<int>(random() % static_cast<unsigned>(most + 1)); count > 0;
                 --count)
                made += pieces[static_cast<int>(random() % static_cast<unsigned>(pieces.size()))];
            return made;
        };
        for (int round = 0; round < 300; ++round) {
            RegisterTable table({"x", "y", "z"});
            std::vector<QStringList> cells;
            for (unsigned row = 0; row < random() % 40; ++row) {
                cells.push_back({text(4), text(6), text(2)});
                table.add({cells.back()[0].toStdString(), cells.back()[1].toStdString(),
                           cells.back()[2].toStdString()});
            }
            for (int asked = 0; asked < 20; ++asked) {
                const QString query = text(5);
                std::vector<std::uint32_t> expected;
                for (std::size_t row = 0; row < cells.size(); ++row) {
                    bool all = true;
                    for (QString word : query.split(' ', Qt::SkipEmptyParts)) {
                        int column = -1;
                        if (word.startsWith("x:")) {
                            column = 0;
                            word = word.mid(2);
                        }
                        bool found = word.isEmpty();
                        for (int k = 0; k < 3; ++k)
                            found = found || ((column < 0 || column == k) &&
                                              cells[row][k].contains(word, Qt::CaseInsensitive));
                        all = all && found;
                    }
                    if (all)
                        expected.push_back(static_cast<std::uint32_t>(row));
                }
                QVERIFY2(table.matching(query.toStdString()) == expected, qPrintable(query));
            }
        }
    }
};

QTEST_GUILESS_MAIN(RegisterTableTest)
#include "RegisterTableTest.moc"
