// SPDX-License-Identifier: GPL-3.0-or-later
// What goes round a place: rays and what they cross, and the smallest closed area, on film drawn in the test.
#include "core/film/InkRings.h"

#include <QTest>

#include "core/film/InkRay.h"
#include "tests/core/film/DrawnFilm.h"

using namespace inkpeg;
using Mm = DrawnFilm::Mm;

namespace {

constexpr Mm Middle = {30, 30};
constexpr double InnerMm = 14; // from the middle to a corner

void line(DrawnFilm& film, Mm a, Mm b)
{
    film.stroke([&](double t) { return Mm{a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)}; }, 0, 1, 0.35, 90);
}

/// Standing on its corner; `gapMm` of its upper right side are open, about the middle of that side.
void diamond(DrawnFilm& film, double cornerMm, double gapMm)
{
    const Mm top{Middle.x, Middle.y - cornerMm}, right{Middle.x + cornerMm, Middle.y},
        bottom{Middle.x, Middle.y + cornerMm}, left{Middle.x - cornerMm, Middle.y};
    line(film, right, bottom);
    line(film, bottom, left);
    line(film, left, top);
    if (gapMm <= 0) {
        line(film, top, right);
        return;
    }
    constexpr double Cap = 0.175; // pencil of 0.35 mm is half of that longer at either end
    const double side = cornerMm * std::numbers::sqrt2, open = (gapMm / 2 + Cap) / side;
    const auto at = [&](double share) { return Mm{top.x + share * cornerMm, top.y + share * cornerMm}; };
    line(film, at(0), at(0.5 - open));
    line(film, at(0.5 + open), at(1));
}

} // namespace

class InkRingsTest final : public QObject {
    Q_OBJECT

private slots:
    void aRayTellsHowFarOffItIsCrossed()
    {
        // The centre of cell (10, 10); the ray runs a quarter of a cell before it, at 9.75. From (20, 5) to
        // (30, 15) it is crossed at 20 + 4.75; from (5, 20) to (15, 30) likewise, down the column.
        const CellPoint place = {10.5, 10.5};
        const auto right = InkRay(place, 0).crossing({20, 5}, {30, 15});
        QVERIFY(right);
        QCOMPARE(*right, 14.75);
        QCOMPARE(InkRay(place, 0).crossing({30, 15}, {20, 5}), right);
        const auto down = InkRay(place, 1).crossing({5, 20}, {15, 30});
        QVERIFY(down);
        QCOMPARE(*down, 14.75);
        QVERIFY(!InkRay(place, 2).crossing({20, 5}, {30, 15})); // to the left
        const auto left = InkRay(place, 2).crossing({0, 5}, {0, 15});
        QVERIFY(left);
        QCOMPARE(*left, 10.0);
        QVERIFY(!InkRay(place, 0).crossing({20, 11}, {30, 15})); // beside it
        QVERIFY(InkRay(place, 0).crossesOddly({{20, 5}, {30, 15}}));
        QVERIFY(!InkRay(place, 0).crossesOddly({{20, 5}, {30, 15}, {32, 5}}));
    }

    void theNearerOfTwoLinesBoundsTheFace_data()
    {
        QTest::addColumn<double>("besideMm");
        QTest::newRow("at the gap's upper end") << -0.6;
        QTest::newRow("at its middle") << 0.0;
        QTest::newRow("at its lower end") << 0.6;
    }
    void theNearerOfTwoLinesBoundsTheFace()
    {
        // A diamond 1.2 mm round another; the gap slants so far that its upper end lies nearer than the inner
        // line, though where the ray crosses it, it lies beyond.
        QFETCH(double, besideMm);
        constexpr double ApartMm = 1.2, OuterMm = InnerMm + ApartMm * std::numbers::sqrt2;
        DrawnFilm film(60, 60, 3);
        diamond(film, InnerMm, 0);
        diamond(film, OuterMm, 2.8);
        const auto map = InkMap::build(film.scanned(4), film.place(), DrawnFilm::Dpi);
        const InkNetwork network = InkNetwork::of(*map);
        const CellPoint place = map->toCell(DrawnFilm::px({Middle.x, Middle.y - OuterMm / 2 + besideMm}));
        const InkRing face = faceAround(network, place, 3, map->cellMm());
        const double mm2 = face.areaCells * map->cellMm() * map->cellMm();
        // 2 d^2 for corners d from the middle: 392 within the inner one, 493 within the outer one.
        QVERIFY2(std::abs(mm2 / (2 * InnerMm * InnerMm) - 1) < 0.02, qPrintable(QString::number(mm2)));
    }

    void anOpenLineHasNoFace()
    {
        DrawnFilm film(60, 60, 3);
        diamond(film, InnerMm, 4.5);
        const auto map = InkMap::build(film.scanned(4), film.place(), DrawnFilm::Dpi);
        const CellPoint place = map->toCell(DrawnFilm::px(Middle));
        QVERIFY(faceAround(InkNetwork::of(*map), place, 3, map->cellMm()).cells.empty());
    }
};

QTEST_GUILESS_MAIN(InkRingsTest)
#include "InkRingsTest.moc"
