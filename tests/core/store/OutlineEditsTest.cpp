// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/OutlineEdits.h"

#include <cmath>

#include <QTemporaryDir>
#include <QTest>

#include "core/outline/Area.h"
#include "core/outline/OutlineActs.h"
#include "core/outline/RunEdit.h"
#include "core/store/DrawingFit.h"
#include "tests/core/outline/WellKnownText.h"

using namespace inkpeg;

namespace {

/// Two plans at 1:20 of 400 dpi film: P-02 lies 10 m east of P-01 and is turned by 90 degrees on its film.
struct TwoPlans {
    QTemporaryDir folder;
    Result<Project> project;
    std::int64_t first = 0, second = 0;

    TwoPlans() : project(Project::create(folder.filePath("yard.gpkg").toStdString(), ProjectFacts()))
    {
        const auto made = project->act("two plans", [&](Editor& edit) -> Result<void> {
            for (int i = 0; i < 2; ++i) {
                Sheet sheet;
                sheet.number = i == 0 ? "S-01" : "S-02";
                sheet.scanFile = sheet.number + ".tif";
                sheet.frame = {4000, 4000, 400, 400, false};
                if (auto put = edit.put(sheet); !put)
                    return put;
                Drawing drawing;
                drawing.number = i == 0 ? "P-01" : "P-02";
                drawing.sheet = sheet.number;
                drawing.scaleDenominator = 20;
                drawing.model = Model::Affine;
                if (auto put = edit.put(drawing); !put)
                    return put;
                (i == 0 ? first : second) = drawing.id;
                if (auto put = putPins(edit, drawing.id, i); !put)
                    return put;
            }
            return {};
        });
        if (!made)
            qFatal("%s", made.error().message.c_str());
    }

    /// Where a scan position of either plan lies, by construction.
    static GroundM ground(int plan, ScanPx at)
    {
        const double metresPerPx = 25.4 / 400 * 20 / 1000;
        const double x = at.column * metresPerPx, y = (4000 - at.row) * metresPerPx;
        return plan == 0 ? GroundM{560000 + x, 5900000 + y} : GroundM{560004 + y, 5900005.08 - x};
    }

    static Result<void> putPins(Editor& edit, std::int64_t drawing, int plan)
    {
        int number = 0;
        for (const ScanPx mark :
             {ScanPx{200, 200}, ScanPx{3800, 200}, ScanPx{3800, 3800}, ScanPx{200, 3800}}) {
            Peg peg;
            peg.name = std::string(plan == 0 ? "A" : "B") + std::to_string(++number);
            peg.position = ground(plan, mark);
            peg.frame = PegFrame::Crs;
            if (auto put = edit.put(peg); !put)
                return put;
            Pin pin;
            pin.drawing = drawing;
            pin.peg = peg.name;
            pin.mark = mark;
            if (auto put = edit.put(pin); !put)
                return put;
        }
        return {};
    }

    Result<void> trace(std::int64_t drawing, const char* context, const QString& text)
    {
        const Result<Change> change = editOutlines(*project, drawing, "trace", [&](DrawnOutlines& all) {
            return addParts(all, context, partsOfText(text));
        });
        return change ? Result<void>() : Result<void>(change.error());
    }
};

} // namespace

class OutlineEditsTest final : public QObject {
    Q_OBJECT

private slots:
    void anEditIsOneActAndIsUndoneAsAWhole()
    {
        TwoPlans yard;
        Project& project = *yard.project;
        project.setPerson("MH");
        QVERIFY(
            yard.trace(yard.first, "1001", "POLYGON ((500 500, 1500 500, 1500 1500, 500 1500, 500 500))"));
        QVERIFY(
            yard.trace(yard.first, "1002", "POLYGON ((1400 400, 1600 400, 1600 600, 1400 600, 1400 400))"));
        const std::vector<Outline> before = project.all<Outline>();
        QCOMPARE(before.size(), std::size_t(2));
        QCOMPARE(before[0].tracedBy, std::string("MH"));
        const std::size_t acts = project.journal().size();
        project.setPerson("RT");
        const auto cut = editOutlines(project, yard.first, "cut 1002 out of 1001",
                                      [](DrawnOutlines& all) { return cutOut(all, 1, 0); });
        QVERIFY(cut && cut->rows.size() >= 1);
        QCOMPARE(project.journal().size(), acts + 1);
        const std::vector<Outline> after = project.all<Outline>();
        QVERIFY(areaPx2(after[0].parts) < areaPx2(before[0].parts));
        QCOMPARE(after[0].tracedBy, std::string("MH")); // who traced it, not who cut it
        QVERIFY(project.undo());
        QVERIFY(project.all<Outline>() == before);
    }
    void aMergeTakesTheOtherOutlineAwayAndARefusalChangesNothing()
    {
        TwoPlans yard;
        Project& project = *yard.project;
        QVERIFY(yard.trace(yard.first, "1001", "POLYGON ((500 500, 900 500, 900 900, 500 900, 500 500))"));
        QVERIFY(
            yard.trace(yard.first, "1002", "POLYGON ((900 500, 1300 500, 1300 900, 900 900, 900 500))"));
        QVERIFY(editOutlines(project, yard.first, "merge",
                             [](DrawnOutlines& all) { return mergeOutlines(all, 0, 1); }));
        QCOMPARE(project.all<Outline>().size(), std::size_t(1));
        const std::size_t acts = project.journal().size();
        const auto crossed = editOutlines(project, yard.first, "move", [](DrawnOutlines& all) {
            return moveVertexOf(all, {500, 500}, {2000, 700});
        });
        QVERIFY(!crossed);
        QCOMPARE(project.journal().size(), acts);
    }
    void aCopyLiesOnTheSameGround()
    {
        TwoPlans yard;
        Project& project = *yard.project;
        // On P-01 up to column 4000 (E 560005.08); P-02 begins at E 560004.
        QVERIFY(yard.trace(yard.first, "1005",
                           "POLYGON ((3500 1000, 3900 1000, 3900 1400, 3500 1500, 3500 1000))"));
        const Outline original = project.all<Outline>().front();
        const auto copied = copyOutline(project, original.id, yard.second);
        QVERIFY2(copied, copied ? "" : copied.error().message.c_str());
        const Outline copy = project.ofDrawing<Outline>(yard.second).front();
        QCOMPARE(copy.context, std::string("1005"));
        QCOMPARE(copy.parts[0].outer.vertices.size(), std::size_t(4));
        for (const ScanPx& vertex : copy.parts[0].outer.vertices) {
            double least = 1e9;
            for (const ScanPx& there : original.parts[0].outer.vertices)
                least = std::min(least, distance(TwoPlans::ground(1, vertex), TwoPlans::ground(0, there)));
            QVERIFY2(least < 1e-5, qPrintable(QString::number(least))); // 1/512 px is 2.5e-6 m
        }
        const auto again = copyOutline(project, original.id, yard.second);
        QVERIFY(!again);
        QVERIFY(again.error().message.find("P-02 shows context 1005 already") != std::string::npos);
        QVERIFY(!copyOutline(project, original.id, yard.first));
    }
    void aCopyEndsAtTheOtherSheetAndSaysSoInItsEdges()
    {
        TwoPlans yard;
        QVERIFY(yard.trace(yard.first, "1006",
                           "POLYGON ((2000 1000, 3900 1000, 3900 1400, 2000 1400, 2000 1000))"));
        const auto copied = copyOutline(*yard.project, 1, yard.second);
        QVERIFY2(copied, copied ? "" : copied.error().message.c_str());
        const Ring ring = yard.project->ofDrawing<Outline>(yard.second).front().parts[0].outer;
        int beyond = 0;
        for (std::size_t i = 0; i < ring.vertices.size(); ++i) {
            QVERIFY(ring.vertices[i].row <= 4000);
            beyond += ring.kinds[i] == EdgeKind::BeyondTheSheet;
        }
        QCOMPARE(beyond, 1);
        QVERIFY(yard.trace(yard.first, "1007", "POLYGON ((100 100, 300 100, 300 300, 100 300, 100 100))"));
        const std::vector<Outline> all = yard.project->all<Outline>();
        const auto off = copyOutline(*yard.project, all.back().id, yard.second);
        QVERIFY(!off);
        QVERIFY(off.error().message.find("nothing of context 1007 lies on P-02") != std::string::npos);
    }
};

QTEST_GUILESS_MAIN(OutlineEditsTest)
#include "OutlineEditsTest.moc"
