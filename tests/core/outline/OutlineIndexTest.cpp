// SPDX-License-Identifier: GPL-3.0-or-later
// The index is held against looking at every vertex and edge (OutlineEdit.h, Area.h).
#include "core/outline/OutlineIndex.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

#include <QTest>

#include "core/outline/Area.h"
#include "core/outline/OutlineEdit.h"
#include "tests/core/outline/WellKnownText.h"

using namespace inkpeg;

namespace {

std::mt19937 seeded()
{
    const unsigned seed = std::random_device()();
    qInfo("seed %u", seed);
    return std::mt19937(seed);
}

/// A star about a random place; now and then one across the sheet, or with a hole.
std::vector<Part> randomParts(std::mt19937& random)
{
    const auto within = [&](double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random);
    };
    const ScanPx middle{within(-50, 8000), within(-50, 6000)};
    const double size = within(0, 1) < 0.05 ? within(1000, 4000) : std::exp(within(1, 5.5));
    const int count = static_cast<int>(within(3, 90));
    const auto star = [&](double share) {
        Ring ring;
        for (int i = 0; i < count; ++i) {
            const double turn = 6.283185307179586 * i / count, far = size * share * within(0.7, 1);
            ring.vertices.push_back(
                onLattice({middle.column + far * std::cos(turn), middle.row + far * std::sin(turn)}));
        }
        ring.kinds.assign(ring.vertices.size(), EdgeKind::Certain);
        return ring;
    };
    Part part{star(1), {}};
    if (within(0, 1) < 0.2)
        part.holes.push_back(star(0.5));
    return {part};
}

using All = std::map<std::int64_t, std::vector<Part>>;

double plainVertexDistance(const All& all, ScanPx at, double reach)
{
    double least = std::numeric_limits<double>::infinity();
    for (const auto& [id, parts] : all)
        if (const auto vertex = nearestVertex(parts, at, reach))
            least = std::min(least, distance(*vertex, at));
    return least;
}

double plainEdgeDistance(const All& all, ScanPx at, double reach)
{
    double least = std::numeric_limits<double>::infinity();
    for (const auto& [id, parts] : all)
        if (const auto edge = nearestEdge(parts, at, reach))
            least = std::min(least, edge->distancePx);
    return least;
}

std::int64_t plainSmallest(const All& all, ScanPx at, double reach)
{
    std::int64_t chosen = 0;
    for (const auto& [id, parts] : all)
        if (contains(parts, at) || nearestEdge(parts, at, reach))
            if (chosen == 0 || areaPx2(parts) < areaPx2(all.at(chosen)))
                chosen = id;
    return chosen;
}

} // namespace

class OutlineIndexTest final : public QObject {
    Q_OBJECT

private slots:
    void answersAreThoseOfLookingAtEverything()
    {
        std::mt19937 random = seeded();
        OutlineIndex index;
        All all;
        std::uniform_real_distribution<double> column(-100, 8100), row(-100, 6100), reach(0.5, 120);
        int found = 0;
        for (int step = 0; step < 1500; ++step) {
            // Outlines come, change and go between the questions.
            const std::int64_t id = 1 + static_cast<std::int64_t>(random() % 400);
            if (random() % 5 == 0) {
                index.remove(id);
                all.erase(id);
            } else {
                all[id] = randomParts(random);
                index.put(id, all[id]);
            }
            QCOMPARE(index.size(), all.size());
            ScanPx at{column(random), row(random)};
            const double reachPx = reach(random);
            if (step % 2 == 0 && !all.empty()) { // every other question is asked near something
                const auto& parts =
                    std::next(all.begin(), static_cast<std::ptrdiff_t>(random() % all.size()))->second;
                const ScanPx vertex = parts.front().outer.vertices.front();
                at = {vertex.column + 0.5 * reachPx, vertex.row};
            }
            const double plainVertex = plainVertexDistance(all, at, reachPx);
            const auto vertex = index.nearestVertex(at, reachPx);
            QCOMPARE(vertex.has_value(), std::isfinite(plainVertex));
            if (vertex)
                QCOMPARE(vertex->distancePx, plainVertex);
            const double plainEdge = plainEdgeDistance(all, at, reachPx);
            const auto edge = index.nearestEdge(at, reachPx);
            QCOMPARE(edge.has_value(), std::isfinite(plainEdge));
            if (edge)
                QCOMPARE(edge->distancePx, plainEdge);
            QCOMPARE(index.smallestAt(at, reachPx).value_or(0), plainSmallest(all, at, reachPx));
            const ScanBox box{at.column, at.row, at.column + 10 * reachPx, at.row + 5 * reachPx};
            std::vector<std::int64_t> plain;
            for (const auto& [each, parts] : all)
                if (boxOf(parts).meets(box))
                    plain.push_back(each);
            QVERIFY(index.meeting(box) == plain);
            QVERIFY(!index.moreMeetThan(plain.size(), box));
            QVERIFY(plain.empty() || index.moreMeetThan(plain.size() - 1, box));
            // Asked for large ones, none of those is missing and none comes that lies elsewhere.
            const double leastSidePx = 40;
            const std::vector<std::int64_t> large = index.meeting(box, leastSidePx);
            QVERIFY(std::ranges::includes(plain, large));
            for (const std::int64_t one : plain) {
                const ScanBox of = boxOf(all.at(one));
                if (std::max(of.right - of.left, of.bottom - of.top) >= leastSidePx)
                    QVERIFY(std::ranges::binary_search(large, one));
            }
            found += vertex.has_value();
        }
        QVERIFY2(found > 300, "the questions hit too little to mean anything");
    }
    void whatIsLeftOutIsNotFound()
    {
        OutlineIndex index;
        index.put(3, partsOfText("POLYGON ((0 0, 100 0, 100 100, 0 100, 0 0))"));
        index.put(4, partsOfText("POLYGON ((10 10, 20 10, 20 20, 10 20, 10 10))"));
        QVERIFY((index.nearestVertex({1, 1}, 5)->at == ScanPx{0, 0}));
        QVERIFY(!index.nearestVertex({1, 1}, 5, ScanPx{0, 0}));
        QVERIFY(!index.nearestEdge({1, 50}, 5, ScanPx{0, 100}));
        QCOMPARE(index.smallestAt({15, 15}, 2).value_or(0), std::int64_t(4));
        QCOMPARE(index.smallestAt({15, 15}, 2, 4).value_or(0), std::int64_t(3));
        QVERIFY(!index.smallestAt({500, 500}, 2));
        index.clear();
        QVERIFY(!index.nearestVertex({1, 1}, 5));
    }
};

QTEST_GUILESS_MAIN(OutlineIndexTest)
#include "OutlineIndexTest.moc"
