// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/SignOffs.h"

#include <QTemporaryDir>
#include <QTest>

#include "core/checks/Checks.h"
#include "core/store/LoadRecords.h"
#include "tests/core/checks/SoundSite.h"

using namespace inkpeg;

namespace {

/// Puts the records of the sound site into a project file, signed by nobody yet; drawings are traced.
Result<void> store(Project& project, ProjectRecords records)
{
    const auto putAll = [](Editor& edit, auto& list) -> Result<void> {
        for (auto& record : list) {
            record.id = 0;
            if (const Result<void> put = edit.put(record); !put)
                return put;
        }
        return {};
    };
    const Result<Change> change = project.act("fill", [&](Editor& edit) -> Result<void> {
        for (Drawing& drawing : records.drawings)
            drawing.stage = Stage::Traced;
        for (Context& context : records.contexts)
            context.stage = Stage::Listed;
        for (Sheet& sheet : records.sheets)
            sheet.scanFile.clear(); // the scans are not part of this test
        // The sound site gives the section's pegs as (distance, level); surveyed they lie in a line with
        // levels.
        for (Peg& peg : records.pegs)
            if (peg.name.starts_with("S-1")) {
                peg.levelM = peg.position.north;
                peg.position.north = 52;
            }
        for (const Result<void>& put :
             {putAll(edit, records.people), putAll(edit, records.trenches), putAll(edit, records.sheets),
              putAll(edit, records.drawings), putAll(edit, records.pegs), putAll(edit, records.contexts),
              putAll(edit, records.relations), putAll(edit, records.finds), putAll(edit, records.samples),
              putAll(edit, records.timbers)})
            if (!put)
                return put;
        // Row ids of drawings start at 1 in a new file, as they do in the sound site.
        for (const Result<void>& put : {putAll(edit, records.pins), putAll(edit, records.outlines)})
            if (!put)
                return put;
        return {};
    });
    return change ? Result<void>() : Result<void>(change.error());
}

} // namespace

class SignOffsTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    Project freshProject()
    {
        static int count = 0;
        const std::string file = m_folder.filePath(QString("site%1.gpkg").arg(++count)).toStdString();
        ProjectFacts facts;
        facts.siteCode = "SKR26";
        Project project = Project::create(file, facts).value();
        project.setPerson("CD");
        const Result<void> stored = store(project, SoundSite().records);
        if (!stored)
            qFatal("%s", stored.error().message.c_str());
        return project;
    }

private slots:
    void aProjectIsReadWithItsDrawingsOnTheGround()
    {
        const Project project = freshProject();
        const Result<ProjectRecords> records = loadRecords(project);
        QVERIFY(records);
        SoundSite site;
        QCOMPARE(records->contexts.size(), site.records.contexts.size());
        QCOMPARE(records->groundOutlines.size(), site.records.groundOutlines.size());
        for (const OutlineOnGround& ground : records->groundOutlines) {
            const Outline& outline = records->outlines[ground.outline];
            QVERIFY(fits(records->places.at(outline.drawing)));
            QVERIFY(ground.covariance.eastEast > 0);
            if (outline.drawing == 1 && outline.context == "1001")
                QVERIFY(distance(ground.parts[0].outer[0], {102, 51.5}) <
                        1e-4); // the lattice of 1/256 pixel
        }
        for (const Matter& matter : runChecks(*records))
            QVERIFY2(matter.severity != Severity::Must, matter.words.c_str());
    }

    void readingCanBeStopped()
    {
        const Result<ProjectRecords> records = loadRecords(freshProject(), [](double) { return false; });
        QVERIFY(!records);
        QCOMPARE(records.error().code, ErrorCode::Cancelled);
    }

    void aDrawingIsCheckedThenSignedOff()
    {
        Project project = freshProject();
        QVERIFY(!signOff(project, "drawing", "P-1", Stage::SignedOff, "")); // not checked yet
        const Result<Change> checked =
            signOff(project, "drawing", "P-1", Stage::Checked, "compared with the film");
        QVERIFY2(checked, checked ? "" : checked.error().message.c_str());
        QCOMPARE(project.byKey<Drawing>("P-1")->stage, Stage::Checked);
        QVERIFY(!isSealed(project, "drawing", "P-1"));
        QVERIFY(signOff(project, "drawing", "P-1", Stage::SignedOff, "compared with the film"));
        QVERIFY(isSealed(project, "drawing", "P-1"));
        QCOMPARE(project.byKey<Drawing>("P-1")->stage, Stage::SignedOff);
        const JournalEntry last = project.journal().back();
        QCOMPARE(last.person, std::string("CD"));
        QCOMPARE(last.why, std::string("compared with the film"));
        QVERIFY(!*breakSeals(project, "")); // every seal holds: no reason needed
    }

    void itsTracerMayNotSign()
    {
        Project project = freshProject();
        project.setPerson("AB");
        const Result<Change> refused = signOff(project, "drawing", "P-1", Stage::Checked, "");
        QVERIFY(!refused);
        QCOMPARE(refused.error().code, ErrorCode::Conflict);
        QVERIFY(project.all<SignOff>().empty());
    }

    void aLaterChangeBreaksTheSealAndReturnsToTraced()
    {
        Project project = freshProject();
        QVERIFY(signOff(project, "drawing", "P-1", Stage::Checked, "looked"));
        QVERIFY(signOff(project, "drawing", "P-1", Stage::SignedOff, "looked"));
        Outline outline = project.ofDrawing<Outline>(project.byKey<Drawing>("P-1")->id).front();
        outline.parts[0].outer.vertices[0].column += 8;
        QVERIFY(project.act("move a vertex", [&](Editor& edit) { return edit.put(outline); }));

        QVERIFY(!breakSeals(project, " "));
        QVERIFY(isSealed(project, "drawing", "P-1")); // refused: nothing has changed
        const Result<std::optional<Change>> broken = breakSeals(project, "the film was misread");
        QVERIFY(broken && *broken);
        QCOMPARE(project.byKey<Drawing>("P-1")->stage, Stage::Traced);
        QVERIFY(!isSealed(project, "drawing", "P-1"));
        QCOMPARE(project.journal().back().why, std::string("the film was misread"));
        bool told = false;
        for (const Matter& matter : runChecks(loadRecords(project).value()))
            told = told || (matter.check == "seal broken" && matter.subject == "P-1");
        QVERIFY(told);
    }
};

QTEST_GUILESS_MAIN(SignOffsTest)
#include "SignOffsTest.moc"
