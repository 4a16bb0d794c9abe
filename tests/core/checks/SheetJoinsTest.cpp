// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/SheetJoins.h"

#include <cmath>

#include <QTest>

using namespace inkpeg;

namespace {

constexpr GroundM origin{560100, 5900200};

GroundM place(double east, double north)
{
    return {origin.east + east, origin.north + north};
}

/// A ditch that runs east over the seam between two sheets at 5 m; the eastern sheet lies `off` metres
/// north of where it should.
std::vector<SheetOutline> ditch(double off)
{
    using enum EdgeKind;
    SheetOutline west{"P-01",
                      {{{place(1, 1), place(5, 1), place(5, 2), place(1, 2)}, {}}},
                      {{Certain, BeyondTheSheet, Certain, Certain}},
                      {place(0, 0), place(5, 0), place(5, 5), place(0, 5)},
                      0.01};
    SheetOutline east{"P-02",
                      {{{place(5, 1 + off), place(9, 1 + off), place(9, 2 + off), place(5, 2 + off)}, {}}},
                      {{Certain, Certain, Certain, BeyondTheSheet}},
                      {place(5, 0), place(10, 0), place(10, 5), place(5, 5)},
                      0.01};
    return {west, east};
}

} // namespace

class SheetJoinsTest final : public QObject {
    Q_OBJECT

private slots:
    void sheetsThatMeetMissByNothing()
    {
        const auto joins = sheetJoins(ditch(0));
        QCOMPARE(joins.size(), std::size_t(1));
        QCOMPARE(joins[0].places, 4);
        QVERIFY(joins[0].worstM < 1e-9);
        QVERIFY(std::abs(joins[0].standardErrorM - 0.01 * std::sqrt(2.0)) < 1e-12);
        const auto joined = joinedOnGround(ditch(0));
        QVERIFY(joined);
        QCOMPARE(joined->size(), std::size_t(1));
        QVERIFY(std::abs(areaM2(*joined) - 8) < 1e-6);
    }
    void aShiftedSheetIsTold()
    {
        const auto joins = sheetJoins(ditch(0.12));
        QCOMPARE(joins.size(), std::size_t(1));
        QVERIFY(std::abs(joins[0].worstM - 0.12) < 1e-9);
        QVERIFY(std::abs(joins[0].meanM - 0.12) < 1e-9);
        QVERIFY(std::abs(joins[0].at.east - place(5, 0).east) < 1e-9);
        const auto joined = joinedOnGround(ditch(0.12));
        QVERIFY(joined && joined->size() == 1);
        QVERIFY(std::abs(areaM2(*joined) - 8) < 1e-6); // side by side still: nothing overlaps
    }
    void anOutlineThatEndsOnItsSheetIsNoJoin()
    {
        std::vector<SheetOutline> sheets = ditch(0);
        for (SheetOutline& sheet : sheets)
            sheet.kinds.front().assign(4, EdgeKind::Certain);
        QVERIFY(sheetJoins(sheets).empty());
    }
    void aSheetElsewhereIsNotLookedAt()
    {
        std::vector<SheetOutline> sheets = ditch(0);
        for (GroundM& corner : sheets[1].footprint)
            corner.east += 50;
        for (GroundM& corner : sheets[1].parts[0].outer)
            corner.east += 50;
        QVERIFY(sheetJoins(sheets).empty());
        const auto joined = joinedOnGround(sheets);
        QVERIFY(joined && joined->size() == 2);
    }
};

QTEST_GUILESS_MAIN(SheetJoinsTest)
#include "SheetJoinsTest.moc"
