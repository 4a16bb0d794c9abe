// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/SiteGrid.h"

#include <cmath>
#include <numbers>

#include <QTest>

using namespace inkpeg;

namespace {

constexpr double Degree = std::numbers::pi / 180;

/// Site north lies 23.5 degrees clockwise of grid north; site 100, 200 is E 562000, N 5800000; CRS 0.9998
/// long.
GroundM inCrs(GroundM site)
{
    const double c = 0.9998 * std::cos(23.5 * Degree), s = 0.9998 * std::sin(23.5 * Degree);
    const double e = site.east - 100, n = site.north - 200;
    return {562000 + c * e + s * n, 5800000 - s * e + c * n};
}

std::vector<CommonPoint> corners()
{
    std::vector<CommonPoint> points;
    for (const GroundM site : {GroundM{100, 200}, GroundM{140, 200}, GroundM{140, 260}, GroundM{100, 260}})
        points.push_back({"S" + std::to_string(points.size() + 1), site, inCrs(site)});
    return points;
}

} // namespace

class SiteGridTest final : public QObject {
    Q_OBJECT

private slots:
    void aTurnedGridIsFoundAgain()
    {
        const Result<SiteGrid> grid = fitSiteGrid(corners());
        QVERIFY(grid);
        QVERIFY(std::abs(grid->rotationRad() - 23.5 * Degree) < 1e-9);
        QVERIFY(std::abs(grid->scalePartsPerMillion() + 200) < 1e-3);
        QVERIFY(distance(grid->toCrs(GroundM{117, 231}), inCrs({117, 231})) < 1e-8);
        QVERIFY(distance(grid->toSite(inCrs({117, 231})), {117, 231}) < 1e-8);
        QVERIFY(distance(grid->origin(), inCrs({0, 0})) < 1e-7);
        QCOMPARE(grid->redundancy(), 4);
    }

    void aSlippedPointIsSuspect()
    {
        std::vector<CommonPoint> points = corners();
        points[2].crs.north += 0.15;
        const Result<SiteGrid> grid = fitSiteGrid(points);
        QVERIFY(grid);
        const std::vector<CommonPointResidual> residuals = grid->residuals();
        QVERIFY(residuals[2].suspect);
        QVERIFY(residuals[2].northM < 0); // fitted - given
        QVERIFY(std::abs(residuals[2].testNorth) > std::abs(residuals[0].testNorth));
    }

    void aPegOfTheSiteGridComesWithErrorsOfBothFrames()
    {
        const Result<SiteGrid> grid = fitSiteGrid(corners());
        QVERIFY(grid);
        const Peg peg{.name = "G7",
                      .frame = PegFrame::Site,
                      .position = {120, 230},
                      .standardErrorEastM = 0.03,
                      .standardErrorNorthM = 0.004};
        const Peg moved = grid->toCrs(peg);
        QCOMPARE(moved.frame, PegFrame::Crs);
        QVERIFY(distance(moved.position, inCrs({120, 230})) < 1e-8);
        // In the middle of four points the fit adds 10 mm / sqrt(4) = 5 mm in each coordinate.
        const double c = std::cos(23.5 * Degree), s = std::sin(23.5 * Degree);
        QVERIFY(std::abs(moved.standardErrorEastM - std::hypot(c * 0.03, s * 0.004, 0.005)) < 2e-5);
        QVERIFY(std::abs(moved.standardErrorNorthM - std::hypot(s * 0.03, c * 0.004, 0.005)) < 2e-5);
    }

    void pegsInBothFramesArePairedByName()
    {
        const std::vector<Peg> pegs{{.name = "A", .frame = PegFrame::Site, .position = {1, 2}},
                                    {.name = "A", .frame = PegFrame::Crs, .position = {562001, 5800002}},
                                    {.name = "B", .frame = PegFrame::Site, .position = {5, 2}},
                                    {.name = "C", .frame = PegFrame::Crs, .position = {562009, 5800002}}};
        const std::vector<CommonPoint> points = commonPoints(pegs);
        QCOMPARE(points.size(), std::size_t(1));
        QCOMPARE(points[0].name, std::string("A"));
        QCOMPARE(points[0].crs.east, 562001.0);
    }

    void tooFewOrCoincidentPointsAreNamed()
    {
        std::vector<CommonPoint> points = corners();
        points.resize(1);
        const Result<SiteGrid> one = fitSiteGrid(points);
        QVERIFY(!one && one.error().message.find("S1") != std::string::npos);
        points.push_back(points[0]);
        points[1].name = "S9";
        const Result<SiteGrid> same = fitSiteGrid(points);
        QVERIFY(!same && same.error().message.find("S1 to S9") != std::string::npos);
    }
};

QTEST_GUILESS_MAIN(SiteGridTest)
#include "SiteGridTest.moc"
