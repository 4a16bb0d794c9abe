// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/Seal.h"

#include <algorithm>
#include <functional>

#include <QTest>

#include "tests/core/checks/SoundSite.h"

using namespace inkpeg;

class SealTest final : public QObject {
    Q_OBJECT

private slots:
    void aSealIsADigestAndHolds()
    {
        SoundSite site;
        QCOMPARE(Seals(site.records).of("drawing", "P-1").size(), 64U);
        QVERIFY(Seals(site.records).of("drawing", "P-1") != Seals(site.records).of("drawing", "S-1"));
        QVERIFY(newlyBrokenSeals(site.records).empty());
        QCOMPARE(Seals(site.records).of("drawing", "P-9"), std::string());
        QCOMPARE(Seals(site.records).of("find", "1"), std::string());
    }

    void whateverIsOnADrawingBreaksItsSeal()
    {
        const std::vector<std::function<void(ProjectRecords&)>> changes{
            [](ProjectRecords& records) { records.drawings[0].note = "faint"; },
            [](ProjectRecords& records) { records.drawings[0].scaleDenominator = 10; },
            [](ProjectRecords& records) { records.sheets[0].scanSha256 = "abd"; },
            [](ProjectRecords& records) { records.pins[0].mark.column += 1.0 / 256; },
            [](ProjectRecords& records) { records.pins[0].use = PinUse::Check; },
            [](ProjectRecords& records) { records.pegs[0].position.east += 0.001; },
            [](ProjectRecords& records) {
                records.outlines[0].parts[0].outer.vertices[2].row += 1.0 / 256;
            },
            [](ProjectRecords& records) {
                records.outlines[0].parts[0].outer.kinds[2] = EdgeKind::Uncertain;
            },
            [](ProjectRecords& records) { records.outlines.erase(records.outlines.begin()); },
            [](ProjectRecords& records) {
                records.spotLevels.push_back({0, 1, "1001", {5, 5}, 51.2});
            },
            [](ProjectRecords& records) {
                records.edgeLines.push_back({0, 1, LineKind::Other, "", "", {{1, 1}}});
            },
            [](ProjectRecords& records) {
                records.drawnPoints.push_back({0, 1, PointKind::Note, "", "x", {1, 1}});
            },
        };
        for (std::size_t i = 0; i < changes.size(); ++i) {
            SoundSite site;
            const std::string before = Seals(site.records).of("drawing", "P-1");
            const std::string other = Seals(site.records).of("drawing", "S-1");
            changes[i](site.records);
            QVERIFY2(Seals(site.records).of("drawing", "P-1") != before,
                     qPrintable(QString("change %1").arg(i)));
            QCOMPARE(Seals(site.records).of("drawing", "S-1"), other);
        }
    }

    void whateverIsSaidOfAContextBreaksItsSeal()
    {
        const std::vector<std::function<void(SoundSite&)>> changes{
            [](SoundSite& site) { site.context("1001").bottomM = 51.4; },
            [](SoundSite& site) { site.context("1001").bottomM.reset(); },
            [](SoundSite& site) { site.relate("1001", RelationKind::Below, "1002"); },
            [](SoundSite& site) { site.addOutline("P-1", "1001", SoundSite::rectangle(101, 51, 102, 52)); },
        };
        for (const auto& change : changes) {
            SoundSite site;
            change(site);
            QVERIFY(!newlyBrokenSeals(site.records).empty());
        }
    }

    void textCannotRunFromOneFieldIntoTheNext()
    {
        SoundSite site;
        site.context("1001").kind = "cut";
        site.context("1001").description = "ab";
        site.context("1001").period = "c";
        const std::string before = Seals(site.records).of("context", "1001");
        site.context("1001").description = "a";
        site.context("1001").period = "bc";
        QVERIFY(Seals(site.records).of("context", "1001") != before);
    }

    void theLastSignOffCounts()
    {
        SoundSite site;
        site.records.signOffs.push_back(site.records.signOffs[0]);
        const std::vector<std::size_t> last = lastSignOffs(site.records);
        QCOMPARE(last.size(), 5U); // two drawings, three contexts
        QCOMPARE(last.back(), 5U);
        QVERIFY(std::find(last.begin(), last.end(), 0U) == last.end());
    }

    void onlyASecondPersonMaySign()
    {
        SoundSite site;
        site.drawing("P-1").stage = Stage::Checked;
        SigningIntent intent{"drawing", "P-1", Stage::SignedOff, "CD"};
        QVERIFY(maySign(site.records, intent, {}));
        intent.person = "AB"; // drew it
        QCOMPARE(maySign(site.records, intent, {}).error().code, ErrorCode::Conflict);
        site.drawing("P-1").drawnBy = "XY"; // now only traced it
        QCOMPARE(maySign(site.records, intent, {}).error().code, ErrorCode::Conflict);
        intent.person = "QQ";
        QCOMPARE(maySign(site.records, intent, {}).error().code, ErrorCode::NotFound);
        intent = {"drawing", "P-9", Stage::SignedOff, "CD"};
        QCOMPARE(maySign(site.records, intent, {}).error().code, ErrorCode::NotFound);
    }

    void stagesComeInTurn()
    {
        SoundSite site;
        site.drawing("P-1").stage = Stage::Traced;
        QVERIFY(!maySign(site.records, {"drawing", "P-1", Stage::SignedOff, "CD"}, {}));
        QVERIFY(maySign(site.records, {"drawing", "P-1", Stage::Checked, "CD"}, {}));
        site.drawing("P-1").stage = Stage::Pinned;
        QVERIFY(!maySign(site.records, {"drawing", "P-1", Stage::Checked, "CD"}, {}));
        site.context("1001").stage = Stage::Listed; // a context has no pins to wait for
        QVERIFY(maySign(site.records, {"context", "1001", Stage::Checked, "CD"}, {}));
    }

    void openMattersStandInTheWay()
    {
        SoundSite site;
        site.drawing("P-1").stage = Stage::Checked;
        Matter open;
        open.severity = Severity::Must;
        open.subjectKind = "context";
        open.subject = "1099";
        open.drawing = "P-1";
        open.words = "context 1099 is drawn but not in the register";
        const SigningIntent intent{"drawing", "P-1", Stage::SignedOff, "CD"};
        const Result<void> refused = maySign(site.records, intent, std::vector<Matter>{open});
        QVERIFY(!refused);
        QVERIFY(refused.error().message.find("1099") != std::string::npos);
        open.severity = Severity::Should;
        QVERIFY(maySign(site.records, intent, std::vector<Matter>{open}));
        open.severity = Severity::Must;
        open.drawing = "P-2";
        QVERIFY(maySign(site.records, intent, std::vector<Matter>{open}));
    }
};

QTEST_GUILESS_MAIN(SealTest)
#include "SealTest.moc"
