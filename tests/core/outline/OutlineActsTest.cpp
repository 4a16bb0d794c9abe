// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/OutlineActs.h"

#include <algorithm>
#include <cmath>

#include <QTest>

#include "core/outline/Area.h"
#include "core/outline/Validity.h"
#include "tests/core/outline/WellKnownText.h"

using namespace inkpeg;

namespace {

DrawnOutline outline(std::int64_t id, const char* context, const char* text)
{
    return {id, context, partsOfText(text)};
}

/// A layer of 100 px a side and another to its right; a pit that lies across both.
DrawnOutlines yard()
{
    return {outline(1, "1001", "POLYGON ((0 0, 100 0, 100 100, 0 100, 0 0))"),
            outline(2, "1002", "POLYGON ((100 0, 200 0, 200 100, 100 100, 100 0))"),
            outline(3, "1003", "POLYGON ((70 40, 130 30, 140 70, 80 80, 70 40))")};
}

bool allSound(const DrawnOutlines& outlines)
{
    return std::ranges::all_of(outlines,
                               [](const DrawnOutline& each) { return bool(checkParts(each.parts)); });
}

/// Number of edges that two outlines share.
std::size_t edgesShared(const DrawnOutlines& outlines, std::size_t a, std::size_t b)
{
    std::size_t count = 0;
    for (const SharedEdge& edge : sharedEdges(outlines))
        count += std::ranges::count(edge.outlines, a) && std::ranges::count(edge.outlines, b);
    return count;
}

/// Rounding to the lattice of 1/256 px moves a border of some 100 px by less than this area.
constexpr double latticeArea = 1.0;

} // namespace

class OutlineActsTest final : public QObject {
    Q_OBJECT

private slots:
    void aPitIsCutOutOfTheOlderLayerAndSharesItsEdge()
    {
        DrawnOutlines all = yard();
        QVERIFY(cutOut(all, 2, 0));
        QVERIFY(allSound(all));
        QVERIFY(std::abs(areaPx2(all[0].parts) -
                         (10000 -
                          areaPx2(partsOfText("POLYGON ((70 40, 100 35, 100 76.6667, 80 80, 70 40))")))) <
                latticeArea);
        QVERIFY(edgesShared(all, 0, 2) >= 3);
        // The border where the pit crosses from one layer to the other stands in all three.
        QVERIFY(edgesShared(all, 0, 1) >= 2);
        QVERIFY(cutOut(all, 2, 1));
        QVERIFY(allSound(all));
        QVERIFY(std::abs(areaPx2(all[0].parts) + areaPx2(all[1].parts) + areaPx2(all[2].parts) - 20000) <
                2 * latticeArea);
        QVERIFY(junctions(all).size() >= 4);
    }
    void aPitWithinALayerBecomesItsHole()
    {
        DrawnOutlines all{yard()[0], outline(5, "1005", "POLYGON ((20 20, 40 20, 40 40, 20 40, 20 20))")};
        QVERIFY(cutOut(all, 1, 0));
        QCOMPARE(all[0].parts[0].holes.size(), std::size_t(1));
        QCOMPARE(edgesShared(all, 0, 1), std::size_t(4));
        QVERIFY(removeHole(all, 0, {30, 30}));
        QVERIFY(all[0].parts[0].holes.empty());
        QVERIFY(!removeHole(all, 0, {30, 30}));
    }
    void whatDoesNotOverlapOrWouldVanishIsNotCut()
    {
        DrawnOutlines all = yard();
        QVERIFY(!cutOut(all, 0, 1));
        QVERIFY(!cutOut(all, 0, 0));
        all.push_back(outline(4, "1004", "POLYGON ((60 20, 150 20, 150 90, 60 90, 60 20))"));
        const DrawnOutlines before = all;
        const Result<void> cut = cutOut(all, 3, 2);
        QVERIFY(!cut);
        QVERIFY(cut.error().message.find("1003") != std::string::npos);
        QVERIFY(all == before);
    }
    void aCutThatPartsALayerMakesItAContextOfSeveralParts()
    {
        DrawnOutlines all{yard()[0],
                          outline(6, "1006", "POLYGON ((40 -10, 60 -10, 60 110, 40 110, 40 -10))")};
        QVERIFY(cutOut(all, 1, 0));
        QCOMPARE(all[0].parts.size(), std::size_t(2));
        QVERIFY(allSound(all));
        QVERIFY(removePart(all, 0, {10, 50}));
        QCOMPARE(all[0].parts.size(), std::size_t(1));
        QVERIFY(contains(all[0].parts, {80, 50}));
        QVERIFY(removePart(all, 0, {80, 50}));
        QCOMPARE(all.size(), std::size_t(1)); // its last part takes the outline along
    }
    void splittingGivesTheSmallerPieceItsOwnNumber()
    {
        DrawnOutlines all = yard();
        const std::vector<ScanPx> line{{-5, 30}, {50, 35}, {100, 30}};
        QVERIFY(splitOutline(all, 0, line, "1010"));
        QCOMPARE(all.size(), std::size_t(4));
        QCOMPARE(all[3].context, std::string("1010"));
        QVERIFY(areaPx2(all[3].parts) < areaPx2(all[0].parts));
        QVERIFY(std::abs(areaPx2(all[3].parts) + areaPx2(all[0].parts) - 10000) < latticeArea);
        QCOMPARE(edgesShared(all, 0, 3), std::size_t(2));
        // The layer beside got the vertex where the line meets it.
        QVERIFY(edgesShared(all, 1, 3) >= 1);
        QVERIFY(allSound(all));
        // And back again.
        QVERIFY(mergeOutlines(all, 0, 3));
        QVERIFY(std::abs(areaPx2(all[0].parts) - 10000) < latticeArea);
        QCOMPARE(all.size(), std::size_t(3));
        QCOMPARE(all[0].context, std::string("1001"));
    }
    void aLineThatStopsWithinDoesNotSplit()
    {
        DrawnOutlines all = yard();
        const std::vector<ScanPx> line{{-5, 30}, {50, 35}};
        const Result<void> split = splitOutline(all, 0, line, "1010");
        QVERIFY(!split);
        QVERIFY(split.error().message.find("does not divide context 1001") != std::string::npos);
        const std::vector<ScanPx> across{{-5, 30}, {105, 35}};
        QVERIFY(!splitOutline(all, 0, across, "1001"));
        QVERIFY(all == yard());
    }
    void outlinesApartMergeIntoOneOfTwoParts()
    {
        DrawnOutlines all{yard()[0],
                          outline(7, "1007", "POLYGON ((300 0, 400 0, 400 100, 300 100, 300 0))")};
        QVERIFY(mergeOutlines(all, 0, 1));
        QCOMPARE(all[0].parts.size(), std::size_t(2));
        QVERIFY(!mergeOutlines(all, 0, 0));
    }
    void aRingOfAContextThatIsThereJoinsIt()
    {
        DrawnOutlines all = yard();
        QVERIFY(addParts(all, "1002", partsOfText("POLYGON ((200 0, 250 0, 250 50, 200 50, 200 0))")));
        QCOMPARE(all[1].parts.size(), std::size_t(1));
        QVERIFY(std::abs(areaPx2(all[1].parts) - 12500) < latticeArea);
        QVERIFY(addParts(all, "1002", partsOfText("POLYGON ((300 0, 350 0, 350 50, 300 50, 300 0))")));
        QCOMPARE(all[1].parts.size(), std::size_t(2));
        QVERIFY(addParts(all, "1020", partsOfText("POLYGON ((400 0, 450 0, 450 50, 400 50, 400 0))")));
        QCOMPARE(all.size(), std::size_t(4));
        QVERIFY(!addParts(all, "1021", partsOfText("POLYGON ((0 0, 10 10, 10 0, 0 10, 0 0))")));
    }
    void aNewNeighbourIsKnittedToTheEdgeItLiesAlong()
    {
        DrawnOutlines all{yard()[0]};
        QVERIFY(addParts(all, "1030", partsOfText("POLYGON ((100 20, 150 20, 150 60, 100 60, 100 20))")));
        QCOMPARE(edgesShared(all, 0, 1), std::size_t(1));
        QCOMPARE(all[0].parts[0].outer.vertices.size(), std::size_t(6));
    }
    void aHoleMustLieInside()
    {
        DrawnOutlines all = yard();
        QVERIFY(addHole(all, 0, partsOfText("POLYGON ((10 10, 20 10, 20 20, 10 20, 10 10))")[0].outer));
        QCOMPARE(all[0].parts[0].holes.size(), std::size_t(1));
        const Result<void> beyond =
            addHole(all, 0, partsOfText("POLYGON ((90 10, 120 10, 120 20, 90 20, 90 10))")[0].outer);
        QVERIFY(!beyond);
        QVERIFY(beyond.error().message.find("reaches beyond") != std::string::npos);
        QVERIFY(!addHole(all, 0, partsOfText("POLYGON ((0 0, 100 0, 100 100, 0 100, 0 0))")[0].outer));
    }
    void junctionsAreWhereOutlinesPart()
    {
        const std::vector<ScanPx> found = junctions(yard());
        QCOMPARE(found.size(), std::size_t(2));
        QVERIFY((found[0] == ScanPx{100, 0}));
        QVERIFY((found[1] == ScanPx{100, 100}));
    }
};

QTEST_GUILESS_MAIN(OutlineActsTest)
#include "OutlineActsTest.moc"
