// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/Mend.h"

#include <cmath>

#include <QFile>
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <QTest>

#include "core/outline/Area.h"
#include "core/outline/Validity.h"
#include "tests/core/outline/WellKnownText.h"

using namespace inkpeg;

class MendTest final : public QObject {
    Q_OBJECT

private slots:
    void whatIsSoundIsLeftAlone()
    {
        const auto square = partsOfText("POLYGON ((0 0, 100 0, 100 100, 0 100, 0 0))");
        const auto mended = mendParts(square);
        QVERIFY(mended && mended->parts == square && mended->steps.empty());
    }
    void aSpikeIsTakenOffAndItsPlaceTold()
    {
        const auto mended =
            mendParts(partsOfText("POLYGON ((0 0, 50 0, 50 -30, 50 0, 100 0, 100 100, 0 100, 0 0))"));
        QVERIFY(mended);
        QVERIFY(bool(checkParts(mended->parts)));
        QCOMPARE(areaPx2(mended->parts), 10000.0);
        QVERIFY(!mended->steps.empty());
        QVERIFY((mended->steps[0].at == ScanPx{50, -30}));
        QVERIFY(mended->takenOff.empty() && mended->addedOn.empty());
    }
    void aSlipAtTheCloseIsCutOff()
    {
        // The last edge crosses the first: a loop of a few pixels.
        const auto mended =
            mendParts(partsOfText("POLYGON ((0 0, 100 0, 100 100, 0 100, 0 10, 6 -4, 0 0))"));
        QVERIFY(mended);
        const auto crossed = mendParts(partsOfText("POLYGON ((0 0, 100 0, 100 100, 0 100, 4 -8, 0 0))"));
        QVERIFY(crossed);
        QVERIFY(bool(checkParts(crossed->parts)));
        QCOMPARE(crossed->parts.size(), std::size_t(1));
        QVERIFY(std::abs(areaPx2(crossed->parts) - 9800) < 300);
        QVERIFY(!crossed->takenOff.empty());
        QVERIFY(crossed->steps.size() >= 2);
    }
    void aFigureOfEightBecomesTwoParts()
    {
        const auto parts = partsOfText("POLYGON ((0 0, 100 100, 100 0, 0 100, 0 0))");
        const auto mended = mendParts(parts);
        QVERIFY(mended);
        QCOMPARE(mended->parts.size(), std::size_t(2));
        QVERIFY(mended->steps.back().words.find("2 parts") != std::string::npos);
    }
    void kindsSurviveMending()
    {
        auto parts = partsOfText("POLYGON ((0 0, 100 100, 100 0, 0 100, 0 0))");
        parts[0].outer.kinds = {EdgeKind::Certain, EdgeKind::Truncated, EdgeKind::Certain,
                                EdgeKind::Uncertain};
        const auto mended = mendParts(parts);
        QVERIFY(mended);
        int truncated = 0, uncertain = 0;
        for (const Part& part : mended->parts)
            for (const EdgeKind kind : part.outer.kinds) {
                truncated += kind == EdgeKind::Truncated;
                uncertain += kind == EdgeKind::Uncertain;
            }
        QCOMPARE(truncated, 1);
        QCOMPARE(uncertain, 1);
    }
    void aLineHasNoArea()
    {
        const auto mended = mendParts(partsOfText("POLYGON ((0 0, 100 0, 50 0, 0 0))"));
        QVERIFY(!mended);
        QVERIFY(mended.error().message.find("no area") != std::string::npos);
    }
    void everyPublishedInvalidPolygonIsMendedOrRefused()
    {
        QFile file(INKPEG_PUBLISHED_DIR "/polygon_validity.json");
        QVERIFY(file.open(QIODevice::ReadOnly));
        int mendedCount = 0;
        for (const QJsonValue& value : QJsonDocument::fromJson(file.readAll()).array()) {
            const auto parts = partsOfText(value.toObject()["wkt"].toString());
            if (parts.empty() || checkParts(parts))
                continue;
            const auto mended = mendParts(parts);
            if (!mended)
                continue;
            QVERIFY2(bool(checkParts(mended->parts)), qPrintable(value.toObject()["case"].toString()));
            QVERIFY(!mended->steps.empty());
            ++mendedCount;
        }
        QVERIFY2(mendedCount >= 10, qPrintable(QString::number(mendedCount)));
    }
};

QTEST_GUILESS_MAIN(MendTest)
#include "MendTest.moc"
