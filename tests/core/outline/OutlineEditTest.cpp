// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/OutlineEdit.h"

#include <QTest>

using namespace inkpeg;

namespace {

Ring ringOf(std::vector<ScanPx> vertices)
{
    Ring ring;
    ring.kinds.assign(vertices.size(), EdgeKind::Certain);
    ring.vertices = std::move(vertices);
    return ring;
}

std::vector<Part> square()
{
    return {{ringOf({{0, 0}, {100, 0}, {100, 100}, {0, 100}}), {}}};
}

} // namespace

class OutlineEditTest : public QObject {
    Q_OBJECT
private slots:
    void aSharedVertexMovesInBothOutlines()
    {
        std::vector<Part> left = square();
        std::vector<Part> right{{ringOf({{100, 0}, {200, 0}, {200, 100}, {100, 100}}), {}}};
        for (std::vector<Part>* outline : {&left, &right}) {
            const Result<bool> moved = moveVertex(*outline, {100, 0}, {110, -5});
            QVERIFY(moved && *moved);
        }
        QVERIFY((left[0].outer.vertices[1] == ScanPx{110, -5}));
        QVERIFY((right[0].outer.vertices[0] == ScanPx{110, -5}));
    }
    void movingAVertexThatIsNotThereChangesNothing()
    {
        std::vector<Part> parts = square();
        const Result<bool> moved = moveVertex(parts, {50, 50}, {60, 60});
        QVERIFY(moved && !*moved);
        QVERIFY(parts == square());
    }
    void aVertexMovedOntoItsNeighbourBecomesOneWithIt()
    {
        std::vector<Part> parts = square();
        QVERIFY(moveVertex(parts, {100, 0}, {100, 100}));
        QCOMPARE(parts[0].outer.vertices.size(), std::size_t(3));
        QCOMPARE(parts[0].outer.kinds.size(), std::size_t(3));
    }
    void theLastVertexMovedOntoTheFirstBecomesOneWithIt()
    {
        std::vector<Part> parts = square();
        QVERIFY(moveVertex(parts, {0, 100}, {0, 0}));
        QCOMPARE(parts[0].outer.vertices.size(), std::size_t(3));
        QCOMPARE(parts[0].outer.kinds.size(), std::size_t(3));
    }
    void anInsertedVertexStandsInEachEdgeWhicheverWayItRuns()
    {
        std::vector<Part> left = square();
        std::vector<Part> right{{ringOf({{100, 100}, {100, 0}, {200, 50}}), {}}};
        left[0].outer.kinds[1] = EdgeKind::Uncertain; // the edge from (100, 0) to (100, 100)
        QVERIFY(insertVertex(left, {100, 100}, {100, 0}, {100, 40}));
        QVERIFY(insertVertex(right, {100, 100}, {100, 0}, {100, 40}));
        QVERIFY((left[0].outer.vertices[2] == ScanPx{100, 40}));
        QVERIFY((right[0].outer.vertices[1] == ScanPx{100, 40}));
        QCOMPARE(left[0].outer.kinds[1], EdgeKind::Uncertain);
        QCOMPARE(left[0].outer.kinds[2], EdgeKind::Uncertain);
        QCOMPARE(left[0].outer.kinds[3], EdgeKind::Certain);
    }
    void aVertexGoesIntoTheEdgeThatClosesTheRing()
    {
        std::vector<Part> parts = square();
        QVERIFY(insertVertex(parts, {0, 100}, {0, 0}, {-10, 50}));
        QVERIFY((parts[0].outer.vertices.back() == ScanPx{-10, 50}));
    }
    void whereThereIsNoSuchEdgeNothingIsInserted()
    {
        std::vector<Part> parts = square();
        QVERIFY(!insertVertex(parts, {0, 0}, {100, 100}, {50, 50}));
        QVERIFY(!insertVertex(parts, {0, 0}, {100, 0}, {0, 0}));
        QVERIFY(parts == square());
    }
    void aRemovedVertexLeavesTheKindThatLedToIt()
    {
        std::vector<Part> parts = square();
        parts[0].outer.kinds = {EdgeKind::Certain, EdgeKind::Truncated, EdgeKind::Uncertain,
                                EdgeKind::Certain};
        const Result<bool> removed = removeVertex(parts, {100, 100});
        QVERIFY(removed && *removed);
        QVERIFY((parts[0].outer.vertices == std::vector<ScanPx>{{0, 0}, {100, 0}, {0, 100}}));
        QVERIFY((parts[0].outer.kinds ==
                 std::vector<EdgeKind>{EdgeKind::Certain, EdgeKind::Truncated, EdgeKind::Certain}));
    }
    void aTriangleKeepsItsVertices()
    {
        std::vector<Part> parts{{ringOf({{0, 0}, {10, 0}, {0, 10}}), {}}};
        const std::vector<Part> before = parts;
        QVERIFY(!removeVertex(parts, {10, 0}));
        QVERIFY(!moveVertex(parts, {10, 0}, {0, 0}));
        QVERIFY(parts == before);
    }
    void verticesOfHolesAreFoundToo()
    {
        std::vector<Part> parts = square();
        parts[0].holes.push_back(ringOf({{40, 40}, {60, 40}, {50, 60}}));
        QVERIFY((nearestVertex(parts, {41, 41}, 5) == ScanPx{40, 40}));
        QVERIFY(!nearestVertex(parts, {50, 20}, 5));
    }
    void theNearestEdgeTellsItsFootOnTheLattice()
    {
        const std::optional<EdgePlace> edge = nearestEdge(square(), {33.3333, 4}, 10);
        QVERIFY(edge);
        QVERIFY((edge->from == ScanPx{0, 0} && edge->to == ScanPx{100, 0}));
        QVERIFY(edge->foot == onLattice(edge->foot));
        QCOMPARE(edge->foot.row, 0.0);
        QVERIFY(std::abs(edge->foot.column - 33.3333) <= 1.0 / 512); // half a step of the lattice
        QVERIFY(!nearestEdge(square(), {50, 50}, 10));
    }
    void bothOutlinesTakeTheKindOfTheirSharedEdge()
    {
        std::vector<Part> parts = square();
        QVERIFY(setEdgeKind(parts, {100, 100}, {100, 0}, EdgeKind::LimitOfExcavation));
        QCOMPARE(parts[0].outer.kinds[1], EdgeKind::LimitOfExcavation);
        QVERIFY(!setEdgeKind(parts, {5, 5}, {100, 0}, EdgeKind::Certain));
    }
};

QTEST_GUILESS_MAIN(OutlineEditTest)
#include "OutlineEditTest.moc"
