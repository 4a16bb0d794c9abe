// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/Numbers.h"

#include <algorithm>
#include <random>

#include <QTest>

using namespace inkpeg;

class NumbersTest final : public QObject {
    Q_OBJECT

private slots:
    void bracketsAreForTheEye()
    {
        for (const char* written : {"1032", " 1032 ", "[1032]", "(1032)", "<1032>", "[ 1032 ]"})
            QCOMPARE(plainNumber(written), std::string("1032"));
        for (const char* odd : {"[1032", "1032)", "[1032)", "[]", "", "a[1]"})
            QCOMPARE(plainNumber(odd), std::string(odd));
        Context context;
        context.number = "1032";
        QCOMPARE(contextNumberShown(context), std::string("(1032)"));
        context.kind = "Cut";
        QCOMPARE(contextNumberShown(context), std::string("[1032]"));
        QCOMPARE(plainNumber(contextNumberShown(context)), context.number);
    }

    void rangesNameEachNumber()
    {
        using List = std::vector<std::string>;
        QCOMPARE(numbersNamed("1030-1033, [1040a];(1041)"),
                 (List{"1030", "1031", "1032", "1033", "1040a", "1041"}));
        QCOMPARE(numbersNamed("0098\xE2\x80\x93"
                              "0101"),
                 (List{"0098", "0099", "0100", "0101"}));
        QCOMPARE(numbersNamed("[1030]-[1031]"), (List{"1030", "1031"}));
        QCOMPARE(numbersNamed("100-300").size(), std::size_t(201));
        // One number each: trench and number, backwards, too far, letters.
        QCOMPARE(numbersNamed("3-12 1-1032 1033-1030 100-301 12a-14a -5"),
                 (List{"3-12", "1-1032", "1033-1030", "100-301", "12a-14a", "-5"}));
        QVERIFY(numbersNamed(" ,; ").empty());
    }

    void numbersStandInTheOrderPeopleExpect()
    {
        const std::vector<std::string> ordered = {"9",  "10",  "10a", "10b",  "011",
                                                  "11", "100", "SF2", "SF10", "SF10a"};
        std::vector<std::string> shuffled = ordered;
        std::mt19937 random(20260507);
        for (int round = 0; round < 50; ++round) {
            std::shuffle(shuffled.begin(), shuffled.end(), random);
            std::sort(shuffled.begin(), shuffled.end(),
                      [](const auto& a, const auto& b) { return numberBefore(a, b); });
            QCOMPARE(shuffled, ordered);
        }
    }

    // A sort needs a strict weak order: no two are each before the other, and before goes on.
    void theOrderIsStrict()
    {
        std::mt19937 random(20260508);
        const std::string alphabet = "01ab-";
        std::vector<std::string> numbers;
        for (int i = 0; i < 60; ++i) {
            std::string number;
            for (std::size_t length = random() % 5; length > 0; --length)
                number += alphabet[random() % alphabet.size()];
            numbers.push_back(number);
        }
        for (const auto& a : numbers)
            for (const auto& b : numbers) {
                QCOMPARE(numberBefore(a, b) || numberBefore(b, a), a != b);
                QVERIFY(!(numberBefore(a, b) && numberBefore(b, a)));
                for (const auto& c : numbers)
                    if (numberBefore(a, b) && numberBefore(b, c))
                        QVERIFY2(numberBefore(a, c), (a + " " + b + " " + c).c_str());
            }
    }
};

QTEST_GUILESS_MAIN(NumbersTest)
#include "NumbersTest.moc"
