// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkStrokes.h"

#include <cmath>
#include <string>

#include <QTest>

using namespace inkpeg;

namespace {

constexpr double Arm =
    8; // cells, as far as the network looks at its usual cell of an eighth of a millimetre

CellMask blank()
{
    return CellMask(100, 60);
}

void draw(CellMask& mask, MaskCell from, MaskCell to)
{
    const int steps = std::max(std::abs(to.column - from.column), std::abs(to.row - from.row));
    for (int i = 0; i <= steps; ++i) {
        const double t = steps > 0 ? static_cast<double>(i) / steps : 0;
        mask.set[mask.index(static_cast<int>(std::lround(from.column + t * (to.column - from.column))),
                            static_cast<int>(std::lround(from.row + t * (to.row - from.row))))] = 1;
    }
}

InkChains joinedOf(const CellMask& mask)
{
    return joinedThrough(chainsOf(mask));
}

} // namespace

class InkStrokesTest final : public QObject {
    Q_OBJECT

private slots:
    void linesThatCrossAreTwoStrokes()
    {
        CellMask mask = blank();
        draw(mask, {10, 30}, {80, 30});
        draw(mask, {40, 5}, {44, 55});
        const InkChains joined = joinedOf(mask);
        QCOMPARE(joined.chains.size(), std::size_t(4));
        const InkStrokes strokes = strokesOf(joined, Arm);
        QCOMPARE(strokes.strokes.size(), std::size_t(2));
        for (const InkStroke& stroke : strokes.strokes) {
            QCOMPARE(stroke.chains.size(), std::size_t(2));
            QVERIFY(stroke.straight);
            QVERIFY(joined.isLoose(stroke.first) && joined.isLoose(stroke.last));
            QVERIFY(std::abs(stroke.lengthCells - (stroke.lengthCells > 60 ? 70 : 52)) < 4);
        }
        for (std::size_t chain = 0; chain < joined.chains.size(); ++chain) {
            const auto& own = strokes.strokes[strokes.ofChain[chain]].chains;
            QVERIFY(std::find(own.begin(), own.end(), chain) != own.end());
        }
    }

    void aLineThatEndsOnAnotherGoesOnNowhere()
    {
        CellMask mask = blank();
        draw(mask, {10, 30}, {80, 30});
        draw(mask, {40, 30}, {40, 55});
        const InkStrokes strokes = strokesOf(joinedOf(mask), Arm);
        QCOMPARE(strokes.strokes.size(), std::size_t(2));
        QCOMPARE(strokes.strokes[0].chains.size() + strokes.strokes[1].chains.size(), std::size_t(3));
    }

    void aClosedLineIsOneStroke()
    {
        CellMask mask = blank();
        for (int i = 0; i < 400; ++i)
            draw(mask,
                 {static_cast<int>(50 + 20 * std::cos(i * 0.0157)),
                  static_cast<int>(30 + 20 * std::sin(i * 0.0157))},
                 {static_cast<int>(50 + 20 * std::cos((i + 1) * 0.0157)),
                  static_cast<int>(30 + 20 * std::sin((i + 1) * 0.0157))});
        const InkStrokes strokes = strokesOf(joinedOf(skeletonOf(mask)), Arm);
        QCOMPARE(strokes.strokes.size(), std::size_t(1));
        QVERIFY(!strokes.strokes[0].straight);
    }

    void whiskersGoAndTheLineStays()
    {
        CellMask mask = blank();
        draw(mask, {10, 30}, {80, 30});
        draw(mask, {30, 30}, {30, 25});
        draw(mask, {60, 30}, {60, 40}); // too long for a whisker
        const InkChains joined = joinedOf(withoutWhiskers(mask, 7));
        QCOMPARE(joined.chains.size(), std::size_t(3));
        double length = 0;
        for (const InkChain& chain : joined.chains)
            length += lengthOf(chain.cells);
        QVERIFY(std::abs(length - 80) <= 2);
    }

    void ofAForkTheStraightTineStays()
    {
        CellMask mask = blank();
        draw(mask, {10, 30}, {60, 30});
        draw(mask, {60, 30}, {65, 30});
        draw(mask, {60, 30}, {60, 35});
        const InkChains joined = joinedOf(withoutWhiskers(mask, 7));
        QCOMPARE(joined.chains.size(), std::size_t(1));
        const InkChain& chain = joined.chains.front();
        QCOMPARE(std::max(chain.cells.front().column, chain.cells.back().column), 65);
    }

    void theEndOfADashThatCrossesALineStaysWhereAnotherFacesIt()
    {
        // A dash comes down on a line and ends five cells below it; beyond a gap the next one points at it.
        CellMask mask = blank();
        draw(mask, {10, 30}, {80, 30});
        draw(mask, {50, 8}, {50, 35});
        QCOMPARE(joinedOf(withoutWhiskers(mask, 7)).chains.size(), std::size_t(3)); // nothing faces it
        draw(mask, {50, 44}, {50, 59});
        QCOMPARE(joinedOf(withoutWhiskers(mask, 7)).chains.size(), std::size_t(5));
    }

    void hooksAreCutOffLooseEndsAndLeaveNoCrumbs()
    {
        CellMask mask = blank();
        draw(mask, {13, 30}, {80, 30});
        draw(mask, {10, 27}, {13, 30}); // thinning ran into the corner of the blunt end
        draw(mask, {30, 10}, {36, 10}); // too short to lose its ends
        const InkChains joined = joinedOf(withoutHooks(mask, 3));
        QCOMPARE(joined.chains.size(), std::size_t(2));
        for (const InkChain& chain : joined.chains)
            for (const MaskCell& cell : chain.cells)
                QVERIFY(cell.row == 30 || cell.row == 10);
        double length = 0;
        for (const InkChain& chain : joined.chains)
            length += lengthOf(chain.cells);
        QVERIFY(std::abs(length - (80 - 13 - 3) - 6) <= 1);
    }

    void smallCrossesKeepTheirArms()
    {
        CellMask mask = blank();
        draw(mask, {45, 30}, {55, 30});
        draw(mask, {50, 25}, {50, 35});
        QCOMPARE(joinedOf(withoutWhiskers(mask, 7)).chains.size(), std::size_t(4));
    }

    void crossingsNearEachOtherAreOnePlace()
    {
        // A line that slants meets another a little to the left from above and a little to the right from
        // below, as thinning has it: one line straight through.
        CellMask mask = blank();
        draw(mask, {10, 30}, {80, 30});
        draw(mask, {40, 30}, {34, 5});
        draw(mask, {45, 30}, {51, 55});
        const InkChains apart = joinedOf(mask), together = contracted(apart, 6);
        QCOMPARE(apart.chains.size(), std::size_t(5));
        QCOMPARE(together.chains.size(), std::size_t(4));
        QCOMPARE(strokesOf(together, Arm).strokes.size(), std::size_t(2));
    }
};

QTEST_GUILESS_MAIN(InkStrokesTest)
#include "InkStrokesTest.moc"
