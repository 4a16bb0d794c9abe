// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/Clock.h"

#include <QDateTime>
#include <QTest>

using namespace inkpeg;

class ClockTest final : public QObject {
    Q_OBJECT

private slots:
    // The reference is Qt's reading of ISO 8601.
    void nowIsTheTimeOfTheMachineInUtc()
    {
        qunsetenv("SOURCE_DATE_EPOCH");
        const QDateTime before = QDateTime::currentDateTimeUtc();
        const QString told = QString::fromStdString(utcNow());
        const QDateTime after = QDateTime::currentDateTimeUtc();
        const QDateTime read = QDateTime::fromString(told, Qt::ISODateWithMs);
        QVERIFY2(read.isValid() && told.endsWith('Z') && told.size() == 24, qPrintable(told));
        QVERIFY(before <= read && read <= after);
    }

    // reproducible-builds.org, SOURCE_DATE_EPOCH specification 1.1.
    void theEnvironmentMayFixTheMoment()
    {
        qputenv("SOURCE_DATE_EPOCH", "1000000000");
        QCOMPARE(utcNow(), std::string("2001-09-09T01:46:40.000Z"));
        qputenv("SOURCE_DATE_EPOCH", "0");
        QCOMPARE(utcNow(), std::string("1970-01-01T00:00:00.000Z"));
        for (const char* odd : {"", "soon", "-1"}) {
            qputenv("SOURCE_DATE_EPOCH", odd);
            QVERIFY(!utcNow().starts_with("19"));
        }
        qunsetenv("SOURCE_DATE_EPOCH");
    }
};

QTEST_GUILESS_MAIN(ClockTest)
#include "ClockTest.moc"
