// SPDX-License-Identifier: GPL-3.0-or-later
// What hachures must do is common practice, no source; the geometry is checked against the lines given.
#include "core/outline/Hachures.h"

#include <cmath>
#include <numbers>

#include <QTest>

using namespace inkpeg;

namespace {

constexpr double degree = std::numbers::pi / 180;

double cross(FilmMm a, FilmMm b, FilmMm c)
{
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

std::vector<FilmMm> circle(double radius, int corners)
{
    std::vector<FilmMm> ring;
    for (int i = 0; i <= corners; ++i)
        ring.push_back({radius * std::cos(2 * std::numbers::pi * (i % corners) / corners),
                        radius * std::sin(2 * std::numbers::pi * (i % corners) / corners)});
    return ring;
}

} // namespace

class HachuresTest final : public QObject {
    Q_OBJECT

private slots:
    void longOnesReachTheBottomAndShortOnesHalfWay()
    {
        const std::vector<FilmMm> top{{0, 0}, {100, 0}}, bottom{{0, -10}, {100, -10}};
        const auto made = hachures(top, bottom, 20, std::nullopt);
        QVERIFY(made.size() > 20);
        for (std::size_t i = 0; i < made.size(); ++i) {
            QCOMPARE(made[i].head.y, 0.0);
            QCOMPARE(made[i].isLong, i % 2 == 0);
            QVERIFY(std::abs(made[i].tail.y - (made[i].isLong ? -10 : -5)) < 1e-12);
            QVERIFY(std::abs(made[i].tail.x - made[i].head.x) < 1e-12);
            if (i > 0) // a third of 10 mm on paper
                QVERIFY(std::abs(made[i].head.x - made[i - 1].head.x - 10.0 / 3) < 1e-9);
        }
    }
    void theSteeperTheCloser()
    {
        QCOMPARE(hachureSpacingMm(2 * degree), 4.0);
        QCOMPARE(hachureSpacingMm(80 * degree), 1.2);
        QVERIFY(hachureSpacingMm(20 * degree) > hachureSpacingMm(30 * degree));
        const std::vector<FilmMm> top{{0, 0}, {100, 0}}, bottom{{0, -10}, {100, -10}};
        // 10 mm at 1:20 is 0.20 m on the ground: a drop of 0.20 m is 45 degrees, of 0.02 m under 6.
        const auto steep = hachures(top, bottom, 20, 0.20), gentle = hachures(top, bottom, 20, 0.02);
        QVERIFY(10 * steep.size() > 17 * gentle.size());
        QVERIFY(std::abs(steep[1].head.x - steep[0].head.x - hachureSpacingMm(45 * degree)) < 1e-9);
        // The same lines at 1:10 are half as far apart on the ground: steeper.
        QVERIFY(hachures(top, bottom, 10, 0.02).size() > gentle.size());
    }
    void roundAPitTheyLookToTheMiddleAndNoneCrosses()
    {
        const std::vector<FilmMm> top = circle(30, 90), bottom = circle(18, 60);
        const auto made = hachures(top, bottom, 20, 0.4);
        QVERIFY(made.size() > 60);
        for (std::size_t i = 0; i < made.size(); ++i) {
            const double head = std::hypot(made[i].head.x, made[i].head.y);
            const double tail = std::hypot(made[i].tail.x, made[i].tail.y);
            QVERIFY(tail < head);
            if (made[i].isLong)
                QVERIFY(std::abs(tail - 18) < 0.1); // the chord of a 60-cornered ring sags by 0.03
            for (std::size_t k = 0; k < i; ++k)
                QVERIFY(!(cross(made[i].head, made[i].tail, made[k].head) *
                                  cross(made[i].head, made[i].tail, made[k].tail) <
                              0 &&
                          cross(made[k].head, made[k].tail, made[i].head) *
                                  cross(made[k].head, made[k].tail, made[i].tail) <
                              0));
        }
    }
    void aLoneTopLineFallsToItsRight()
    {
        const auto made = hachures(std::vector<FilmMm>{{0, 0}, {0, 50}}, {}, 20, std::nullopt);
        QVERIFY(!made.empty());
        for (const Hachure& hachure : made)
            QVERIFY(hachure.tail.x > 0 && std::abs(hachure.tail.y - hachure.head.y) < 1e-12);
    }
    void theWedgeIsAsWideAsItsHead()
    {
        const Hachure hachure{{0, 0}, {0, -8}, 0.6, true};
        const auto wedge = hachure.wedge();
        QVERIFY(std::abs(distance(wedge[0], wedge[1]) - 0.6) < 1e-12);
        QVERIFY((wedge[2] == FilmMm{0, -8}));
    }
    void aTopFallsToTheNearestBottomOfItsContextByTheLevelsBesideThem()
    {
        const SlopeBreak top{"1004", true, {{0, 20}, {50, 20}}};
        const std::vector<SlopeBreak> breaks{top,
                                             {"1004", false, {{0, -60}, {50, -60}}},
                                             {"1004", false, {{0, 10}, {50, 10}}},
                                             {"1008", false, {{0, 18}, {50, 18}}}};
        const std::vector<LevelOnPaper> levels{{{25, 22}, 42.20}, {{25, 8}, 41.80}, {{25, 40}, 50.0}};
        const auto made = hachuresBelow(top, breaks, levels, 20, LevelReachMm);
        QVERIFY(made == hachures(top.line, breaks[2].line, 20, 0.4));
        QVERIFY(made != hachures(top.line, breaks[2].line, 20, std::nullopt)); // 0.4 m over 0.2 m is steep
        // Out of reach, or the wrong way up, a level says nothing of the slope.
        QVERIFY(hachuresBelow(top, breaks, levels, 20, 1) ==
                hachures(top.line, breaks[2].line, 20, std::nullopt));
        const std::vector<LevelOnPaper> rising{{{25, 22}, 41.80}, {{25, 8}, 42.20}};
        QVERIFY(hachuresBelow(top, breaks, rising, 20, LevelReachMm) ==
                hachures(top.line, breaks[2].line, 20, std::nullopt));
        // Without a bottom of its own it falls to the right of the way drawn.
        QVERIFY(hachuresBelow(top, std::vector{top}, levels, 20, LevelReachMm) ==
                hachures(top.line, {}, 20, std::nullopt));
    }
    void noLineNoHachures()
    {
        QVERIFY(hachures(std::vector<FilmMm>{{1, 1}}, {}, 20, std::nullopt).empty());
        QVERIFY(hachures({}, {}, 20, 1.0).empty());
    }
};

QTEST_GUILESS_MAIN(HachuresTest)
#include "HachuresTest.moc"
