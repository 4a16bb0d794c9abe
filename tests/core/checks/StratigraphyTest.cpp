// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/Stratigraphy.h"

#include <algorithm>
#include <queue>
#include <random>
#include <set>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/strong_components.hpp>
#include <boost/graph/transitive_reduction.hpp>

#include <QTest>

using namespace inkpeg;

namespace {

using Digraph = boost::adjacency_list<boost::vecS, boost::vecS, boost::directedS>;

Context contextNumbered(const std::string& number)
{
    Context context;
    context.number = number;
    return context;
}

std::vector<Context> contextsUpTo(std::size_t count)
{
    std::vector<Context> contexts;
    for (std::size_t i = 0; i < count; ++i)
        contexts.push_back(contextNumbered(std::to_string(i)));
    return contexts;
}

Relation relation(const std::string& context, RelationKind kind, const std::string& other)
{
    return {0, context, kind, other};
}

/// A random sequence of up to 5,000 contexts; every third has relations that may run in circles. Relations
/// are written on either side.
std::vector<Relation> randomRelations(std::mt19937& random, std::size_t contexts, bool mayLoop)
{
    std::vector<Relation> relations;
    const std::size_t count = contexts * (1 + random() % 3);
    for (std::size_t i = 0; i < count; ++i) {
        std::size_t later = random() % contexts, earlier = random() % contexts;
        if (random() % 2 == 0) // mostly neighbours, as in the ground
            earlier = std::min(contexts - 1, later + 1 + random() % 8);
        if (later == earlier)
            continue;
        if (!mayLoop || random() % 10 != 0)
            std::tie(later, earlier) = std::minmax({later, earlier});
        if (random() % 2 == 0)
            relations.push_back(
                relation(std::to_string(later), RelationKind::Above, std::to_string(earlier)));
        else
            relations.push_back(
                relation(std::to_string(earlier), RelationKind::Below, std::to_string(later)));
    }
    return relations;
}

std::size_t randomSize(std::mt19937& random, int round)
{
    // 20 of the 1,000 at the full 5,000, the others mostly small
    return round % 50 == 0 ? 5000 : 2 + random() % (round % 10 == 0 ? 1000 : 150);
}

/// Rows of bits: everything that lies below each unit, found by plain breadth-first search over the steps.
std::vector<std::vector<bool>> everythingBelow(const Stratigraphy& sequence)
{
    std::vector<std::vector<bool>> below(sequence.units.size(),
                                         std::vector<bool>(sequence.units.size(), false));
    for (std::size_t start = 0; start < below.size(); ++start) {
        std::vector<std::size_t> open{start};
        while (!open.empty()) {
            const std::size_t unit = open.back();
            open.pop_back();
            for (const Step& step : sequence.stepsFrom(unit))
                if (!below[start][step.earlier]) {
                    below[start][step.earlier] = true;
                    open.push_back(step.earlier);
                }
        }
    }
    return below;
}

/// By the definition: a step between two sets is redundant if a third set lies between its ends.
std::vector<std::size_t> redundantByDefinition(const Stratigraphy& sequence,
                                               const std::vector<std::vector<bool>>& below)
{
    std::vector<std::size_t> redundant;
    for (std::size_t i = 0; i < sequence.steps.size(); ++i) {
        const auto [later, earlier] = std::pair(sequence.steps[i].later, sequence.steps[i].earlier);
        if (below[earlier][later])
            continue; // inside a loop
        for (std::size_t middle = 0; middle < sequence.units.size(); ++middle) {
            const bool isThird =
                !below[middle][later] && !below[earlier][middle] && middle != later && middle != earlier;
            if (isThird && below[later][middle] && below[middle][earlier]) {
                redundant.push_back(i);
                break;
            }
        }
    }
    return redundant;
}

std::size_t shortestLoopThrough(const Stratigraphy& sequence, std::size_t start)
{
    std::vector<std::size_t> steps(sequence.units.size(), 0);
    std::queue<std::size_t> open;
    open.push(start);
    while (!open.empty()) {
        const std::size_t unit = open.front();
        open.pop();
        for (const Step& step : sequence.stepsFrom(unit)) {
            if (step.earlier == start)
                return steps[unit] + 1;
            if (steps[step.earlier] == 0) {
                steps[step.earlier] = steps[unit] + 1;
                open.push(step.earlier);
            }
        }
    }
    return 0;
}

Digraph digraphOf(const Stratigraphy& sequence)
{
    Digraph graph(sequence.units.size());
    for (const Step& step : sequence.steps)
        boost::add_edge(step.later, step.earlier, graph);
    return graph;
}

} // namespace

class StratigraphyTest final : public QObject {
    Q_OBJECT

private slots:
    void eitherSideOfARelationSaysTheSame()
    {
        const std::vector<Context> contexts{contextNumbered("1"), contextNumbered("2")};
        for (const auto& [kind, inverse] : {std::pair(RelationKind::Above, RelationKind::Below),
                                            std::pair(RelationKind::Cuts, RelationKind::CutBy),
                                            std::pair(RelationKind::Fills, RelationKind::FilledBy)}) {
            const std::vector<Relation> both{relation("1", kind, "2"), relation("2", inverse, "1")};
            const Stratigraphy sequence = readStratigraphy(contexts, both);
            QCOMPARE(sequence.steps.size(), 1U);
            QCOMPARE(sequence.steps[0].later, 0U);
            QCOMPARE(sequence.steps[0].earlier, 1U);
            QCOMPARE(sequence.steps[0].relations.size(), 2U);
        }
    }

    void sameContextsBecomeOneUnit()
    {
        const std::vector<Context> contexts{contextNumbered("1"), contextNumbered("2"),
                                            contextNumbered("3")};
        const std::vector<Relation> relations{relation("3", RelationKind::SameAs, "1"),
                                              relation("2", RelationKind::Above, "3")};
        const Stratigraphy sequence = readStratigraphy(contexts, relations);
        QCOMPARE(sequence.units.size(), 2U);
        QCOMPARE(sequence.units[0].contexts, (std::vector<std::string>{"1", "3"}));
        QCOMPARE(sequence.unitOf("1"), sequence.unitOf("3"));
        QCOMPARE(sequence.steps[0].earlier, *sequence.unitOf("1"));
    }

    void abuttingSaysNothingAboutTime()
    {
        const std::vector<Relation> relations{relation("1", RelationKind::Abuts, "2")};
        QVERIFY(readStratigraphy({}, relations).steps.empty());
    }

    void aboveItselfIsKeptApart()
    {
        const std::vector<Relation> relations{relation("1", RelationKind::SameAs, "2"),
                                              relation("1", RelationKind::Cuts, "2")};
        const Stratigraphy sequence = readStratigraphy({}, relations);
        QVERIFY(sequence.steps.empty());
        QCOMPARE(sequence.selfRelations, std::vector<std::size_t>{1});
    }

    void twoThatAreEachAboveTheOtherAreALoop()
    {
        const std::vector<Relation> relations{relation("1", RelationKind::Above, "2"),
                                              relation("2", RelationKind::Above, "1")};
        const std::vector<Loop> loops = findLoops(readStratigraphy({}, relations));
        QCOMPARE(loops.size(), 1U);
        QCOMPARE(loops[0].units.size(), 2U);
    }

    void aTopsoilOverEverythingIsSweptOnce()
    {
        // 40 contexts in a chain under a topsoil that is recorded as above each: all but the first follow.
        std::vector<Relation> relations;
        for (int i = 1; i <= 40; ++i) {
            relations.push_back(relation("0", RelationKind::Above, std::to_string(i)));
            if (i < 40)
                relations.push_back(
                    relation(std::to_string(i), RelationKind::Above, std::to_string(i + 1)));
        }
        const Stratigraphy sequence = readStratigraphy(contextsUpTo(41), relations);
        QCOMPARE(redundantSteps(sequence).size(), 39U);
    }

    void aSequenceDeepAsItsLengthDoesNotExhaustTheStack()
    {
        std::vector<Relation> relations;
        for (int i = 0; i < 200000; ++i)
            relations.push_back(relation(std::to_string(i), RelationKind::Above, std::to_string(i + 1)));
        const Stratigraphy sequence = readStratigraphy({}, relations);
        QVERIFY(findLoops(sequence).empty());
        QVERIFY(redundantSteps(sequence).empty());
        Reach reach(sequence);
        QVERIFY(reach.reaches(*sequence.unitOf("0"), *sequence.unitOf("200000")));
        QVERIFY(!reach.reaches(*sequence.unitOf("200000"), *sequence.unitOf("0")));
    }

    /// Reference: strong_components of the Boost Graph Library for the sets, breadth-first search from
    /// every member for the length of the shortest loop.
    void loopsAreThoseOfBoostGraph()
    {
        std::mt19937 random(20260517);
        int looped = 0;
        for (int round = 0; round < 1000; ++round) {
            const std::size_t size = randomSize(random, round);
            const auto relations = randomRelations(random, size, round % 3 == 0);
            const Stratigraphy sequence = readStratigraphy(contextsUpTo(size), relations);
            const Digraph graph = digraphOf(sequence);
            std::vector<int> component(size);
            const int components = boost::strong_components(
                graph,
                boost::make_iterator_property_map(component.begin(), get(boost::vertex_index, graph)));
            std::vector<std::vector<std::size_t>> members(static_cast<std::size_t>(components));
            for (std::size_t i = 0; i < size; ++i)
                members[static_cast<std::size_t>(component[i])].push_back(i);
            const std::vector<Loop> loops = findLoops(sequence);
            std::size_t expected = 0;
            for (const auto& set : members)
                expected += set.size() > 1;
            QCOMPARE(loops.size(), expected);
            for (const Loop& loop : loops) {
                ++looped;
                const auto& set = members[static_cast<std::size_t>(component[loop.units[0]])];
                QCOMPARE(loop.tangle, set.size());
                for (std::size_t i = 0; i < loop.units.size(); ++i) // each is above the next
                    QVERIFY(
                        boost::edge(loop.units[i], loop.units[(i + 1) % loop.units.size()], graph).second);
                std::size_t shortest = size + 1;
                for (const std::size_t unit : set)
                    shortest = std::min(shortest, shortestLoopThrough(sequence, unit));
                QCOMPARE(loop.units.size(), shortest);
            }
        }
        QVERIFY2(looped > 100, "the random sequences must hold loops");
    }

    /// Reference: the definition, over the full closure; on sequences of up to 1,000 contexts without loops
    /// also transitive_reduction of the Boost Graph Library.
    void reductionIsThatOfTheDefinitionAndOfBoostGraph()
    {
        std::mt19937 random(4711);
        std::size_t dropped = 0;
        for (int round = 0; round < 1000; ++round) {
            const bool mayLoop = round % 3 == 0;
            const std::size_t size = randomSize(random, round);
            const auto relations = randomRelations(random, size, mayLoop);
            const Stratigraphy sequence = readStratigraphy(contextsUpTo(size), relations);
            const std::vector<std::size_t> redundant = redundantSteps(sequence);
            dropped += redundant.size();
            if (mayLoop) {
                QCOMPARE(redundant, redundantByDefinition(sequence, everythingBelow(sequence)));
                continue;
            }
            Digraph reduced;
            std::vector<std::size_t> toReduced(size);
            boost::transitive_reduction(
                digraphOf(sequence), reduced,
                boost::make_iterator_property_map(toReduced.begin(), boost::identity_property_map()),
                boost::identity_property_map());
            QCOMPARE(boost::num_edges(reduced), sequence.steps.size() - redundant.size());
            for (std::size_t i = 0; i < sequence.steps.size(); ++i) {
                const Step& step = sequence.steps[i];
                const bool isKept =
                    boost::edge(toReduced[step.later], toReduced[step.earlier], reduced).second;
                QCOMPARE(std::binary_search(redundant.begin(), redundant.end(), i), !isKept);
            }
        }
        QVERIFY2(dropped > 1000, "the random sequences must hold redundant steps");
    }

    void reachIsThatOfTheFullClosure()
    {
        std::mt19937 random(99);
        for (int round = 0; round < 60; ++round) {
            const std::size_t size = 2 + random() % 200;
            const auto relations = randomRelations(random, size, round % 2 == 0);
            const Stratigraphy sequence = readStratigraphy(contextsUpTo(size), relations);
            const auto below = everythingBelow(sequence);
            Reach reach(sequence);
            for (std::size_t a = 0; a < size; ++a)
                for (std::size_t b = 0; b < size; ++b)
                    QCOMPARE(reach.reaches(a, b), a == b || below[a][b]);
        }
    }
};

QTEST_GUILESS_MAIN(StratigraphyTest)
#include "StratigraphyTest.moc"
