// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/PlaneGeometry.h"

#include <cmath>
#include <numbers>
#include <random>

#include <geos_c.h>

#include <QTest>

using namespace inkpeg;

namespace {

/// A star-shaped ring with wobbling radius: simple, mostly concave.
RingOnGround starRing(std::mt19937& random, int corners, GroundM middle, double radiusM, double lattice)
{
    std::uniform_real_distribution<double> share(0.3, 1.0);
    RingOnGround ring;
    for (int i = 0; i < corners; ++i) {
        const double angle = 2 * std::numbers::pi * i / corners;
        const double radius = radiusM * share(random);
        GroundM vertex{middle.east + radius * std::cos(angle), middle.north + radius * std::sin(angle)};
        if (lattice > 0)
            vertex = {std::round(vertex.east / lattice) * lattice,
                      std::round(vertex.north / lattice) * lattice};
        ring.push_back(vertex);
    }
    return ring;
}

GEOSGeometry* geosRing(GEOSContextHandle_t geos, const RingOnGround& ring)
{
    const unsigned count = static_cast<unsigned>(ring.size());
    GEOSCoordSequence* sequence = GEOSCoordSeq_create_r(geos, count + 1, 2);
    for (unsigned i = 0; i <= count; ++i)
        GEOSCoordSeq_setXY_r(geos, sequence, i, ring[i % count].east, ring[i % count].north);
    return GEOSGeom_createLinearRing_r(geos, sequence);
}

/// The side as GEOS sees it: covered and touching is the edge.
Side geosSide(GEOSContextHandle_t geos, const GEOSPreparedGeometry* polygon, GroundM place)
{
    GEOSGeometry* point = GEOSGeom_createPointFromXY_r(geos, place.east, place.north);
    const bool within = GEOSPreparedContains_r(geos, polygon, point) == 1;
    const bool covered = GEOSPreparedIntersects_r(geos, polygon, point) == 1;
    GEOSGeom_destroy_r(geos, point);
    return within ? Side::Inside : covered ? Side::OnEdge : Side::Outside;
}

/// Share of `samples` draws of the distribution that fall within the part.
double monteCarlo(std::mt19937_64& random, const std::vector<PartOnGround>& parts, GroundM mean,
                  const GroundCovariance& covariance, int samples)
{
    std::normal_distribution<double> normal;
    const double l11 = std::sqrt(covariance.eastEast), l21 = covariance.eastNorth / l11;
    const double l22 = std::sqrt(covariance.northNorth - l21 * l21);
    int within = 0;
    for (int i = 0; i < samples; ++i) {
        const double a = normal(random), b = normal(random);
        const GroundM draw{mean.east + l11 * a, mean.north + l21 * a + l22 * b};
        for (const PartOnGround& part : parts)
            if (sideOf(draw, part) == Side::Inside) {
                ++within;
                break;
            }
    }
    return static_cast<double>(within) / samples;
}

double normalShareBelow(double z)
{
    return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

} // namespace

class PlaneGeometryTest final : public QObject {
    Q_OBJECT

private slots:
    /// Reference: GEOS (prepared contains and intersects), 100,000 points; every other ring and its points
    /// lie on a lattice, so that many points fall on edges and corners exactly.
    void sidesAreThoseOfGeos()
    {
        const GEOSContextHandle_t geos = GEOS_init_r();
        std::mt19937 random(31415);
        int onEdge = 0, inside = 0;
        for (int round = 0; round < 200; ++round) {
            const bool onLattice = round % 2 == 0;
            const GroundM middle = onLattice ? GroundM{512, 512} : GroundM{561234.567, 5934567.891};
            const double radiusM = 10;
            PartOnGround part{starRing(random, 24, middle, radiusM, onLattice ? 0.5 : 0), {}};
            part.holes.push_back({{middle.east - 1, middle.north - 1},
                                  {middle.east + 1, middle.north - 1},
                                  {middle.east, middle.north + 1.5}});
            GEOSGeometry* hole = geosRing(geos, part.holes[0]);
            GEOSGeometry* polygon = GEOSGeom_createPolygon_r(geos, geosRing(geos, part.outer), &hole, 1);
            if (GEOSisValid_r(geos, polygon) != 1) { // rounding to the lattice may make a ring touch itself
                GEOSGeom_destroy_r(geos, polygon);
                --round;
                continue;
            }
            const GEOSPreparedGeometry* prepared = GEOSPrepare_r(geos, polygon);
            std::uniform_real_distribution<double> anywhere(-radiusM, radiusM);
            for (int i = 0; i < 500; ++i) {
                GroundM place{middle.east + anywhere(random), middle.north + anywhere(random)};
                if (onLattice)
                    place = {std::round(place.east * 2) / 2, std::round(place.north * 2) / 2};
                else if (i % 10 == 0)
                    place = part.outer[static_cast<std::size_t>(i / 10) % part.outer.size()];
                const Side side = sideOf(place, part);
                QCOMPARE(static_cast<int>(side), static_cast<int>(geosSide(geos, prepared, place)));
                onEdge += side == Side::OnEdge;
                inside += side == Side::Inside;
            }
            GEOSPreparedGeom_destroy_r(geos, prepared);
            GEOSGeom_destroy_r(geos, polygon);
        }
        GEOS_finish_r(geos);
        QVERIFY2(onEdge > 3000 && inside > 10000, "the points must fall on both sides and on edges");
    }

    void nearlyStraightTurnsAreTold()
    {
        const GroundM a{561234.5, 5934567.25}, b{561236.5, 5934569.25};
        QCOMPARE(turn(a, b, {561235.5, 5934568.25}), 0);
        const double up = std::nextafter(5934568.25, 6e6), down = std::nextafter(5934568.25, 0);
        QCOMPARE(turn(a, b, {561235.5, up}), 1);
        QCOMPARE(turn(a, b, {561235.5, down}), -1);
        QCOMPARE(turn(b, a, {561235.5, up}), -1);
    }

    void hullsAndDistances()
    {
        const RingOnGround hull = convexHull({{0, 0}, {4, 0}, {4, 3}, {0, 3}, {2, 1}, {2, 0}});
        QCOMPARE(hull.size(), 4U);
        QCOMPARE(distanceBeyond({2, 2}, hull), 0.0);
        QCOMPARE(distanceBeyond({7, 7}, hull), 5.0);
        QCOMPARE(distanceBeyond({3, 4}, convexHull({{0, 0}, {0, 0}})), 5.0);
        QCOMPARE(distanceBeyond({1, 2}, convexHull({{0, 0}, {2, 0}})), 2.0);
        QVERIFY(std::isinf(distanceBeyond({0, 0}, {})));
        QCOMPARE(distanceToEdge({1, 1}, hull), 1.0);
    }

    /// Reference: the error function; a rectangle's probability is the product of two differences.
    void aRectangleHasTheProductOfItsSides()
    {
        const std::vector<PartOnGround> part{{{{10, 20}, {12, 20}, {12, 21}, {10, 21}}, {}}};
        for (const double sigmaM : {0.001, 0.02, 0.3, 2.0})
            for (const GroundM place :
                 {GroundM{11, 20.5}, {12, 20.5}, {12, 21}, {12.01, 20.99}, {15, 20.5}}) {
                const double variance = sigmaM * sigmaM;
                const double expected = (normalShareBelow((12 - place.east) / sigmaM) -
                                         normalShareBelow((10 - place.east) / sigmaM)) *
                                        (normalShareBelow((21 - place.north) / sigmaM) -
                                         normalShareBelow((20 - place.north) / sigmaM));
                const double found = probabilityWithin(part, place, {variance, 0, variance});
                QVERIFY2(std::abs(found - expected) < 1e-9,
                         qPrintable(QString("%1 for %2 at sigma %3").arg(found).arg(expected).arg(sigmaM)));
            }
    }

    /// Reference: 1,000,000 draws each; 0.005 is ten times the sampling error of 0.0005.
    void probabilitiesAreThoseOfAMillionDraws()
    {
        std::mt19937 shapes(2718);
        std::mt19937_64 draws(1618);
        for (int round = 0; round < 12; ++round) {
            const GroundM middle{561234.5, 5934567.5};
            std::vector<PartOnGround> parts{{starRing(shapes, 12, middle, 1.0, 0), {}}};
            if (round % 3 == 0)
                parts[0].holes.push_back({{middle.east - 0.1, middle.north - 0.1},
                                          {middle.east + 0.1, middle.north - 0.1},
                                          {middle.east, middle.north + 0.15}});
            if (round % 4 == 0)
                parts.push_back({starRing(shapes, 8, {middle.east + 2.5, middle.north}, 1.0, 0), {}});
            std::uniform_real_distribution<double> anywhere(-0.9, 0.9), sigma(0.02, 0.5),
                correlation(-0.9, 0.9);
            const GroundM place{middle.east + anywhere(shapes), middle.north + anywhere(shapes)};
            const double east = sigma(shapes), north = round % 2 == 0 ? east : sigma(shapes);
            const double both = round % 2 == 0 ? 0.0 : correlation(shapes) * east * north;
            const GroundCovariance covariance{east * east, both, north * north};
            const double expected = monteCarlo(draws, parts, place, covariance, 1000000);
            const double found = probabilityWithin(parts, place, covariance);
            QVERIFY2(std::abs(found - expected) < 0.005,
                     qPrintable(QString("round %1: %2, drawn %3").arg(round).arg(found).arg(expected)));
        }
    }

    void withoutErrorThereIsNoDoubt()
    {
        const std::vector<PartOnGround> part{{{{0, 0}, {2, 0}, {2, 2}, {0, 2}}, {}}};
        QCOMPARE(probabilityWithin(part, {1, 1}, {}), 1.0);
        QCOMPARE(probabilityWithin(part, {2, 1}, {}), 0.5);
        QCOMPARE(probabilityWithin(part, {3, 1}, {}), 0.0);
        QCOMPARE(probabilityWithin({}, {3, 1}, {}), 0.0);
    }
};

QTEST_GUILESS_MAIN(PlaneGeometryTest)
#include "PlaneGeometryTest.moc"
