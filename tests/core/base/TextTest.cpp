// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/Text.h"

#include <QTest>

using namespace inkpeg;

class TextTest final : public QObject {
    Q_OBJECT

private slots:
    void minusNoughtIsNought()
    {
        QCOMPARE(fixed(-0.0004, 3), std::string("0.000"));
        QCOMPARE(fixed(-0.0006, 3), std::string("-0.001"));
        QCOMPARE(fixed(553'124.5, 2), std::string("553124.50"));
    }

    void exactTextReadsBackAsTheSameNumber()
    {
        for (const double value : {0.1, 1.0 / 3.0, 553'124.123'456'789, -1e-300, 6.02e23})
            QCOMPARE(parseNumber(exact(value)).value(), value);
    }

    void onlyWholeNumbersAreRead()
    {
        QCOMPARE(parseNumber(" 12.5 ").value(), 12.5);
        QCOMPARE(parseNumber("+3").value(), 3.0);
        for (const char* text : {"", "  ", "12,5", "12 m", "nan", "inf", "1e999", "--3"})
            QVERIFY2(!parseNumber(text), text);
        QVERIFY(!parseWhole("3.0"));
        QCOMPARE(parseWhole("-17").value(), -17LL);
    }

    // RFC 3629, section 3: no overlong forms, no surrogates, nothing past U+10FFFF.
    void brokenUtf8IsRecognised()
    {
        for (const char* good :
             {"", "plain", "\xC3\xA6", "\xE2\x82\xAC", "\xF0\x9F\x8F\xBA", "\xF4\x8F\xBF\xBF"})
            QVERIFY2(isUtf8(good), good);
        for (const char* bad : {"\xE6", "\xC0\xAF", "\xE0\x80\xAF", "\xED\xA0\x80", "\xF4\x90\x80\x80",
                                "\xF8\x88\x80\x80\x80", "a\x80"})
            QVERIFY(!isUtf8(bad));
    }
};

QTEST_GUILESS_MAIN(TextTest)
#include "TextTest.moc"
