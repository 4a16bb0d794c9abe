// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/section/Alignment.h"

#include <cmath>
#include <numbers>
#include <random>

#include <QTest>

using namespace inkpeg;

namespace {

std::vector<AlignedPost> postsAt(const std::vector<GroundM>& places)
{
    std::vector<AlignedPost> posts;
    for (std::size_t i = 0; i < places.size(); ++i)
        posts.push_back({"P" + std::to_string(i + 1), places[i]});
    return posts;
}

using Long = long double;

/// Direction of the best line from the second moments in closed form: not the program's way, and in long double.
Long referenceDirection(const std::vector<AlignedPost>& posts)
{
    const Long count = static_cast<Long>(posts.size());
    Long e = 0, n = 0, ee = 0, en = 0, nn = 0;
    for (const AlignedPost& post : posts) {
        e += post.position.east / count;
        n += post.position.north / count;
    }
    for (const AlignedPost& post : posts) {
        const Long de = post.position.east - e, dn = post.position.north - n;
        ee += de * de;
        en += de * dn;
        nn += dn * dn;
    }
    const Long fromNorth = 0.5L * std::atan2(2 * en, nn - ee);
    return fromNorth < 0 ? fromNorth + std::numbers::pi_v<Long> : fromNorth;
}

/// Least sum of squares over centres, the radius being the mean distance: a search by shrinking steps in
/// long double.
struct ReferenceCircle {
    Long east, north, radius, squares;
};
ReferenceCircle referenceCircle(const std::vector<AlignedPost>& posts, Long east, Long north, Long step)
{
    const auto at = [&](Long e, Long n) {
        Long mean = 0, squares = 0;
        for (const AlignedPost& post : posts)
            mean += std::hypot(post.position.east - e, post.position.north - n) /
                    static_cast<Long>(posts.size());
        for (const AlignedPost& post : posts)
            squares += std::pow(std::hypot(post.position.east - e, post.position.north - n) - mean, 2);
        return ReferenceCircle{e, n, mean, squares};
    };
    ReferenceCircle best = at(east, north);
    for (; step > 1e-10L; step /= 2)
        for (bool better = true; better;) {
            better = false;
            for (const auto& [de, dn] :
                 {std::pair{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, -1}, {1, -1}, {-1, 1}})
                if (const ReferenceCircle next = at(best.east + de * step, best.north + dn * step);
                    next.squares < best.squares) {
                    best = next;
                    better = true;
                }
        }
    return best;
}

} // namespace

class AlignmentTest final : public QObject {
    Q_OBJECT

private slots:
    // Pearson, On lines and planes of closest fit to systems of points in space, Philosophical Magazine 2
    // (1901), with its ten points: y = 5.784 - 0.546 x (from memory).
    void pearsonsLineOfClosestFit()
    {
        const auto line = alignOnLine(postsAt({{0.0, 5.9},
                                               {0.9, 5.4},
                                               {1.8, 4.4},
                                               {2.6, 4.6},
                                               {3.3, 3.5},
                                               {4.4, 3.7},
                                               {5.2, 2.8},
                                               {6.1, 2.8},
                                               {6.5, 2.4},
                                               {7.4, 1.5}}));
        QVERIFY(line);
        const double slope = 1 / std::tan(line->directionRad);
        QVERIFY(std::abs(slope + 0.546) < 0.0006);
        QVERIFY(std::abs(line->centroid.north - slope * line->centroid.east - 5.784) < 0.002);
        QCOMPARE(line->posts.front().name, std::string("P1"));
        QCOMPARE(line->posts.back().name, std::string("P10"));
    }

    // Gander, Golub & Strebel, Least-squares fitting of circles and ellipses, BIT 34 (1994), six points:
    // centre (4.7398, 2.9835), radius 4.7142 (from memory).
    void circleOfTheSixPoints()
    {
        const auto ring = alignOnCircle(postsAt({{1, 7}, {2, 6}, {5, 8}, {7, 7}, {9, 5}, {3, 7}}));
        QVERIFY(ring);
        QVERIFY(std::abs(ring->centre.east - 4.7398) < 0.0001);
        QVERIFY(std::abs(ring->centre.north - 2.9835) < 0.0001);
        QVERIFY(std::abs(ring->radiusM - 4.7142) < 0.0001);
    }

    // By hand: due east, 1 m apart, 10 mm off to either side and alike at both ends, so that the line lies in
    // the middle: standard error 10 mm x sqrt(4 / 2). A quarter of the circle of 1.5 m is 2.356 m long.
    void theFitIsToldInWords()
    {
        const auto line = alignOnLine(postsAt({{0, 0.010}, {1, -0.010}, {2, -0.010}, {3, 0.010}}));
        QVERIFY(line);
        QCOMPARE(alignmentInWords(*line),
                 std::string("line at 90.00 degrees from grid north; RMSE 10.0 mm; standard error 14.1 mm; "
                             "spacing 1.000 m, deviation 0 mm"));
        // Four places of a circle of 1.5 m, a quarter of a turn apart: three quarters of it are covered.
        const auto ring = alignOnCircle(postsAt({{11.5, 20}, {10, 21.5}, {8.5, 20}, {10, 18.5}}));
        QVERIFY(ring);
        QCOMPARE(
            alignmentInWords(*ring),
            std::string("arc of radius 1.500 m about E 10.000 N 20.000, 270 degrees of it; RMSE 0.0 mm; "
                        "standard error 0.0 mm; spacing 2.356 m, deviation 0 mm"));
    }

    void randomRowsAgreeWithExtendedPrecision()
    {
        constexpr unsigned Seed = 4021;
        qInfo("seed %u", Seed);
        std::mt19937 random(Seed);
        std::uniform_real_distribution<> direction(0, std::numbers::pi), along(0, 30);
        std::normal_distribution<> off(0, 0.15);
        for (int trial = 0; trial < 1'000; ++trial) {
            const double angle = direction(random);
            std::vector<GroundM> places;
            for (int i = 0; i < 4 + trial % 20; ++i) {
                const double a = along(random), o = off(random);
                places.push_back({553'000 + a * std::sin(angle) - o * std::cos(angle),
                                  6'204'000 + a * std::cos(angle) + o * std::sin(angle)});
            }
            const auto posts = postsAt(places);
            const auto line = alignOnLine(posts);
            QVERIFY(line);
            const auto apart = static_cast<double>(line->directionRad - referenceDirection(posts));
            QVERIFY(std::abs(std::remainder(apart, std::numbers::pi)) <
                    1e-9); // a nanometre a metre: 6e6 m in doubles
            double sum = 0;
            for (const PostPlace& post : line->posts)
                sum += post.residualM;
            QVERIFY(std::abs(sum) < 1e-7);
        }
    }

    void randomArcsAgreeWithExtendedPrecision()
    {
        constexpr unsigned Seed = 4022;
        qInfo("seed %u", Seed);
        std::mt19937 random(Seed);
        std::uniform_real_distribution<> radius(2, 12), start(0, 6), arc(1.5, 4.5);
        std::normal_distribution<> off(0, 0.05);
        for (int trial = 0; trial < 60; ++trial) {
            const double r = radius(random), from = start(random), covered = arc(random);
            std::vector<GroundM> places;
            const int count = 6 + trial % 12;
            for (int i = 0; i < count; ++i) {
                const double angle = from + covered * i / (count - 1), d = r + off(random);
                places.push_back({100 + d * std::sin(angle), 200 + d * std::cos(angle)});
            }
            const auto posts = postsAt(places);
            const auto ring = alignOnCircle(posts);
            QVERIFY(ring);
            const ReferenceCircle reference = referenceCircle(posts, 100, 200, 0.5L);
            QVERIFY(std::abs(ring->centre.east - static_cast<double>(reference.east)) < 1e-7);
            QVERIFY(std::abs(ring->centre.north - static_cast<double>(reference.north)) < 1e-7);
            QVERIFY(std::abs(ring->radiusM - static_cast<double>(reference.radius)) < 1e-7);
            QVERIFY(std::abs(ring->rmseM * ring->rmseM * count - static_cast<double>(reference.squares)) <
                    1e-11);
            // The ends stand further apart than neighbours do, so the arc runs from the first post to the last.
            const auto angleOf = [&](GroundM p) {
                return std::atan2(p.east - static_cast<double>(reference.east),
                                  p.north - static_cast<double>(reference.north));
            };
            const double arcRad = angleOf(places.back()) - angleOf(places.front());
            const double turn = 2 * std::numbers::pi;
            QVERIFY(std::abs(ring->coveredRad - (arcRad < 0 ? arcRad + turn : arcRad)) < 1e-6);
        }
    }

    void spacingIsGivenInTheOrderAlongTheRow()
    {
        const auto line = alignOnLine(postsAt({{10, 0}, {0, 0}, {4, 0}, {7, 0}}));
        QVERIFY(line);
        std::vector<std::string> names;
        for (const PostPlace& post : line->posts)
            names.push_back(post.name);
        QCOMPARE(names, (std::vector<std::string>{"P2", "P3", "P4", "P1"}));
        QVERIFY(std::abs(line->posts[1].spacingM - 4) < 1e-12);
        QVERIFY(std::abs(line->meanSpacingM - 10.0 / 3) < 1e-12);
        QVERIFY(std::abs(*line->spacingDeviationM - std::sqrt(1.0 / 3)) < 1e-12);
        QVERIFY(std::abs(line->directionRad - std::numbers::pi / 2) < 1e-12);
    }

    void asManyPostsAsTheShapeNeedsCheckNothing()
    {
        const auto line = alignOnLine(postsAt({{0, 0}, {0, 2}}));
        QVERIFY(line);
        QVERIFY(!line->standardErrorM && !line->spacingDeviationM);
        QCOMPARE(alignmentInWords(*line), std::string("line at 0.00 degrees from grid north; nothing was "
                                                      "checked: two posts always make a line; spacing "
                                                      "2.000 m"));
        const auto arc = alignOnCircle(postsAt({{1, 0}, {0, 1}, {-1, 0}}));
        QVERIFY(arc);
        QVERIFY(!arc->standardErrorM && arc->spacingDeviationM);
        const std::string words = alignmentInWords(*arc);
        QVERIFY2(words.find("nothing was checked: three posts always make an arc; spacing 1.571 m, "
                            "deviation 0 mm") != std::string::npos,
                 words.c_str());
        // One post more, and there is something to say: 30 mm off the line through the other two leave
        // residuals of 10, 20 and 10 mm, and a standard error of the root of 600 over 1.
        const auto row = alignOnLine(postsAt({{0, 0}, {0.03, 1}, {0, 2}}));
        QVERIFY(row && row->standardErrorM);
        QVERIFY(std::abs(*row->standardErrorM - std::sqrt(600e-6)) < 1e-6);
        QVERIFY(alignmentInWords(*row).find("standard error 24.5 mm") != std::string::npos);
    }

    void postsThatMakeNoRowOrRingAreRefused()
    {
        QVERIFY(!alignOnLine(postsAt({{1, 1}})));
        QVERIFY(!alignOnLine(postsAt({{1, 1}, {1, 1}})));
        QVERIFY(!alignOnLine(postsAt({{0, 0}, {1, 0}, {1, 1}, {0, 1}})));
        QVERIFY(!alignOnCircle(postsAt({{0, 0}, {1, 0}})));
        const auto straight = alignOnCircle(postsAt({{0, 0}, {1, 1}, {2, 2}, {5, 5}}));
        QVERIFY(!straight);
        QVERIFY(straight.error().message.find("4 posts (P1, P2, P3, P4)") != std::string::npos);
    }
};

QTEST_GUILESS_MAIN(AlignmentTest)
#include "AlignmentTest.moc"
