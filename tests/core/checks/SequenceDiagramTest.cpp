// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/SequenceDiagram.h"

#include <algorithm>
#include <cmath>
#include <random>
#include <set>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/transitive_reduction.hpp>

#include <QTest>

#include "core/checks/LayeredDrawing.h"

using namespace inkpeg;

namespace {

std::vector<LayeredEdge> randomEdges(std::mt19937& random, std::size_t nodes, std::size_t edges)
{
    std::set<std::pair<std::size_t, std::size_t>> chosen;
    for (std::size_t i = 0; i < edges; ++i) {
        const auto [a, b] = std::minmax({random() % nodes, random() % nodes});
        if (a != b)
            chosen.emplace(a, b);
    }
    std::vector<LayeredEdge> list;
    for (const auto& [from, to] : chosen)
        list.push_back({from, to});
    return list;
}

/// Crossings of the drawing by looking at every two pieces of line between two layers.
std::size_t crossingsByLooking(const LayeredDrawing& drawing, const std::vector<LayeredEdge>& edges)
{
    struct Piece {
        double upper, lower;
    };
    std::vector<std::vector<Piece>> pieces(drawing.layers);
    for (std::size_t i = 0; i < edges.size(); ++i) {
        double upper = drawing.x[edges[i].from];
        std::size_t layer = drawing.layer[edges[i].from];
        for (const double bend : drawing.bends[i]) {
            pieces[layer++].push_back({upper, bend});
            upper = bend;
        }
        pieces[layer].push_back({upper, drawing.x[edges[i].to]});
    }
    std::size_t crossings = 0;
    for (const std::vector<Piece>& between : pieces)
        for (std::size_t i = 0; i < between.size(); ++i)
            for (std::size_t k = 0; k < i; ++k)
                crossings +=
                    (between[i].upper - between[k].upper) * (between[i].lower - between[k].lower) < -1e-9
                        ? 1
                        : 0;
    return crossings;
}

Context contextNumbered(const std::string& number, const std::string& trench = "T1")
{
    Context context;
    context.number = number;
    context.kind = "layer";
    context.trench = trench;
    return context;
}

} // namespace

class SequenceDiagramTest final : public QObject {
    Q_OBJECT

private slots:
    void everyEdgeLeadsDownAndNoTwoBoxesTouch()
    {
        std::mt19937 random(31);
        for (int round = 0; round < 200; ++round) {
            const std::size_t nodes = 1 + random() % 60;
            const std::vector<LayeredEdge> edges = randomEdges(random, nodes, nodes * (1 + random() % 3));
            std::vector<double> widths;
            for (std::size_t i = 0; i < nodes; ++i)
                widths.push_back(5 + static_cast<double>(random() % 30));
            const LayeredDrawing drawing = drawInLayers(widths, edges, 4);
            for (std::size_t i = 0; i < edges.size(); ++i) {
                QVERIFY(drawing.layer[edges[i].from] < drawing.layer[edges[i].to]);
                QCOMPARE(drawing.bends[i].size(),
                         drawing.layer[edges[i].to] - drawing.layer[edges[i].from] - 1);
            }
            for (std::size_t a = 0; a < nodes; ++a) {
                QVERIFY(drawing.x[a] - widths[a] / 2 > -1e-9);
                QVERIFY(drawing.x[a] + widths[a] / 2 < drawing.width + 1e-9);
                for (std::size_t b = 0; b < a; ++b)
                    if (drawing.layer[a] == drawing.layer[b])
                        QVERIFY(std::abs(drawing.x[a] - drawing.x[b]) >
                                (widths[a] + widths[b]) / 2 + 4 - 1e-6);
            }
            // A line that passes a layer keeps clear of its boxes.
            for (std::size_t i = 0; i < edges.size(); ++i)
                for (std::size_t k = 0; k < drawing.bends[i].size(); ++k)
                    for (std::size_t a = 0; a < nodes; ++a)
                        if (drawing.layer[a] == drawing.layer[edges[i].from] + 1 + k)
                            QVERIFY(std::abs(drawing.x[a] - drawing.bends[i][k]) >
                                    widths[a] / 2 + 4 - 1e-6);
        }
    }

    /// Reference: every two pieces looked at.
    void theCrossingsToldAreThoseThatAreThere()
    {
        std::mt19937 random(32);
        for (int round = 0; round < 100; ++round) {
            const std::size_t nodes = 2 + random() % 40;
            const std::vector<LayeredEdge> edges = randomEdges(random, nodes, nodes * 2);
            const std::vector<double> widths(nodes, 10);
            const LayeredDrawing drawing = drawInLayers(widths, edges, 2);
            QCOMPARE(drawing.crossings, crossingsByLooking(drawing, edges));
        }
    }

    void aTreeIsDrawnWithoutCrossings()
    {
        std::vector<LayeredEdge> edges;
        for (std::size_t node = 1; node < 127; ++node)
            edges.push_back({(node - 1) / 2, node});
        std::mt19937 random(33);
        std::shuffle(edges.begin(), edges.end(), random);
        const LayeredDrawing drawing = drawInLayers(std::vector<double>(127, 10), edges, 2);
        QCOMPARE(drawing.crossings, std::size_t{0});
        QCOMPARE(drawing.layers, std::size_t{7});
    }

    void aChainStandsUpright()
    {
        std::vector<LayeredEdge> edges;
        for (std::size_t node = 1; node < 50; ++node)
            edges.push_back({node - 1, node});
        const LayeredDrawing drawing = drawInLayers(std::vector<double>(50, 10), edges, 2);
        for (const double x : drawing.x)
            QVERIFY(std::abs(x - drawing.x[0]) < 1e-6);
    }

    void whatLiesAboveMuchStandsCloseToIt()
    {
        // 0 > 1 > 2 > 3, and 4 directly above 3 and 5 (which is under 2): 4 moves down from the top.
        const std::vector<LayeredEdge> edges{{0, 1}, {1, 2}, {2, 3}, {2, 5}, {4, 3}, {4, 5}};
        const std::vector<std::size_t> layer = layersOf(6, edges);
        QCOMPARE(layer, (std::vector<std::size_t>{0, 1, 2, 3, 2, 3}));
    }

    /// Reference: boost::transitive_reduction on 60 random sequences without circles.
    void theLinesAreTheTransitiveReduction()
    {
        std::mt19937 random(34);
        for (int round = 0; round < 60; ++round) {
            const std::size_t count = 2 + random() % 80;
            std::vector<Context> contexts;
            for (std::size_t i = 0; i < count; ++i)
                contexts.push_back(contextNumbered(std::to_string(i)));
            boost::adjacency_list<boost::vecS, boost::vecS, boost::directedS> graph(count), reduced;
            std::vector<Relation> relations;
            for (const LayeredEdge& edge : randomEdges(random, count, count * 2)) {
                boost::add_edge(edge.from, edge.to, graph);
                relations.push_back(
                    {0, std::to_string(edge.from), RelationKind::Above, std::to_string(edge.to)});
            }
            std::vector<std::size_t> newVertex(count), index(count);
            for (std::size_t i = 0; i < count; ++i)
                index[i] = i;
            boost::transitive_reduction(graph, reduced, newVertex.data(), index.data());
            std::set<std::pair<std::size_t, std::size_t>> expected, drawn;
            for (auto [edge, end] = boost::edges(reduced); edge != end; ++edge)
                for (std::size_t a = 0; a < count; ++a)
                    for (std::size_t b = 0; b < count; ++b)
                        if (newVertex[a] == boost::source(*edge, reduced) &&
                            newVertex[b] == boost::target(*edge, reduced))
                            expected.emplace(a, b);
            const SequenceDiagram diagram = drawSequence(contexts, relations);
            for (const DiagramLine& line : diagram.lines) {
                drawn.emplace(line.later, line.earlier);
                QVERIFY(!line.inLoop && !line.rising);
                QVERIFY(line.points.front().yMm < line.points.back().yMm);
            }
            QCOMPARE(drawn, expected);
            QCOMPARE(diagram.leftOut + drawn.size(), relations.size());
        }
    }

    void linesBeginAndEndAtTheirBoxes()
    {
        std::mt19937 random(35);
        std::vector<Context> contexts;
        for (int i = 0; i < 60; ++i)
            contexts.push_back(contextNumbered(std::to_string(1000 + i)));
        std::vector<Relation> relations;
        for (const LayeredEdge& edge : randomEdges(random, 60, 90))
            relations.push_back(
                {0, contexts[edge.from].number, RelationKind::Above, contexts[edge.to].number});
        relations.push_back({0, "1050", RelationKind::Above, "1001"});
        const SequenceDiagram diagram = drawSequence(contexts, relations);
        for (const DiagramLine& line : diagram.lines) {
            const DiagramPoint from = line.points.front(), to = line.points.back();
            QVERIFY(diagram.units[line.later].holds(from));
            QVERIFY(diagram.units[line.earlier].holds(to));
        }
        for (std::size_t a = 0; a < diagram.units.size(); ++a)
            for (std::size_t b = 0; b < a; ++b) {
                const DiagramUnit &one = diagram.units[a], &other = diagram.units[b];
                QVERIFY(one.leftMm + one.widthMm < other.leftMm ||
                        other.leftMm + other.widthMm < one.leftMm ||
                        one.topMm + one.heightMm < other.topMm || other.topMm + other.heightMm < one.topMm);
            }
    }

    void aCircleIsShownAsOne()
    {
        const std::vector<Context> contexts{contextNumbered("1"), contextNumbered("2"),
                                            contextNumbered("3"), contextNumbered("4")};
        const std::vector<Relation> relations{{0, "1", RelationKind::Above, "2"},
                                              {0, "2", RelationKind::Above, "3"},
                                              {0, "3", RelationKind::Above, "1"},
                                              {0, "3", RelationKind::Above, "4"}};
        const SequenceDiagram diagram = drawSequence(contexts, relations);
        QCOMPARE(diagram.loops.size(), std::size_t{1});
        QCOMPARE(diagram.loops[0].size(), std::size_t{3});
        QCOMPARE(diagram.lines.size(), std::size_t{4});
        int rising = 0, inLoop = 0;
        for (const DiagramLine& line : diagram.lines) {
            rising += line.rising ? 1 : 0;
            inLoop += line.inLoop ? 1 : 0;
            QCOMPARE(line.points.front().yMm > line.points.back().yMm, line.rising);
        }
        QCOMPARE(rising, 1);
        QCOMPARE(inLoop, 3);
        QVERIFY(!diagram.units[3].inLoop && diagram.units[0].inLoop);
    }

    void sameContextsShareABoxAndItsLeastStage()
    {
        std::vector<Context> contexts{contextNumbered("1"), contextNumbered("2")};
        contexts[0].kind = "cut";
        contexts[0].stage = Stage::SignedOff;
        contexts[1].stage = Stage::Checked;
        const std::vector<Relation> relations{{0, "1", RelationKind::SameAs, "2"},
                                              {0, "1", RelationKind::Above, "9"}};
        const SequenceDiagram diagram = drawSequence(contexts, relations);
        QCOMPARE(diagram.units.size(), std::size_t{2});
        QCOMPARE(diagram.units[0].label, std::string("[1] = (2)"));
        QCOMPARE(diagram.units[0].stage, Stage::Checked);
        QVERIFY(!diagram.units[1].registered);
        QCOMPARE(diagram.units[1].label, std::string("9 ?"));
    }

    void unrelatedContextsStandBelowTheRest()
    {
        std::vector<Context> contexts;
        for (int i = 0; i < 30; ++i)
            contexts.push_back(contextNumbered(std::to_string(i)));
        const std::vector<Relation> relations{{0, "3", RelationKind::Above, "4"}};
        const SequenceDiagram diagram = drawSequence(contexts, relations);
        QVERIFY(diagram.unrelatedFromMm.has_value());
        for (std::size_t i = 0; i < 30; ++i)
            QCOMPARE(diagram.units[i].topMm > *diagram.unrelatedFromMm, i != 3 && i != 4);
        QVERIFY(!drawSequence({contexts.begin() + 3, contexts.begin() + 5}, relations).unrelatedFromMm);
    }

    void oneTrenchAlone()
    {
        const std::vector<Context> contexts{contextNumbered("1"), contextNumbered("2"),
                                            contextNumbered("3", "T2")};
        const std::vector<Relation> relations{{0, "1", RelationKind::Above, "2"},
                                              {0, "2", RelationKind::Above, "3"}};
        const SequenceDiagram diagram = drawSequence(contexts, relations, {"T1"});
        QCOMPARE(diagram.units.size(), std::size_t{2});
        QCOMPARE(diagram.lines.size(), std::size_t{1});
        QVERIFY(drawSequence(contexts, relations, {"T9"}).units.empty());
    }

    void drawingCanBeStopped()
    {
        const std::vector<Context> contexts{contextNumbered("1"), contextNumbered("2")};
        const std::vector<Relation> relations{{0, "1", RelationKind::Above, "2"}};
        const auto stopped = drawSequence(contexts, relations, {}, [](double) { return false; });
        QVERIFY(!stopped);
        QCOMPARE(stopped.error().code, ErrorCode::Cancelled);
    }

    /// 10,000 contexts in one sequence: no recursion runs out of stack, and nothing grows without bound.
    void aLargeSequenceIsDrawn()
    {
        std::mt19937 random(36);
        std::vector<Context> contexts;
        std::vector<Relation> relations;
        for (int i = 0; i < 10000; ++i) {
            contexts.push_back(contextNumbered(std::to_string(i)));
            for (int k = 0; i > 0 && k < 2; ++k)
                relations.push_back({0,
                                     std::to_string(i - 1 - static_cast<int>(random() % std::min(i, 200))),
                                     RelationKind::Above, std::to_string(i)});
        }
        const SequenceDiagram diagram = drawSequence(contexts, relations);
        QCOMPARE(diagram.units.size(), contexts.size());
        QVERIFY(diagram.widthMm > 0 && diagram.heightMm > 0);
    }
};

QTEST_GUILESS_MAIN(SequenceDiagramTest)
#include "SequenceDiagramTest.moc"
