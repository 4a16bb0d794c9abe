// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/section/UprightTimber.h"

#include <cmath>
#include <numbers>

#include <QTest>

using namespace inkpeg;

namespace {

bool refused(const TimberAsRecorded& recorded, const char* words)
{
    const auto timber = uprightTimber(recorded);
    return !timber && timber.error().message.find(words) != std::string::npos &&
           timber.error().message.find("timber T-1") != std::string::npos;
}

} // namespace

class UprightTimberTest final : public QObject {
    Q_OBJECT

private slots:
    /// A 3-4-5 triangle: 0.8 m down and 0.6 m out is a metre along the axis, leaning by atan(3/4).
    void aLeanFollowsFromTheRightTriangle()
    {
        const double lean = std::atan2(0.6, 0.8) * 180 / std::numbers::pi;
        const auto timber = uprightTimber({.name = "T-1",
                                           .top = {10, 20},
                                           .topM = 42.0,
                                           .bottomM = 41.2,
                                           .lengthM = 1.01,
                                           .diameterM = 0.2,
                                           .leanDegrees = lean,
                                           .leanBearingDegrees = 90}); // its top leans east
        QVERIFY2(timber, timber ? "" : timber.error().message.c_str());
        QVERIFY(std::abs(timber->lengthM - 1.0) < 1e-12);
        QVERIFY(std::abs(*timber->lengthMisfitM - 0.01) < 1e-12);
        QVERIFY(std::abs(timber->bottom.eastM - 9.4) < 1e-12 &&
                std::abs(timber->bottom.northM - 20) < 1e-12);

        const auto byLength = uprightTimber({.name = "T-1",
                                             .top = {10, 20},
                                             .topM = 42.0,
                                             .lengthM = 1.0,
                                             .leanDegrees = lean,
                                             .leanBearingDegrees = 90});
        QVERIFY(std::abs(byLength->bottom.levelM - 41.2) < 1e-12);
        QVERIFY(!byLength->lengthMisfitM);
        QVERIFY(planOutline(*byLength).empty()); // no diameter
    }

    /// Area of a stadium: circle and rectangle (elementary geometry); the polygon lies within it.
    void fromAboveALeaningPostIsAStadium()
    {
        const auto timber = uprightTimber({.name = "T-1",
                                           .top = {10, 20},
                                           .topM = 42.0,
                                           .bottomM = 41.2,
                                           .diameterM = 0.2,
                                           .leanDegrees = std::atan2(0.6, 0.8) * 180 / std::numbers::pi,
                                           .leanBearingDegrees = 37});
        const std::vector<GroundM> outline = planOutline(*timber, 400);
        double twice = 0;
        for (std::size_t i = 0; i < outline.size(); ++i) {
            const GroundM a = outline[i], b = outline[(i + 1) % outline.size()];
            twice += (a.east - 10) * (b.north - 20) - (b.east - 10) * (a.north - 20);
        }
        const double stadium = std::numbers::pi * 0.01 + 0.6 * 0.2;
        QVERIFY(twice > 0); // counter-clockwise
        QVERIFY(std::abs(twice / 2 - stadium) < 5e-5);
        for (const GroundM corner : outline) {
            const double atTop = distance(corner, {timber->top.eastM, timber->top.northM});
            const double atBottom = distance(corner, {timber->bottom.eastM, timber->bottom.northM});
            QVERIFY(std::abs(std::min(atTop, atBottom) - 0.1) < 1e-9);
        }
    }

    void inElevationItStandsOnTheLine()
    {
        const auto frame = SectionFrame::through(
            "S-1", {{.name = "A", .position = {8, 21}}, {.name = "B", .position = {12, 21}}}, 42.0);
        const auto timber = uprightTimber({.name = "T-1",
                                           .top = {10, 20},
                                           .topM = 42.0,
                                           .bottomM = 41.2,
                                           .diameterM = 0.2,
                                           .leanDegrees = std::atan2(0.6, 0.8) * 180 / std::numbers::pi,
                                           .leanBearingDegrees = 90});
        const std::vector<SectionPoint> outline = elevationOutline(*timber, *frame);
        QCOMPARE(outline.size(), std::size_t(4));
        // Axis from 1.4 to 2.0 m along, 41.2 to 42.0: half the diameter square to it is (0.08, -0.06).
        const SectionPoint expected[] = {{1.32, 41.26}, {1.48, 41.14}, {2.08, 41.94}, {1.92, 42.06}};
        for (std::size_t i = 0; i < 4; ++i)
            QVERIFY(std::hypot(outline[i].alongM - expected[i].alongM,
                               outline[i].levelM - expected[i].levelM) < 1e-9);
    }

    void whatDoesNotStandIsRefusedByName()
    {
        QVERIFY(refused({.name = "T-1", .top = {}, .bottomM = 41.0}, "no level of its top"));
        QVERIFY(refused({.name = "T-1", .top = {}, .topM = 41.0}, "neither a level of its bottom"));
        QVERIFY(refused({.name = "T-1", .top = {}, .topM = 41.0, .bottomM = 41.5}, "does not lie below"));
        QVERIFY(refused({.name = "T-1", .top = {}, .topM = 41.0, .bottomM = 40.0, .leanDegrees = 95},
                        "does not stand"));
        QVERIFY(refused({.name = "T-1", .top = {}, .topM = 41.0, .bottomM = 40.0, .leanDegrees = 5},
                        "without its bearing"));
    }
};

QTEST_GUILESS_MAIN(UprightTimberTest)
#include "UprightTimberTest.moc"
