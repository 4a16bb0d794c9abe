// SPDX-License-Identifier: GPL-3.0-or-later
// The checks that look at the ground: contexts in plan, and finds, samples and timbers.
#include "core/checks/Checks.h"

#include <QTest>

#include "tests/core/checks/SoundSite.h"

using namespace inkpeg;

namespace {

std::string subjects(const std::vector<Matter>& matters)
{
    std::string all;
    for (const Matter& matter : matters)
        all += (all.empty() ? "" : "; ") + matter.subjectKind + " " + matter.subject;
    return all;
}

} // namespace

class PlaceChecksTest final : public QObject {
    Q_OBJECT

private slots:
    void outsideItsTrench()
    {
        // The trench ends at 107 E and its edge may be 0.10 m out.
        for (const auto& [east, count] : {std::pair(107.11, 1U), std::pair(107.09, 0U)}) {
            SoundSite site;
            site.addOutline("P-1", "1003", SoundSite::rectangle(105, 52, east, 53));
            const std::vector<Matter> matters = site.found("outside its trench");
            QCOMPARE(matters.size(), std::size_t(count));
            if (count)
                QVERIFY(matters[0].ground && matters[0].ground->east > 107);
        }
        SoundSite unknown; // a trench whose limit nobody surveyed
        unknown.records.trenches[0].limit.clear();
        unknown.addOutline("P-1", "1003", SoundSite::rectangle(105, 52, 109, 53));
        QVERIFY(unknown.found("outside its trench").empty());
    }

    void overlapWithoutRelation()
    {
        // Both outlines are known to 5 mm: three times their joint error is 21 mm.
        for (const auto& [overlapM, count] : {std::pair(0.025, 1U), std::pair(0.015, 0U)}) {
            SoundSite site;
            site.addContext("1004", "layer");
            site.addOutline("P-1", "1004", SoundSite::rectangle(106 - overlapM, 52, 106.8, 53));
            QCOMPARE(subjects(site.found("overlap without relation")),
                     std::string(count ? "contexts 1003 / 1004" : ""));
        }
        SoundSite related;
        related.addContext("1004", "layer");
        related.addOutline("P-1", "1004", SoundSite::rectangle(102.5, 51.6, 106.8, 53));
        QCOMPARE(related.found("overlap without relation").size(), 3U);
        related.relate("1003", RelationKind::Above, "1004"); // 1001 and 1002 follow
        QVERIFY(related.found("overlap without relation").empty());
    }

    void anOverlapRecordedAsAbuttingIsTold()
    {
        SoundSite site;
        site.addContext("1004", "layer");
        site.addOutline("P-1", "1004", SoundSite::rectangle(105, 52, 106.8, 53));
        site.relate("1004", RelationKind::Abuts, "1003");
        QVERIFY(site.found("overlap without relation")[0].words.find("recorded as abutting") !=
                std::string::npos);
    }

    void aCrossedOutlineIsComparedAllTheSame()
    {
        SoundSite site;
        site.addContext("1004", "layer");
        site.addOutline("P-1", "1004", {{105, 52}, {106, 53}, {106, 52}, {105, 53}}); // a bow tie
        QCOMPARE(site.found("overlap without relation").size(), 1U);
    }

    void fillOutsideItsCut()
    {
        for (const auto& [beyondM, count] : {std::pair(0.06, 1U), std::pair(0.04, 0U)}) {
            SoundSite site;
            site.addOutline("P-1", "1002", SoundSite::rectangle(103, 52, 104 + beyondM, 52.5));
            QCOMPARE(subjects(site.found("fill outside its cut")),
                     std::string(count ? "contexts 1002 / 1001" : ""));
        }
        SoundSite beyond; // the cut runs on beyond the only sheet that shows it
        beyond.records.outlines[0].parts[0].outer.kinds[1] = EdgeKind::BeyondTheSheet;
        beyond.addDrawing("P-2", DrawingKind::Plan);
        beyond.addOutline("P-2", "1002", SoundSite::rectangle(103, 52, 105, 52.5));
        QVERIFY(beyond.found("fill outside its cut").empty());
    }

    void outlinesDisagree()
    {
        for (const auto& [apartM, count] : {std::pair(0.06, 1U), std::pair(0.04, 0U)}) {
            SoundSite site;
            site.addDrawing("P-2", DrawingKind::Plan);
            site.addOutline("P-2", "1001", SoundSite::rectangle(102, 51.5, 104, 53 + apartM));
            QCOMPARE(site.found("outlines disagree").size(), std::size_t(count));
        }
        SoundSite uncertain; // an uncertain edge may lie elsewhere
        uncertain.addDrawing("P-2", DrawingKind::Plan);
        Outline& outline = uncertain.addOutline("P-2", "1001", SoundSite::rectangle(102, 51.5, 104, 53.5));
        outline.parts[0].outer.kinds.assign(4, EdgeKind::Uncertain);
        uncertain.records.outlines[0].parts[0].outer.kinds.assign(4, EdgeKind::Uncertain);
        QVERIFY(uncertain.found("outlines disagree").empty());
    }

    void sheetsDoNotMeet()
    {
        for (const auto& [offM, count] : {std::pair(0.08, 1U), std::pair(0.03, 0U)}) {
            SoundSite site;
            site.addDrawing("P-2", DrawingKind::Plan);
            site.records.outlines[2].parts[0].outer.kinds[1] = EdgeKind::BeyondTheSheet; // layer 1003, east
            Outline& on =
                site.addOutline("P-2", "1003", SoundSite::rectangle(106, 51 + offM, 107, 54 + offM));
            on.parts[0].outer.kinds[3] = EdgeKind::BeyondTheSheet;
            const std::vector<Matter> matters = site.found("sheets do not meet");
            QCOMPARE(matters.size(), std::size_t(count));
            if (count) {
                QCOMPARE(matters[0].subject, std::string("P-1 / P-2 / 1003"));
                QVERIFY(matters[0].words.find("0.08 m") != std::string::npos);
            }
        }
    }

    void nothingIsJudgedByADrawingThatIsOutOfTolerance()
    {
        SoundSite site;
        site.addOutline("P-1", "1003", SoundSite::rectangle(105, 52, 109, 53));
        site.records.finds[0].position = GroundM{106, 52};
        QCOMPARE(site.found("outside its trench").size(), 1U);
        QCOMPARE(site.found("out of place").size(), 1U);
        site.addPin(site.drawing("P-1"), "Z", {104, 53}, {104.1, 53});
        site.records.pins.back().use = PinUse::Check;
        QVERIFY(site.found("outside its trench").empty());
        QVERIFY(site.found("out of place").empty());
        QCOMPARE(site.found("out of pin tolerance").size(), 1U);
        QCOMPARE(site.found("context without outline").size(), 3U); // find, sample and timber
    }

    // ----------------------------------------------------------------------------------------------- finds

    void noContext()
    {
        SoundSite site;
        site.records.finds[0].context = "1044";
        site.records.samples[0].context = "";
        QCOMPARE(subjects(site.found("no context")), std::string("find 1; sample 1"));
        QVERIFY(site.found("out of place").empty()); // one fault, one matter
        SoundSite edge;                              // an empty trench is another matter
        edge.records.finds[0].trench = "";
        QVERIFY(edge.found("no context").empty());
    }

    void noPlace()
    {
        SoundSite site;
        site.records.timbers[0].position.reset();
        QCOMPARE(subjects(site.found("no place")), std::string("timber 1"));
        site.records.drawnPoints.push_back(
            {1, 1, PointKind::Timber, "1", "", SoundSite::onScan({103.4, 52})});
        QVERIFY(site.found("no place").empty()); // marked on the plan is a place
    }

    void outOfPlaceAndOnTheEdge()
    {
        // Standard errors of 20 mm (find) and 5 mm (outline): together 20.6 mm. The fill ends at 104 E.
        const auto findAt = [](double east) {
            SoundSite site;
            site.records.finds[0].position = GroundM{east, 52};
            return site;
        };
        QCOMPARE(subjects(findAt(104.04).found("out of place")),
                 std::string("find 1"));                       // 1.94 sigma: 2.6 %
        QVERIFY(findAt(104.03).found("out of place").empty()); // 1.46 sigma: 7.3 %
        QCOMPARE(subjects(findAt(104.03).found("on the edge")), std::string("find 1"));
        QCOMPARE(subjects(findAt(103.97).found("on the edge")), std::string("find 1")); // 92.7 %
        QVERIFY(findAt(103.96).found("on the edge").empty());                           // 97.4 %
        QVERIFY(findAt(105).found("out of place")[0].words.find("it lies in 1003") != std::string::npos);
    }

    void contextWithoutOutline()
    {
        SoundSite site;
        site.addContext("1004", "layer");
        site.records.finds[0].context = "1004";
        QCOMPARE(subjects(site.found("context without outline")), std::string("find 1"));
        site.relate("1004", RelationKind::SameAs, "1002"); // outlined under its other number
        QVERIFY(site.found("context without outline").empty());
    }

    void findOutsideTheTrench()
    {
        for (const auto& [east, count] : {std::pair(107.11, 1U), std::pair(107.09, 0U)}) {
            SoundSite site;
            site.records.finds[0].position = GroundM{east, 52};
            QCOMPARE(site.found("find outside the trench").size(), std::size_t(count));
        }
    }

    void levelOutOfContext()
    {
        for (const auto& [levelM, count] :
             {std::pair(52.06, 1U), std::pair(52.04, 0U), std::pair(51.46, 0U), std::pair(51.44, 1U)}) {
            SoundSite site;
            site.records.finds[0].levelM = levelM;
            QCOMPARE(site.found("level out of context").size(), std::size_t(count));
        }
    }

    void drawnElsewhere()
    {
        for (const auto& [apartM, count] : {std::pair(0.11, 1U), std::pair(0.09, 0U)}) {
            SoundSite site;
            site.records.drawnPoints.push_back(
                {1, 1, PointKind::Find, "1", "", SoundSite::onScan({103 + apartM, 52})});
            QCOMPARE(site.found("drawn elsewhere").size(), std::size_t(count));
        }
    }

    void drawnPointWithoutRecord()
    {
        SoundSite site;
        site.records.drawnPoints.push_back({1, 1, PointKind::Find, "99", "", SoundSite::onScan({103, 52})});
        QCOMPARE(subjects(site.found("drawn point without record")), std::string("find 99"));
        SoundSite edge; // a note needs no record
        edge.records.drawnPoints.push_back(
            {1, 1, PointKind::Note, "", "burnt", SoundSite::onScan({103, 52})});
        QVERIFY(edge.found("drawn point without record").empty());
    }

    /// With the sound site, in which nothing is found (ChecksTest), each check has its three tests.
    void cleanupTestCase()
    {
        QCOMPARE(SoundSite::notTestedBothWays(SoundSite::checksOfPlace()), std::string());
    }
};

QTEST_GUILESS_MAIN(PlaceChecksTest)
#include "PlaceChecksTest.moc"
