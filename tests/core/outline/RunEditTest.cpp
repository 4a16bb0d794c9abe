// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/RunEdit.h"

#include <algorithm>

#include <QTest>

#include "core/outline/Area.h"
#include "core/outline/Validity.h"
#include "tests/core/outline/WellKnownText.h"

using namespace inkpeg;

namespace {

/// Two layers that share the edge from (100, 0) over (110, 50) to (100, 100).
DrawnOutlines pair()
{
    return {{1, "1001", partsOfText("POLYGON ((0 0, 100 0, 110 50, 100 100, 0 100, 0 0))")},
            {2, "1002", partsOfText("POLYGON ((100 0, 200 0, 200 100, 100 100, 110 50, 100 0))")}};
}

const Ring& ringOf(const DrawnOutlines& all, std::size_t i)
{
    return all[i].parts[0].outer;
}

bool holds(const Ring& ring, ScanPx vertex)
{
    return std::ranges::count(ring.vertices, vertex) == 1;
}

} // namespace

class RunEditTest final : public QObject {
    Q_OBJECT

private slots:
    void aRunGoesTheShorterWayUnlessAsked()
    {
        const DrawnOutlines all = pair();
        QVERIFY((runBetween(all, {100, 0}, {100, 100}) == Run{{100, 0}, {110, 50}, {100, 100}}));
        QVERIFY(
            (runBetween(all, {100, 0}, {100, 100}, true) == Run{{100, 0}, {0, 0}, {0, 100}, {100, 100}}));
        QVERIFY((runBetween(all, {0, 0}, {0, 0}) == Run{{0, 0}}));
        QVERIFY(!runBetween(all, {0, 0}, {200, 0}));
    }
    void aSharedRunMovesInBoth()
    {
        DrawnOutlines all = pair();
        QVERIFY(moveRun(all, {{100, 0}, {110, 50}, {100, 100}}, 10, 0));
        for (std::size_t i = 0; i < 2; ++i)
            for (const ScanPx vertex : {ScanPx{110, 0}, ScanPx{120, 50}, ScanPx{110, 100}})
                QVERIFY(holds(ringOf(all, i), vertex));
        QCOMPARE(sharedEdges(all).size(), std::size_t(2));
    }
    void aRunMovedOntoWhereItWasKeepsItsOrder()
    {
        DrawnOutlines all = pair();
        // Each vertex lands where the next one of the run was.
        DrawnOutlines steps{{1, "1", partsOfText("POLYGON ((0 0, 10 0, 20 0, 30 0, 30 40, 0 40, 0 0))")}};
        QVERIFY(moveRun(steps, {{10, 0}, {20, 0}}, 5, -5));
        QVERIFY(holds(ringOf(steps, 0), {15, -5}) && holds(ringOf(steps, 0), {25, -5}));
        QCOMPARE(ringOf(steps, 0).vertices.size(), std::size_t(6));
    }
    void anOutlineMadeToCrossItselfIsRefusedAndLeftAsItWas()
    {
        DrawnOutlines all = pair();
        const Result<void> moved = moveVertexOf(all, {110, 50}, {-50, 50});
        QVERIFY(!moved);
        QVERIFY(moved.error().message.find("context 1001") == 0);
        QVERIFY(all == pair());
        QVERIFY(!moveVertexOf(all, {1, 1}, {2, 2}));
    }
    void anOutlineMadeToCrossItselfIsMendedWhenAskedAndTold()
    {
        // The shared vertex goes out through the far side of 1001: that crosses itself, 1002 does not.
        DrawnOutlines all = pair();
        Mendings mendings;
        QVERIFY(moveVertexOf(all, {110, 50}, {-50, 50}, &mendings));
        QCOMPARE(mendings.size(), std::size_t(1));
        QCOMPARE(mendings[0].context, std::string("1001"));
        QVERIFY(!mendings[0].mended.steps.empty());
        for (const DrawnOutline& outline : all)
            QVERIFY(bool(checkParts(outline.parts)));
        DrawnOutlines again = all;
        knit(again, {true, true});
        QVERIFY(again == all); // what the mending put in, the neighbour has too
        // What needs no mending is done and tells of none.
        DrawnOutlines plain = pair(), mended = pair();
        QVERIFY(moveVertexOf(plain, {110, 50}, {120, 50}));
        QVERIFY(moveVertexOf(mended, {110, 50}, {120, 50}, &mendings));
        QVERIFY(plain == mended && mendings.empty());
    }
    void theVerticesBetweenTheEndsGoFromBoth()
    {
        DrawnOutlines all = pair();
        QVERIFY(removeRun(all, {{100, 0}, {110, 50}, {100, 100}}));
        QCOMPARE(areaPx2(all[0].parts), 10000.0);
        QCOMPARE(areaPx2(all[1].parts), 10000.0);
        QCOMPARE(sharedEdges(all).size(), std::size_t(1));
        QVERIFY(!removeRun(all, {{100, 0}, {100, 100}}));
    }
    void aRunTakesItsKindInBoth()
    {
        DrawnOutlines all = pair();
        QVERIFY(setKindOfRun(all, {{100, 100}, {110, 50}, {100, 0}}, EdgeKind::Uncertain));
        for (std::size_t i = 0; i < 2; ++i)
            QCOMPARE(std::ranges::count(ringOf(all, i).kinds, EdgeKind::Uncertain), std::ptrdiff_t(2));
        QVERIFY(!setKindOfRun(all, {{0, 0}}, EdgeKind::Uncertain));
    }
    void aRedrawnStretchTakesThePlaceOfTheOldInBoth()
    {
        DrawnOutlines all = pair();
        // The ends lie within edges: vertices come to stand there.
        const std::vector<ScanPx> line{{102, 10}, {120, 30}, {120, 70}, {102, 90}};
        const std::vector<EdgeKind> kinds{EdgeKind::Certain, EdgeKind::Truncated, EdgeKind::Certain};
        QVERIFY(redrawRun(all, line, kinds));
        for (std::size_t i = 0; i < 2; ++i) {
            for (const ScanPx& vertex : line)
                QVERIFY(holds(ringOf(all, i), vertex));
            QVERIFY(!holds(ringOf(all, i), {110, 50}));
            QCOMPARE(std::ranges::count(ringOf(all, i).kinds, EdgeKind::Truncated), std::ptrdiff_t(1));
            QVERIFY(bool(checkParts(all[i].parts)));
        }
        QCOMPARE(sharedEdges(all).size(), std::size_t(5));
        QCOMPARE(areaPx2(all[0].parts) + areaPx2(all[1].parts), 20000.0);
    }
    void anEdgeSharedInPartIsNotRedrawnAcrossTheJunction()
    {
        DrawnOutlines all = pair();
        const std::vector<ScanPx> line{{0, 100}, {50, 90}, {110, 50}}; // past where 1002 begins
        const Result<void> redrawn = redrawRun(all, line, {EdgeKind::Certain, EdgeKind::Certain});
        QVERIFY(!redrawn);
        QVERIFY(redrawn.error().message.find("context 1002 adjoins only a part") != std::string::npos);
        QVERIFY(all == pair());
        QVERIFY(!redrawRun(all, {{300, 300}, {310, 310}}, {EdgeKind::Certain}));
    }
    void aLineClosesAlongTheLimitByTheShorterWay()
    {
        const Course limit{{{0, 0}, {100, 0}, {100, 100}, {0, 100}},
                           {EdgeKind::LimitOfExcavation, EdgeKind::Certain, EdgeKind::LimitOfExcavation,
                            EdgeKind::LimitOfExcavation},
                           true};
        const auto stretch = stretchOf(limit, {30, 0}, {100, 20}, 1);
        QVERIFY(stretch);
        QVERIFY((stretch->vertices == std::vector<ScanPx>{{30, 0}, {100, 0}, {100, 20}}));
        QVERIFY((stretch->kinds == std::vector<EdgeKind>{EdgeKind::LimitOfExcavation, EdgeKind::Certain}));
        // Over the end of the ring, and the other way round.
        const auto over = stretchOf(limit, {10, 0}, {0, 10}, 1);
        QVERIFY(over && (over->vertices == std::vector<ScanPx>{{10, 0}, {0, 0}, {0, 10}}));
        const auto back = stretchOf(limit, {0, 10}, {10, 0}, 1);
        QVERIFY(back && (back->vertices == std::vector<ScanPx>{{0, 10}, {0, 0}, {10, 0}}));
        QCOMPARE(back->kinds.size(), std::size_t(2));
        // From vertex to vertex, and within one edge.
        const auto corner = stretchOf(limit, {100, 100}, {100, 0}, 1);
        QVERIFY(corner && (corner->vertices == std::vector<ScanPx>{{100, 100}, {100, 0}}));
        QVERIFY((corner->kinds == std::vector<EdgeKind>{EdgeKind::Certain}));
        const auto within = stretchOf(limit, {70, 0}, {20, 0}, 1);
        QVERIFY(within && (within->vertices == std::vector<ScanPx>{{70, 0}, {20, 0}}));
        QVERIFY(!stretchOf(limit, {50, 50}, {20, 0}, 1));
    }
    void anOpenLineIsFollowedBetweenItsEnds()
    {
        const Course line{{{0, 0}, {50, 0}, {100, 50}}, {EdgeKind::Certain, EdgeKind::Uncertain}, false};
        const auto stretch = stretchOf(line, {75, 25}, {10, 0}, 0.5);
        QVERIFY(stretch);
        QVERIFY((stretch->vertices == std::vector<ScanPx>{{75, 25}, {50, 0}, {10, 0}}));
        QVERIFY((stretch->kinds == std::vector<EdgeKind>{EdgeKind::Uncertain, EdgeKind::Certain}));
        const auto whole = stretchOf(line, {0, 0}, {100, 50}, 0.5);
        QVERIFY(whole && whole->vertices == line.vertices && whole->kinds == line.kinds);
    }
};

QTEST_GUILESS_MAIN(RunEditTest)
#include "RunEditTest.moc"
