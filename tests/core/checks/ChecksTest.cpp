// SPDX-License-Identifier: GPL-3.0-or-later
// Each check has a site in which it finds its fault, one just on the allowed side, and the sound site, in
// which no check finds anything.
#include "core/checks/Checks.h"

#include <algorithm>
#include <fstream>
#include <set>

#include <nlohmann/json.hpp>

#include <QTest>

#include "tests/core/checks/SoundSite.h"

using namespace inkpeg;

namespace {

std::string subjects(const std::vector<Matter>& matters)
{
    std::string all;
    for (const Matter& matter : matters)
        all += (all.empty() ? "" : "; ") + matter.subject;
    return all;
}

nlohmann::json recordingStandard()
{
    std::ifstream file(std::string(INKPEG_PUBLISHED_DIR) + "/recording_standard.json");
    return nlohmann::json::parse(file);
}

} // namespace

class ChecksTest final : public QObject {
    Q_OBJECT

private slots:
    void aSoundSiteHasNothingOutstanding()
    {
        SoundSite site;
        for (const Matter& matter : runChecks(site.records))
            QFAIL((matter.check + ": " + matter.words).c_str());
    }

    void everyCheckHasANameOfItsOwnAndAnExplanation()
    {
        std::set<std::string> names;
        for (const CheckFacts& check : listChecks()) {
            QVERIFY(names.insert(check.name).second);
            QVERIFY(check.explanation.size() > 20);
        }
    }

    void checkingCanBeStopped()
    {
        const Result<std::vector<Matter>> result =
            runChecks(SoundSite().records, [](double) { return false; });
        QVERIFY(!result);
        QCOMPARE(result.error().code, ErrorCode::Cancelled);
    }

    // ------------------------------------------------------------------------------------------- registers

    void numberUsedTwice()
    {
        SoundSite site;
        site.addContext("1002 ", "layer");
        site.addDrawing("p-01", DrawingKind::Plan);
        QCOMPARE(subjects(site.found("number used twice")), std::string("P-1 / p-01; 1002 / 1002 "));
        SoundSite edge; // a letter makes another number
        edge.addContext("1002a", "layer");
        QVERIFY(edge.found("number used twice").empty());
    }

    void gapInNumbers()
    {
        SoundSite site;
        site.addContext("1006", "layer");
        QCOMPARE(subjects(site.found("gap in numbers")), std::string("1003 .. 1006"));
        SoundSite edge;
        edge.addContext("1052", "layer"); // 48 numbers missing
        QCOMPARE(edge.found("gap in numbers").size(), 1U);
        SoundSite block;
        block.addContext("1054", "layer"); // 50 missing: a new block
        QVERIFY(block.found("gap in numbers").empty());
    }

    void unknownTrench()
    {
        SoundSite site;
        site.context("1003").trench = "T9";
        site.drawing("P-1").trench = "";
        QCOMPARE(subjects(site.found("unknown trench")), std::string("P-1; 1003"));
        SoundSite edge;
        edge.records.trenches.push_back({2, "T9", "sondage", {}}); // registered without a limit is enough
        edge.context("1003").trench = "T9";
        QVERIFY(edge.found("unknown trench").empty());
    }

    void unknownPerson()
    {
        SoundSite site;
        site.drawing("P-1").drawnBy = "XY";
        QCOMPARE(subjects(site.found("unknown person")), std::string("XY"));
        SoundSite edge; // nobody named is another check's matter
        edge.drawing("P-1").drawnBy = "";
        QVERIFY(edge.found("unknown person").empty());
    }

    // -------------------------------------------------------------------------------------------- drawings

    void drawingLacksAField()
    {
        SoundSite site;
        site.drawing("P-1").drawnOn = "31 May";
        site.drawing("S-1").drawnBy = " ";
        const std::vector<Matter> matters = site.found("drawing lacks a field");
        QCOMPARE(subjects(matters), std::string("P-1; S-1"));
        QCOMPARE(matters[0].drawing, std::string("P-1"));
        QCOMPARE(matters[0].severity, Severity::Must);
        SoundSite scale;
        scale.drawing("P-1").scaleDenominator = 0;
        QCOMPARE(scale.found("drawing lacks a field").size(), 1U);
        SoundSite edge; // the title is welcome, not required
        edge.drawing("P-1").title = "";
        QVERIFY(edge.found("drawing lacks a field").empty());
    }

    void sectionLacksAField()
    {
        SoundSite site;
        site.drawing("S-1").facing = "";
        QCOMPARE(subjects(site.found("section lacks a field")), std::string("S-1"));
        SoundSite edge; // a datum at 0 m is a datum; a plan needs neither
        edge.drawing("S-1").datumM = 0.0;
        QVERIFY(edge.found("section lacks a field").empty());
    }

    /// Reference: tests/published/recording_standard.json (Dutch Archaeology Quality Standard, OS04).
    void scaleTooSmall()
    {
        const nlohmann::json least = recordingStandard()["least_scale_denominator"];
        for (const auto& [number, key] : {std::pair("P-1", "level plan"), std::pair("S-1", "section")}) {
            SoundSite site;
            site.drawing(number).scaleDenominator = least[key].get<double>() + 1;
            QCOMPARE(subjects(site.found("scale too small")), std::string(number));
            SoundSite edge;
            edge.drawing(number).scaleDenominator = least[key].get<double>();
            QVERIFY(edge.found("scale too small").empty());
        }
    }

    void scanMissing()
    {
        SoundSite site;
        site.records.scans["F-P-1"] = {false, ""};
        site.drawing("S-1").sheet = "";
        QCOMPARE(subjects(site.found("scan missing")), std::string("P-1; S-1"));
        SoundSite edge; // nobody has looked
        edge.records.scans.clear();
        QVERIFY(edge.found("scan missing").empty());
    }

    void scanChanged()
    {
        SoundSite site;
        site.records.scans["F-P-1"].sha256 = "abd";
        const std::vector<Matter> matters = site.found("scan changed");
        QCOMPARE(subjects(matters), std::string("F-P-1"));
        QCOMPARE(matters[0].drawing, std::string("P-1"));
        SoundSite edge; // found, but not read
        edge.records.scans["F-P-1"].sha256 = "";
        QVERIFY(edge.found("scan changed").empty());
    }

    void drawingNotFitted()
    {
        SoundSite site;
        std::erase_if(site.records.pins,
                      [](const Pin& pin) { return pin.drawing == 1 && pin.peg > "P-1b"; });
        const std::vector<Matter> matters = site.found("drawing not fitted");
        QCOMPARE(subjects(matters), std::string("P-1"));
        QVERIFY(matters[0].scan.has_value());
        SoundSite none;
        std::erase_if(none.records.pins, [](const Pin& pin) { return pin.drawing == 1; });
        QCOMPARE(none.found("drawing not fitted").size(), 1U);
        none.drawing("P-1").stage = Stage::Scanned; // not pinned yet: nothing to fit
        QVERIFY(none.found("drawing not fitted").empty());
    }

    void outOfPinTolerance()
    {
        const auto checkPointOff = [](double offMm) {
            SoundSite site;
            site.addPin(site.drawing("P-1"), "Z", {104, 53}, {104 + groundMFromFilmMm(offMm, 20), 53});
            site.records.pins.back().use =
                PinUse::Check; // takes no part in the fit, so that its residual is known
            return site.found("out of pin tolerance");
        };
        QCOMPARE(subjects(checkPointOff(0.51)), std::string("P-1"));
        QVERIFY(checkPointOff(0.51)[0].words.find("pin Z is 0.51 mm off") != std::string::npos);
        QVERIFY(checkPointOff(0.49).empty());
        SoundSite leftOut;
        leftOut.addPin(leftOut.drawing("P-1"), "Z", {104, 53}, {105, 53});
        leftOut.records.pins.back().use = PinUse::LeftOut;
        QVERIFY(leftOut.found("out of pin tolerance").empty());
    }

    void noSparePins()
    {
        SoundSite site;
        std::erase_if(site.records.pins,
                      [](const Pin& pin) { return pin.drawing == 1 && pin.peg > "P-1c"; });
        QCOMPARE(subjects(site.found("no spare pins")), std::string("P-1"));
        SoundSite edge;
        std::erase_if(edge.records.pins,
                      [](const Pin& pin) { return pin.drawing == 1 && pin.peg > "P-1d"; });
        QVERIFY(edge.found("no spare pins").empty());
    }

    void outlineBeyondItsPins()
    {
        // The pins' longest distance is hypot(6, 3) m; a quarter of it is allowed.
        const double allowedM = 0.25 * std::hypot(6.0, 3.0);
        for (const auto& [beyondM, count] :
             {std::pair(allowedM + 0.02, 1U), std::pair(allowedM - 0.02, 0U)}) {
            SoundSite site;
            site.addOutline("P-1", "1003", SoundSite::rectangle(105, 52, 107 + beyondM, 53));
            QCOMPARE(site.found("outline beyond its pins").size(), std::size_t(count));
        }
    }

    // -------------------------------------------------------------------------------------------- contexts

    void contextLacksAField()
    {
        SoundSite site;
        site.context("1003").description = "  ";
        QCOMPARE(subjects(site.found("context lacks a field")), std::string("1003"));
        SoundSite edge; // a period can wait
        edge.context("1003").period = "";
        QVERIFY(edge.found("context lacks a field").empty());
    }

    void outlineWithoutRecord()
    {
        SoundSite site;
        site.addOutline("P-1", "1099", SoundSite::rectangle(105, 52, 105.5, 53));
        site.addOutline("P-1", "1099", SoundSite::rectangle(105, 53.2, 105.5, 53.8));
        const std::vector<Matter> matters = site.found("outline without record");
        QCOMPARE(subjects(matters), std::string("1099")); // told once
        QCOMPARE(matters[0].drawing, std::string("P-1"));
        QVERIFY(matters[0].scan && matters[0].ground);
        SoundSite unnamed;
        unnamed.addOutline("P-1", "", SoundSite::rectangle(105, 52, 105.5, 53));
        QCOMPARE(unnamed.found("outline without record").size(), 1U);
        SoundSite edge; // a register entry without a single other field is a record
        edge.records.contexts.push_back({});
        edge.records.contexts.back().number = "1099";
        edge.addOutline("P-1", "1099", SoundSite::rectangle(105, 52, 105.5, 53));
        QVERIFY(edge.found("outline without record").empty());
    }

    void contextNotDrawn()
    {
        SoundSite site;
        site.addContext("1004", "layer");
        QCOMPARE(subjects(site.found("context not drawn")), std::string("1004"));
        site.relate("1004", RelationKind::SameAs, "1003"); // drawn under its other number
        QVERIFY(site.found("context not drawn").empty());
        SoundSite edge; // in section alone
        edge.addContext("1004", "layer");
        edge.addOutline("S-1", "1004", SoundSite::rectangle(105, 51, 106, 52));
        QVERIFY(edge.found("context not drawn").empty());
    }

    void cutWithoutSection()
    {
        SoundSite site;
        site.records.outlines.pop_back(); // the section's outline of 1001
        QCOMPARE(subjects(site.found("cut without section")), std::string("1001"));
        SoundSite edge; // a layer needs none
        edge.context("1001").kind = "layer";
        edge.records.outlines.pop_back();
        QVERIFY(edge.found("cut without section").empty());
    }

    void cutWithoutFillAndFillWithoutCut()
    {
        SoundSite site;
        site.records.relations.erase(site.records.relations.begin());
        QCOMPARE(subjects(site.found("cut without fill")), std::string("1001"));
        QCOMPARE(subjects(site.found("fill without cut")), std::string("1002"));
        site.relate("1001", RelationKind::FilledBy, "1002"); // written on the other record
        QVERIFY(site.found("cut without fill").empty());
        QVERIFY(site.found("fill without cut").empty());
        SoundSite edge; // through a context recorded as the same
        edge.addContext("1005", "Fill");
        edge.relate("1005", RelationKind::SameAs, "1002");
        QVERIFY(edge.found("fill without cut").empty());
    }

    // -------------------------------------------------------------------------------------------- sequence

    void relationToAnUnknownContext()
    {
        SoundSite site;
        site.relate("1003", RelationKind::Above, "1077");
        site.relate("1002", RelationKind::Above, "1077");
        QCOMPARE(subjects(site.found("relation to an unknown context")), std::string("1077"));
        SoundSite edge; // the reverse of a known relation
        edge.relate("1003", RelationKind::CutBy, "1001");
        QVERIFY(edge.found("relation to an unknown context").empty());
    }

    void relationToItself()
    {
        SoundSite site;
        site.relate("1003", RelationKind::Above, "1003");
        QCOMPARE(subjects(site.found("relation to itself")), std::string("1003 / 1003"));
        SoundSite same;
        same.relate("1002", RelationKind::SameAs, "1001");
        QCOMPARE(subjects(same.found("relation to itself")), std::string("1002 / 1001"));
        SoundSite edge;
        edge.relate("1003", RelationKind::Abuts, "1003");
        QVERIFY(edge.found("relation to itself").empty());
    }

    void stratigraphicLoop()
    {
        SoundSite site;
        site.relate("1003", RelationKind::Above, "1002");
        const std::vector<Matter> matters = site.found("stratigraphic loop");
        QCOMPARE(matters.size(), 1U);
        QVERIFY(matters[0].words.find("1001 is later than 1003 is later than 1002 is later than 1001") ==
                0);
        SoundSite edge; // both ways of saying one thing are no loop
        edge.relate("1003", RelationKind::CutBy, "1001");
        QVERIFY(edge.found("stratigraphic loop").empty());
    }

    void redundantRelation()
    {
        SoundSite site;
        site.relate("1002", RelationKind::Above, "1003");
        QCOMPARE(subjects(site.found("redundant relation")), std::string("1002 / 1003"));
        SoundSite edge; // cutting says more than being later
        edge.relate("1002", RelationKind::Cuts, "1003");
        QVERIFY(edge.found("redundant relation").empty());
    }

    void levelsAgainstTheSequence()
    {
        SoundSite site;
        site.context("1001").topM = 51.44; // 0.06 m under the bottom of 1003; 0.05 m is allowed
        QCOMPARE(subjects(site.found("levels against the sequence")), std::string("1001 / 1003"));
        SoundSite edge;
        edge.context("1001").topM = 51.46;
        QVERIFY(edge.found("levels against the sequence").empty());
        // a level written on a drawing counts as well as the record's
        site.records.spotLevels.push_back({0, 1, "1001", {1, 1}, 51.9});
        QVERIFY(site.found("levels against the sequence").empty());
    }

    // -------------------------------------------------------------------------------------------- sign-off

    void sealBroken()
    {
        SoundSite site;
        site.context("1003").description = "grey clay";
        QCOMPARE(subjects(site.found("seal broken")), std::string("1003"));
        SoundSite marked;
        marked.records.signOffs[0].broken = true;
        QCOMPARE(subjects(marked.found("seal broken")), std::string("P-1"));
        SoundSite edge; // stages and row numbers are not what was signed
        edge.context("1003").stage = Stage::Checked;
        edge.context("1003").id = 77;
        std::reverse(edge.records.outlines.begin(), edge.records.outlines.end());
        QVERIFY(edge.found("seal broken").empty());
    }

    void checkedByItsMaker()
    {
        SoundSite site;
        site.records.signOffs[0].person = "AB";
        QCOMPARE(subjects(site.found("checked by its maker")), std::string("P-1"));
        SoundSite edge; // a later sign-off by somebody else holds
        SignOff again = edge.records.signOffs[0];
        edge.records.signOffs[0].person = "AB";
        edge.records.signOffs.push_back(again);
        QVERIFY(edge.found("checked by its maker").empty());
    }

    void stagesLeftToGo()
    {
        SoundSite site;
        site.drawing("P-1").stage = Stage::Traced;
        site.context("1003").stage = Stage::Checked;
        QCOMPARE(site.found("drawing not signed off")[0].words,
                 std::string("drawing P-1 is traced but not checked"));
        QCOMPARE(subjects(site.found("context not signed off")), std::string("1003"));
        SoundSite edge; // at the last stage nothing is left, whoever has signed and however long ago
        QVERIFY(edge.found("drawing not signed off").empty());
        edge.records.signOffs.clear();
        QVERIFY(edge.found("context not signed off").empty());
        edge.drawing("P-1").stage = Stage::Checked; // one short of it
        QCOMPARE(edge.found("drawing not signed off")[0].words,
                 std::string("drawing P-1 is checked but not signed off"));
    }

    /// With the sound site, in which nothing is found, each check has its three tests.
    void cleanupTestCase()
    {
        std::vector<std::string> here;
        std::vector<std::string> elsewhere = SoundSite::checksOfPlace();
        const std::vector<std::string>& ofSections = SoundSite::checksOfSections();
        elsewhere.insert(elsewhere.end(), ofSections.begin(), ofSections.end());
        for (const CheckFacts& check : listChecks())
            if (std::find(elsewhere.begin(), elsewhere.end(), check.name) == elsewhere.end())
                here.push_back(check.name);
        QCOMPARE(here.size() + elsewhere.size(), listChecks().size());
        QCOMPARE(SoundSite::notTestedBothWays(here), std::string());
    }
};

QTEST_GUILESS_MAIN(ChecksTest)
#include "ChecksTest.moc"
