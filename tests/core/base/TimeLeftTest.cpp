// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/TimeLeft.h"

#include <QTest>

using namespace inkpeg;

class TimeLeftTest final : public QObject {
    Q_OBJECT

private slots:
    void itIsAsLongAgainInProportion()
    {
        QCOMPARE(*secondsLeft(0.25, 10), 30.0);
        QCOMPARE(*secondsLeft(0.5, 2), 2.0);
        QCOMPARE(*secondsLeft(1, 40), 0.0);
    }
    void aBareStartPromisesNothing()
    {
        QVERIFY(!secondsLeft(0, 100));
        QVERIFY(!secondsLeft(0.01, 100));
        QVERIFY(!secondsLeft(0.5, 0.4));
    }
    void wordsAreAsCoarseAsTheFigure()
    {
        QCOMPARE(durationWords(2), std::string("less than 5 s"));
        QCOMPARE(durationWords(42), std::string("40 s"));
        QCOMPARE(durationWords(89), std::string("90 s"));
        QCOMPARE(durationWords(200), std::string("3 min"));
        QCOMPARE(durationWords(4800), std::string("1 h 20 min"));
    }
};

QTEST_GUILESS_MAIN(TimeLeftTest)
#include "TimeLeftTest.moc"
