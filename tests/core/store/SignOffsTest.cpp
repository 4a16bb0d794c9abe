// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/SignOffs.h"

#include <functional>

#include <QTemporaryDir>
#include <QTest>

#include "core/checks/Checks.h"
#include "core/store/LoadRecords.h"
#include "tests/core/checks/SoundSite.h"
#include "tests/core/store/SoundProject.h"

using namespace inkpeg;

Q_DECLARE_METATYPE(std::function<Result<void>(const Project&, Editor&)>)

class SignOffsTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    Project freshProject()
    {
        static int count = 0;
        const std::string file = m_folder.filePath(QString("site%1.gpkg").arg(++count)).toStdString();
        return soundProject(file);
    }

    static void signBoth(Project& project, const std::string& kind, const std::string& number)
    {
        for (const Stage stage : {Stage::Checked, Stage::SignedOff}) {
            const Result<Change> done = signOff(project, kind, number, stage, "compared with the film");
            QVERIFY2(done, done ? "" : done.error().message.c_str());
        }
        QVERIFY(isSealed(project, kind, number));
    }
    static bool tells(const Project& project, const std::string& check, const std::string& subject)
    {
        for (const Matter& matter : runChecks(loadRecords(project).value()))
            if (matter.check == check && matter.subject == subject)
                return true;
        return false;
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

    void aLaterChangeNeedsAReasonBreaksTheSealAndReturnsToTraced()
    {
        Project project = freshProject();
        signBoth(project, "drawing", "P-1");
        Outline outline = project.ofDrawing<Outline>(project.byKey<Drawing>("P-1")->id).front();
        const Outline asSigned = outline;
        outline.parts[0].outer.vertices[0].column += 8;
        const auto move = [&](Editor& edit) { return edit.put(outline); };

        const Result<Change> refused = project.act("move a vertex", move);
        QVERIFY(!refused);
        QCOMPARE(refused.error().message,
                 std::string("drawing P-1 is signed off by CD; changing it needs a reason"));
        QVERIFY(isSealed(project, "drawing", "P-1"));
        QVERIFY(*project.byId<Outline>(outline.id) == asSigned);

        const std::size_t before = project.journal().size();
        QVERIFY(project.act("move a vertex", move, "the film was misread"));
        QCOMPARE(project.byKey<Drawing>("P-1")->stage, Stage::Traced);
        QVERIFY(!isSealed(project, "drawing", "P-1"));
        QCOMPARE(project.journal().size(), before + 1); // one act
        QCOMPARE(project.journal().back().why, std::string("the film was misread"));
        QVERIFY(tells(project, "seal broken", "P-1"));

        QVERIFY(project.undo()); // takes vertex, seal and stage back together
        QVERIFY(isSealed(project, "drawing", "P-1"));
        QCOMPARE(project.byKey<Drawing>("P-1")->stage, Stage::SignedOff);
        QVERIFY(!tells(project, "seal broken", "P-1"));
        QVERIFY(project.redo());
        QVERIFY(!isSealed(project, "drawing", "P-1"));
    }

    void theReasonMayBeAskedForInTheMiddleOfTheAct()
    {
        Project project = freshProject();
        signBoth(project, "drawing", "P-1");
        std::vector<std::string> asked;
        std::string answer;
        project.setReasonAsked([&](const std::vector<std::string>& sealed) {
            asked = sealed;
            return answer;
        });
        Drawing drawing = *project.byKey<Drawing>("P-1");
        drawing.note = "the north arrow is wrong";
        const auto put = [&](Editor& edit) { return edit.put(drawing); };
        QVERIFY(!project.act("note", put)); // no answer gives the act up
        QCOMPARE(asked, std::vector<std::string>{"drawing P-1"});
        QVERIFY(isSealed(project, "drawing", "P-1"));
        answer = "a note was missing";
        QVERIFY(project.act("note", put));
        QCOMPARE(project.journal().back().why, answer);
        QVERIFY(!isSealed(project, "drawing", "P-1"));
    }

    /// Whatever a seal covers, by whatever act it is changed.
    void everythingUnderASealIsGuarded_data()
    {
        using Edit = std::function<Result<void>(const Project&, Editor&)>;
        QTest::addColumn<Edit>("edit");
        const auto row = [](const char* name, const Edit& edit) { QTest::newRow(name) << edit; };
        row("pin moved", [](const Project& project, Editor& edit) {
            Pin pin = project.ofDrawing<Pin>(project.byKey<Drawing>("P-1")->id).front();
            pin.mark.row += 1;
            return edit.put(pin);
        });
        row("pin removed", [](const Project& project, Editor& edit) {
            return edit.remove<Pin>(project.ofDrawing<Pin>(project.byKey<Drawing>("P-1")->id).front().id);
        });
        row("peg surveyed again", [](const Project& project, Editor& edit) {
            Peg peg =
                *project.byKey<Peg>(project.ofDrawing<Pin>(project.byKey<Drawing>("P-1")->id).front().peg);
            peg.position.east += 0.01;
            return edit.put(peg);
        });
        row("sheet scanned again", [](const Project& project, Editor& edit) {
            Sheet sheet = *project.byKey<Sheet>(project.byKey<Drawing>("P-1")->sheet);
            sheet.scanSha256 = "feed";
            return edit.put(sheet);
        });
        row("level added", [](const Project& project, Editor& edit) {
            SpotLevel level{0, project.byKey<Drawing>("P-1")->id, "1001", {5, 5}, 51.2};
            return edit.put(level);
        });
        row("drawing renumbered", [](const Project& project, Editor& edit) {
            Drawing drawing = *project.byKey<Drawing>("P-1");
            drawing.number = "P-100";
            return edit.put(drawing);
        });
        row("drawing removed", [](const Project& project, Editor& edit) {
            return edit.remove<Drawing>(project.byKey<Drawing>("P-1")->id);
        });
        row("context described anew", [](const Project& project, Editor& edit) {
            Context context = *project.byKey<Context>("1001");
            context.description = "another cut";
            return edit.put(context);
        });
        row("relation taken away", [](const Project& project, Editor& edit) {
            for (const Relation& relation : project.all<Relation>())
                if (relation.context == "1001")
                    return edit.remove<Relation>(relation.id);
            return Result<void>(Error{ErrorCode::NotFound, "no relation on 1001"});
        });
        row("outline of the context on the other drawing", [](const Project& project, Editor& edit) {
            for (Outline& outline : project.ofDrawing<Outline>(project.byKey<Drawing>("S-1")->id))
                if (outline.context == "1001") {
                    outline.parts[0].outer.vertices[0].row += 1;
                    return edit.put(outline);
                }
            return Result<void>(Error{ErrorCode::NotFound, "no outline of 1001"});
        });
    }
    void everythingUnderASealIsGuarded()
    {
        using Edit = std::function<Result<void>(const Project&, Editor&)>;
        QFETCH(Edit, edit);
        Project project = freshProject();
        signBoth(project, "drawing", "P-1");
        signBoth(project, "context", "1001");
        const auto act = [&](Editor& editor) { return edit(project, editor); };
        const Result<Change> refused = project.act("change", act);
        QVERIFY(!refused);
        QVERIFY2(refused.error().message.find("needs a reason") != std::string::npos,
                 refused.error().message.c_str());
        const Result<Change> done = project.act("change", act, "it was wrong");
        QVERIFY2(done, done ? "" : done.error().message.c_str());
        QVERIFY(!isSealed(project, "drawing", "P-1") || !isSealed(project, "context", "1001"));
    }

    void whatNoSealCoversNeedsNoReason()
    {
        Project project = freshProject();
        signBoth(project, "drawing", "P-1");
        signBoth(project, "context", "1001");
        QVERIFY(project.act("another peg", [](Editor& edit) {
            Peg peg;
            peg.name = "Z9";
            return edit.put(peg);
        }));
        QVERIFY(project.act("a find described", [&](Editor& edit) {
            Find find = project.all<Find>().front();
            find.description = "rim";
            return edit.put(find);
        }));
        QVERIFY(project.act("another drawing", [&](Editor& edit) {
            Drawing drawing = *project.byKey<Drawing>("S-1");
            drawing.note = "second copy";
            return edit.put(drawing);
        }));
        QVERIFY(project.act("the same again", [&](Editor& edit) {
            Drawing drawing = *project.byKey<Drawing>("P-1");
            return edit.put(drawing);
        }));
        QVERIFY(isSealed(project, "drawing", "P-1") && isSealed(project, "context", "1001"));
    }

    void aBrokenSealIsSignedAgain()
    {
        Project project = freshProject();
        signBoth(project, "context", "1003");
        Context context = *project.byKey<Context>("1003");
        context.period = "later";
        QVERIFY(project.act(
            "period", [&](Editor& edit) { return edit.put(context); }, "dated"));
        QVERIFY(tells(project, "seal broken", "1003"));
        signBoth(project, "context", "1003");
        QVERIFY(!tells(project, "seal broken", "1003"));
    }

    void whatWasChangedSinceItWasCheckedIsCheckedAgain()
    {
        Project project = freshProject();
        QVERIFY(signOff(project, "context", "1003", Stage::Checked, "looked"));
        Context context = *project.byKey<Context>("1003");
        context.period = "later";
        QVERIFY(project.act("period", [&](Editor& edit) { return edit.put(context); })); // not sealed yet
        const Result<Change> refused = signOff(project, "context", "1003", Stage::SignedOff, "looked");
        QVERIFY(!refused);
        QVERIFY2(refused.error().message.find("changed after CD checked it") != std::string::npos,
                 refused.error().message.c_str());
        signBoth(project, "context", "1003");
    }

    void severalAreSignedAsOneActOrNotAtAll()
    {
        Project project = freshProject();
        const ProjectRecords records = loadRecords(project).value();
        const std::vector<Subject> contexts{{"context", "1001"}, {"context", "1002"}};
        std::vector<Subject> withUnknown = contexts;
        withUnknown.push_back({"context", "1999"});
        QVERIFY(!signOff(project, records, {}, withUnknown, Stage::Checked, "looked"));
        QVERIFY(project.all<SignOff>().empty());
        QVERIFY(signOff(project, records, {}, contexts, Stage::Checked, "looked"));
        QCOMPARE(project.byKey<Context>("1002")->stage, Stage::Checked);
        QVERIFY(project.undo());
        QVERIFY(project.all<SignOff>().empty());
        QCOMPARE(project.byKey<Context>("1002")->stage, Stage::Listed);
    }

    void aSignOffIsTakenBackWithAReason()
    {
        Project project = freshProject();
        QCOMPARE(takeSignOffBack(project, {"drawing", "P-1"}, "x").error().code, ErrorCode::Conflict);
        signBoth(project, "drawing", "P-1");
        QCOMPARE(takeSignOffBack(project, {"drawing", "P-1"}, " ").error().code, ErrorCode::BadInput);
        QCOMPARE(takeSignOffBack(project, {"drawing", "P-9"}, "x").error().code, ErrorCode::NotFound);
        QVERIFY(takeSignOffBack(project, {"drawing", "P-1"}, "the wrong film was compared"));
        QVERIFY(!isSealed(project, "drawing", "P-1"));
        QCOMPARE(project.byKey<Drawing>("P-1")->stage, Stage::Traced);
        QCOMPARE(signOffsOf(project, {"drawing", "P-1"}).size(), std::size_t{3}); // nothing is forgotten
        QVERIFY(!tells(project, "seal broken", "P-1"));                           // it was not changed
        signBoth(project, "drawing", "P-1");
        project.setPerson("AB"); // who drew it may not check it, but may take it back
        QVERIFY(takeSignOffBack(project, {"drawing", "P-1"}, "I forgot an outline"));
        QVERIFY(!tells(project, "checked by its maker", "P-1"));
    }
};

QTEST_GUILESS_MAIN(SignOffsTest)
#include "SignOffsTest.moc"
