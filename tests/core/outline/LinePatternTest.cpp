// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/LinePattern.h"

#include <cmath>

#include <QTest>

using namespace inkpeg;

namespace {

double drawnLength(const PatternStrokes& strokes)
{
    double sum = 0;
    for (const PaperLine& line : strokes.lines)
        for (std::size_t i = 0; i + 1 < line.size(); ++i)
            sum += distance(line[i], line[i + 1]);
    return sum;
}

} // namespace

class LinePatternTest final : public QObject {
    Q_OBJECT

private slots:
    void aCertainEdgeIsOneUnbrokenLine()
    {
        const auto laid =
            layPattern(PaperLine{{0, 0}, {10, 0}, {10, 10}}, true, patternOf(EdgeKind::Certain));
        QCOMPARE(laid.lines.size(), std::size_t(1));
        QCOMPARE(laid.lines[0].size(), std::size_t(4));
        QVERIFY(laid.ticks.empty());
    }
    void noTwoKindsLookAlike()
    {
        for (int a = 0; a < 5; ++a)
            for (int b = 0; b < a; ++b)
                QVERIFY(!(patternOf(static_cast<EdgeKind>(a)) == patternOf(static_cast<EdgeKind>(b))));
    }
    void dashesRunOnOverVertices()
    {
        // The same 32 mm in one edge and in 64: a traced line has edges shorter than a dash.
        PaperLine fine;
        for (int i = 0; i <= 64; ++i)
            fine.push_back({i * 0.5, 0});
        for (const EdgeKind kind :
             {EdgeKind::Uncertain, EdgeKind::Truncated, EdgeKind::LimitOfExcavation}) {
            const auto coarse = layPattern(PaperLine{{0, 0}, {32, 0}}, false, patternOf(kind));
            const auto same = layPattern(fine, false, patternOf(kind));
            QCOMPARE(same.lines.size(), coarse.lines.size());
            QCOMPARE(same.ticks.size(), coarse.ticks.size());
            for (std::size_t i = 0; i < same.lines.size(); ++i) {
                QVERIFY(distance(same.lines[i].front(), coarse.lines[i].front()) < 1e-9);
                QVERIFY(distance(same.lines[i].back(), coarse.lines[i].back()) < 1e-9);
            }
        }
    }
    void dashesHaveTheirLengths()
    {
        const auto laid = layPattern(PaperLine{{0, 0}, {32, 0}}, false, patternOf(EdgeKind::Uncertain));
        QCOMPARE(laid.lines.size(), std::size_t(10)); // 32 mm of 2.0 on, 1.2 off
        QVERIFY(std::abs(drawnLength(laid) - 20) < 1e-9);
    }
    void ticksStandAcrossAndInTheMiddle()
    {
        const auto laid =
            layPattern(PaperLine{{0, 0}, {52, 0}}, false, patternOf(EdgeKind::LimitOfExcavation));
        QCOMPARE(laid.ticks.size(), std::size_t(10));
        for (const auto& [from, to] : laid.ticks) {
            QVERIFY(std::abs(from.x - to.x) < 1e-12);
            QVERIFY(std::abs(from.y + to.y) < 1e-12);
        }
    }
    void stretchesBeginWhereTheKindChanges()
    {
        using enum EdgeKind;
        const std::vector<EdgeKind> kinds{Certain, Uncertain, Uncertain, Certain};
        const auto stretches = kindStretches(kinds);
        QCOMPARE(stretches.size(), std::size_t(2));
        QVERIFY((stretches[0].vertices == std::vector<std::size_t>{1, 2, 3}));
        QVERIFY((stretches[1].vertices == std::vector<std::size_t>{3, 0, 1}));
        QVERIFY(!stretches[0].closed);
        const std::vector<EdgeKind> same(5, Truncated);
        QVERIFY(kindStretches(same).size() == 1 && kindStretches(same)[0].closed);
        QCOMPARE(kindStretches(same)[0].vertices.size(), std::size_t(5));
        QVERIFY(kindStretches({}).empty());
    }
};

QTEST_GUILESS_MAIN(LinePatternTest)
#include "LinePatternTest.moc"
