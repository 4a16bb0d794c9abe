// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/Tally.h"

#include <QTest>

using namespace inkpeg;

namespace {

Matter matter(const std::string& check, Severity severity, const std::string& subject,
              const std::string& trench = {}, const std::string& drawing = {})
{
    Matter one;
    one.check = check;
    one.severity = severity;
    one.subjectKind = "find";
    one.subject = subject;
    one.trench = trench;
    one.drawing = drawing;
    return one;
}

std::string subjects(const std::vector<Matter>& matters)
{
    std::string all;
    for (const Matter& one : matters)
        all += one.subject + " ";
    return all;
}

} // namespace

class TallyTest final : public QObject {
    Q_OBJECT

private slots:
    void waivedMattersAreSetAside()
    {
        const Matter open = matter("out of place", Severity::Must, "1");
        const Matter other = matter("on the edge", Severity::Note, "1");
        const Waiver waiver =
            waive(open, "CD", "washed out of the section", "2026-06-01T16:00:00Z").value();
        QCOMPARE(waiver.subject, std::string("find 1"));
        Waiver idle = waiver;
        idle.subject = "find 2";
        const std::vector<Waiver> waivers{waiver, idle};
        const Tally tally = tallyOf({open, other}, waivers);
        QCOMPARE(tally.open, std::vector<Matter>{other}); // a waiver holds for one check only
        QCOMPARE(tally.waived.size(), 1U);
        QCOMPARE(tally.waived[0].waiver, waiver);
        QCOMPARE(tally.idle, std::vector<Waiver>{idle});
        QCOMPARE(tally.count.must, 0);
        QCOMPARE(tally.count.note, 1);
    }

    void waivingNeedsANameAndAReason()
    {
        const Matter open = matter("out of place", Severity::Must, "1");
        QVERIFY(!waive(open, " ", "reason", ""));
        QVERIFY(!waive(open, "CD", "\t", ""));
        QVERIFY(waive(open, "CD", "reason", ""));
    }

    void theGravestComesFirstThenByPlace()
    {
        const Tally tally =
            tallyOf({matter("b", Severity::Note, "1", "T1"), matter("b", Severity::Must, "10", "T2"),
                     matter("b", Severity::Must, "2", "T2"), matter("a", Severity::Must, "3", "T10"),
                     matter("c", Severity::Should, "4", "T1")},
                    {});
        QCOMPARE(subjects(tally.open), std::string("2 10 3 4 1 "));
        QCOMPARE(tally.count.all(), 5);
    }

    void groupsKeepTheOrderAndCount()
    {
        const std::vector<Matter> matters{matter("b", Severity::Must, "1", "T10", "P-2"),
                                          matter("b", Severity::Should, "2", "T2"),
                                          matter("a", Severity::Note, "3", "T10", "P-1")};
        const std::vector<Group> byTrench = groupMatters(matters, GroupBy::Trench);
        QCOMPARE(byTrench.size(), 2U);
        QCOMPARE(byTrench[0].name, std::string("T2"));
        QCOMPARE(byTrench[1].matters, (std::vector<std::size_t>{0, 2}));
        QCOMPARE(byTrench[1].count.must, 1);
        QCOMPARE(byTrench[1].count.note, 1);
        const std::vector<Group> byDrawing = groupMatters(matters, GroupBy::Drawing);
        QCOMPARE(byDrawing[0].name, std::string("P-1"));
        QCOMPARE(byDrawing[2].name, std::string()); // those without one come last
        QCOMPARE(groupMatters(matters, GroupBy::Severity)[1].name, std::string("should"));
        QCOMPARE(groupMatters(matters, GroupBy::Check)[0].name, std::string("a"));
        QVERIFY(groupMatters({}, GroupBy::Person).empty());
    }

    void groupingsAreKnownByName()
    {
        for (const GroupBy by :
             {GroupBy::Drawing, GroupBy::Trench, GroupBy::Person, GroupBy::Severity, GroupBy::Check})
            QCOMPARE(groupByNamed(groupByName(by)).value(), by);
        QVERIFY(!groupByNamed("colour"));
    }

    void numbersInNamesCompareByValue()
    {
        QVERIFY(comesBefore("P-2", "P-10"));
        QVERIFY(!comesBefore("P-10", "P-2"));
        QVERIFY(comesBefore("P-2", "P-2a"));
        QVERIFY(comesBefore("P-02", "P-2") != comesBefore("P-2", "P-02")); // a strict order all the same
        QVERIFY(!comesBefore("7", "7"));
    }
};

QTEST_GUILESS_MAIN(TallyTest)
#include "TallyTest.moc"
