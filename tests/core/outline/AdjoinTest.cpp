// SPDX-License-Identifier: GPL-3.0-or-later
// Rings traced by themselves laid onto their neighbours: shared edges, no slivers.
#include "core/outline/Adjoin.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include <QTest>

#include "core/outline/Area.h"
#include "core/outline/Overlay.h"
#include "core/outline/Validity.h"

using namespace inkpeg;

namespace {

Ring ringOf(std::vector<ScanPx> vertices, EdgeKind kind = EdgeKind::Certain)
{
    Ring ring;
    for (const ScanPx& vertex : vertices)
        ring.vertices.push_back(onLattice(vertex));
    ring.kinds.assign(vertices.size(), kind);
    return ring;
}

DrawnOutline outlineOf(const char* context, Ring ring)
{
    return {1, context, {{std::move(ring), {}}}};
}

/// A wavy line from (0, 200) to (600, 200), sampled at its own places.
std::vector<ScanPx> wave(std::mt19937& random, int pieces, double missPx)
{
    std::uniform_real_distribution<> miss(-missPx, missPx);
    std::vector<ScanPx> line;
    for (int i = 0; i <= pieces; ++i) {
        const double x = 600.0 * i / pieces;
        line.push_back({x, 200 + 25 * std::sin(x / 70) + miss(random)});
    }
    return line;
}

Ring boundBy(std::vector<ScanPx> line, double row, EdgeKind kind = EdgeKind::Certain)
{
    line.push_back({600, row});
    line.push_back({0, row});
    return ringOf(std::move(line), kind);
}

double areaOf(const Ring& ring)
{
    return areaPx2(std::vector<Part>{{ring, {}}});
}

} // namespace

class AdjoinTest final : public QObject {
    Q_OBJECT

private slots:
    void adjoiningRingsShareTheirEdgeAndLeaveNoSliver()
    {
        std::mt19937 random(5);
        for (int round = 0; round < 20; ++round) {
            // The same pencil line traced twice, with other vertices, each within 2 px (0.13 mm) of it.
            const Ring above = boundBy(wave(random, 40, 1.5), 20),
                       below = boundBy(wave(random, 33, 1.5), 380);
            const DrawnOutline there = outlineOf("1001", above);
            const Ring laid = adjoined(below, std::vector{there}, 5);
            QVERIFY(checkParts(std::vector<Part>{{laid, {}}}));
            DrawnOutlines both = {there, {2, "1002", {{laid, {}}}}};
            knit(both, {false, true});
            const std::vector<SharedEdge> shared = sharedEdges(both);
            QVERIFY2(shared.size() >= 38, qPrintable(QString::number(shared.size())));
            QVERIFY(!overlaps(both[0].parts, both[1].parts));
            // Nothing else has moved further than the lines missed each other.
            QVERIFY(std::abs(areaOf(laid) - areaOf(below)) < 600 * 2.0);
        }
    }

    void theSameLineDrawnForTwoContextsBecomesTheSameRing()
    {
        std::vector<ScanPx> cut, fill;
        for (int i = 0; i < 30; ++i)
            cut.push_back({300 + 100 * std::cos(i * std::numbers::pi / 15),
                           300 + 80 * std::sin(i * std::numbers::pi / 15)});
        for (int i = 0; i < 41; ++i)
            fill.push_back({300 + 100 * std::cos(0.07 + 2 * i * std::numbers::pi / 41),
                            300 + 80 * std::sin(0.07 + 2 * i * std::numbers::pi / 41)});
        const Ring laid =
            adjoined(ringOf(fill, EdgeKind::Uncertain), std::vector{outlineOf("1", ringOf(cut))}, 5);
        QCOMPARE(laid.vertices.size(), std::size_t(30));
        QVERIFY(std::ranges::all_of(laid.kinds, [](EdgeKind kind) { return kind == EdgeKind::Uncertain; }));
        for (const ScanPx& vertex : ringOf(cut).vertices)
            QVERIFY(std::ranges::find(laid.vertices, vertex) != laid.vertices.end());
    }

    void edgesKeepTheKindsTheyWereTracedWith()
    {
        std::mt19937 random(8);
        Ring below = boundBy(wave(random, 30, 0.5), 380, EdgeKind::Certain);
        for (std::size_t i = 0; i < 30; ++i)
            below.kinds[i] = EdgeKind::Truncated;
        const Ring laid =
            adjoined(below, std::vector{outlineOf("1", boundBy(wave(random, 40, 0.5), 20))}, 5);
        for (std::size_t i = 0; i < laid.vertices.size(); ++i) {
            const ScanPx a = laid.vertices[i], b = laid.vertices[(i + 1) % laid.vertices.size()];
            const bool onWave = std::max(a.row, b.row) < 300;
            QVERIFY(laid.kinds[i] == (onWave ? EdgeKind::Truncated : EdgeKind::Certain));
        }
    }

    void verticesPlacedExactlyStayWhereTheyAre()
    {
        std::mt19937 random(12);
        const DrawnOutline there = outlineOf("1001", boundBy(wave(random, 40, 1.5), 20));
        const Ring below = boundBy(wave(random, 33, 1.5), 380);
        const ScanPx held = below.vertices[15];
        const Ring laid = adjoined(below, std::vector{there}, 5, std::vector{held});
        QVERIFY(checkParts(std::vector<Part>{{laid, {}}}));
        QVERIFY(std::ranges::find(laid.vertices, held) != laid.vertices.end());
        // On both sides of it the edge is shared all the same.
        const SharedWith with = sharedWith(laid, std::vector{there});
        QVERIFY2(with.edges.size() >= 30, qPrintable(QString::number(with.edges.size())));
        QVERIFY((with.contexts == std::vector<std::string>{"1001"}));
        // All held: the ring as it was.
        QVERIFY(adjoined(below, std::vector{there}, 5, below.vertices) == below);
    }

    void ringsApartOrCrossingAreLeftAsTheyAre()
    {
        const Ring square = ringOf({{0, 0}, {100, 0}, {100, 100}, {0, 100}});
        for (const std::vector<ScanPx>& other : {std::vector<ScanPx>{{200, 0}, {300, 0}, {300, 90}},
                                                 {{50, -50}, {160, 50}, {50, 150}, {40, 50}}}) {
            const Ring laid = adjoined(square, std::vector{outlineOf("1", ringOf(other))}, 5);
            QVERIFY(laid == square);
        }
        QVERIFY(adjoined(square, {}, 5) == square);
    }
};

QTEST_GUILESS_MAIN(AdjoinTest)
#include "AdjoinTest.moc"
