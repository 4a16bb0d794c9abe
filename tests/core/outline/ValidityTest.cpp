// SPDX-License-Identifier: GPL-3.0-or-later
// Held against the validity cases of the GEOS and JTS test suite, TestValid.xml (tests/published/README.md
// says where they come from).
#include "core/outline/Validity.h"

#include <cmath>

#include <QFile>
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <QTest>

#include "tests/core/outline/WellKnownText.h"

using namespace inkpeg;

class ValidityTest : public QObject {
    Q_OBJECT
private slots:
    void publishedCasesAreJudgedAsPublished_data()
    {
        QTest::addColumn<QString>("wkt");
        QTest::addColumn<bool>("valid");
        QFile file(INKPEG_PUBLISHED_DIR "/polygon_validity.json");
        QVERIFY(file.open(QIODevice::ReadOnly));
        int index = 0;
        for (const QJsonValue& value : QJsonDocument::fromJson(file.readAll()).array()) {
            const QJsonObject each = value.toObject();
            QTest::newRow(qPrintable(QString("%1 %2").arg(index++).arg(each["case"].toString())))
                << each["wkt"].toString() << each["valid"].toBool();
        }
        QVERIFY(index >= 60);
    }
    void publishedCasesAreJudgedAsPublished()
    {
        QFETCH(QString, wkt);
        QFETCH(bool, valid);
        const std::vector<Part> parts = partsOfText(wkt);
        if (parts.empty())
            QSKIP("an empty polygon is no outline of ours");
        const Result<void> sound = checkParts(parts);
        QCOMPARE(static_cast<bool>(sound), valid);
        QVERIFY(sound || !sound.error().message.empty());
    }
    void aCrossingIsToldWithItsPlace()
    {
        const Result<void> sound = checkParts(partsOfText("POLYGON ((0 40, 0 0, 40 40, 40 0, 0 40))"));
        QVERIFY(!sound);
        QCOMPARE(sound.error().message,
                 std::string("the outline crosses itself at column 20.0, row 20.0; move or "
                             "remove a vertex there"));
    }
    void tooFewVerticesAndMissingKindsAreRefused()
    {
        QVERIFY(!checkParts({}));
        std::vector<Part> two(1);
        two[0].outer.vertices = {{0, 0}, {1, 1}};
        two[0].outer.kinds = {EdgeKind::Certain, EdgeKind::Certain};
        QVERIFY(!checkParts(two));
        std::vector<Part> kindless = partsOfText("POLYGON ((0 0, 10 0, 0 10, 0 0))");
        kindless[0].outer.kinds.pop_back();
        QVERIFY(!checkParts(kindless));
        std::vector<Part> unreal = partsOfText("POLYGON ((0 0, 10 0, 0 10, 0 0))");
        unreal[0].outer.vertices[1].row = std::nan("");
        QVERIFY(!checkParts(unreal));
    }
};

QTEST_GUILESS_MAIN(ValidityTest)
#include "ValidityTest.moc"
