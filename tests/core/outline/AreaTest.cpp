// SPDX-License-Identifier: GPL-3.0-or-later
// Held against areas by coordinates printed in J. Mahun, Open Access Surveying Library
// (tests/published/README.md).
#include "core/outline/Area.h"

#include <cmath>

#include <QFile>
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <QTest>

using namespace inkpeg;

class AreaTest : public QObject {
    Q_OBJECT
private slots:
    void areasByCoordinatesAreAsPrinted()
    {
        QFile file(INKPEG_PUBLISHED_DIR "/area_by_coordinates.json");
        QVERIFY(file.open(QIODevice::ReadOnly));
        const QJsonArray cases = QJsonDocument::fromJson(file.readAll()).array();
        QCOMPARE(cases.size(), 2);
        // Half the difference of the printed sums; the products are printed to 0.1 and to 1 square foot,
        // five or four of them on each side.
        const double printed[] = {(3590045.6 - 3384174.1) / 2, (2190612.0 - 1909624.0) / 2};
        const double tolerance[] = {0.2, 2.0};
        for (int i = 0; i < 2; ++i) {
            std::vector<GroundM> ring; // feet, whatever the name of the type says
            for (const QJsonValue& corner : cases[i].toObject()["vertices_north_east"].toArray())
                ring.push_back({corner[1].toDouble(), corner[0].toDouble()});
            QVERIFY2(std::abs(std::abs(signedAreaM2(ring)) - printed[i]) <= tolerance[i],
                     qPrintable(QString::number(signedAreaM2(ring), 'f', 4)));
        }
    }
    void counterClockwiseIsPositiveOnTheGroundAndOnTheScreen()
    {
        QCOMPARE(signedAreaM2(std::vector<GroundM>{{0, 0}, {2, 0}, {2, 3}, {0, 3}}), 6.0);
        QCOMPARE(signedAreaPx2(std::vector<ScanPx>{{0, 3}, {2, 3}, {2, 0}, {0, 0}}), 6.0);
        QCOMPARE(signedAreaM2(std::vector<GroundM>{{0, 0}, {1, 1}}), 0.0);
    }
    void largeCoordinatesCostNoDigits()
    {
        // A square of 1 mm far from the origin: exact in doubles when reckoned from a vertex of its own.
        const double side = 1.0 / 1024;
        const GroundM o{553120.5, 6203040.25};
        const std::vector<GroundM> ring{
            o, {o.east + side, o.north}, {o.east + side, o.north + side}, {o.east, o.north + side}};
        QCOMPARE(signedAreaM2(ring), side * side);
    }
    void holesAreTakenOffAndAreNotInside()
    {
        const auto ringOf = [](std::vector<ScanPx> vertices) {
            Ring ring;
            ring.kinds.assign(vertices.size(), EdgeKind::Certain);
            ring.vertices = std::move(vertices);
            return ring;
        };
        const std::vector<Part> parts{
            {ringOf({{0, 0}, {10, 0}, {10, 10}, {0, 10}}), {ringOf({{4, 4}, {6, 4}, {6, 6}, {4, 6}})}}};
        QCOMPARE(areaPx2(parts), 96.0);
        QVERIFY(contains(parts, {2, 2}));
        QVERIFY(!contains(parts, {5, 5}));
        QVERIFY(!contains(parts, {12, 5}));
    }
};

QTEST_GUILESS_MAIN(AreaTest)
#include "AreaTest.moc"
