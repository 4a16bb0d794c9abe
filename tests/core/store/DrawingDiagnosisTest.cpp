// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/DrawingDiagnosis.h"

#include <algorithm>

#include <QTemporaryDir>
#include <QTest>

#include "tests/core/store/PinnedPlans.h"

using namespace inkpeg;
using namespace inkpeg::pinned;

class DrawingDiagnosisTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    int m_files = 0;

    Project newProject(PegFrame frame = PegFrame::Crs, std::vector<Plan> plans = {{}})
    {
        const QString file = m_folder.filePath(QString("plans-%1.gpkg").arg(++m_files));
        Result<Project> project = make(file.toStdString(), frame, std::move(plans));
        if (!project)
            qFatal("%s", project.error().message.c_str());
        return std::move(project).value();
    }

    static Drawing plan(const Project& project, const std::string& number = "P-01")
    {
        return project.byKey<Drawing>(number).value();
    }
    static Pin pinAt(const Project& project, int column, int row)
    {
        for (const Pin& pin : project.ofDrawing<Pin>(plan(project).id))
            if (pin.peg == pegName(column, row))
                return pin;
        qFatal("no such pin");
    }
    static Peg pegAt(const Project& project, int column, int row)
    {
        return project.byKey<Peg>(pegName(column, row)).value();
    }
    template<typename Record>
    static void put(Project& project, std::vector<Record> records)
    {
        const Result<Change> done = project.act("spoil", [&](Editor& edit) -> Result<void> {
            for (Record& record : records)
                if (const Result<void> put = edit.put(record); !put)
                    return put;
            return {};
        });
        QVERIFY2(done, done ? "" : done.error().message.c_str());
    }

    /// The first cause must be `kind`; its remedy must bring the drawing back to a fit without alarm, and an
    /// undo must bring back what was.
    static void mustBeRemedied(Project& project, BlunderKind kind)
    {
        const Drawing drawing = plan(project);
        const Result<DrawingDiagnosis> diagnosis = diagnoseDrawing(project, drawing);
        QVERIFY2(diagnosis, diagnosis ? "" : diagnosis.error().message.c_str());
        QVERIFY2(diagnosis->alarm && !diagnosis->hypotheses.empty(), diagnosis->summary.c_str());
        QCOMPARE(blunderName(diagnosis->hypotheses.front().kind), blunderName(kind));
        const std::vector<Pin> pins = project.ofDrawing<Pin>(drawing.id);
        const std::vector<Peg> pegs = project.all<Peg>();
        const std::vector<Sheet> sheets = project.all<Sheet>();
        const Result<Change> taken = project.act(remedyAct(drawing, *diagnosis, 0), [&](Editor& edit) {
            return takeRemedy(edit, project, drawing, *diagnosis, 0);
        });
        QVERIFY2(taken, taken ? "" : taken.error().message.c_str());
        QVERIFY(taken->journalId != 0);
        const Result<DrawingDiagnosis> after = diagnoseDrawing(project, plan(project));
        QVERIFY2(after && !after->alarm, after ? after->summary.c_str() : after.error().message.c_str());
        QCOMPARE(plan(project).stage, Stage::Pinned);
        QVERIFY(project.undo());
        QVERIFY(project.ofDrawing<Pin>(drawing.id) == pins && project.all<Peg>() == pegs &&
                project.all<Sheet>() == sheets && plan(project) == drawing);
    }

private slots:
    void soundPinsRaiseNoAlarm()
    {
        for (const PegFrame frame : {PegFrame::Crs, PegFrame::Site}) {
            const Project project = newProject(frame);
            const Result<DrawingDiagnosis> diagnosis = diagnoseDrawing(project, plan(project));
            QVERIFY2(diagnosis, diagnosis ? "" : diagnosis.error().message.c_str());
            QVERIFY2(!diagnosis->alarm, diagnosis->summary.c_str());
            QCOMPARE(diagnosis->frame, frame);
        }
    }

    void twoSwappedPinsAreExchanged()
    {
        Project project = newProject();
        Pin a = pinAt(project, 0, 0), b = pinAt(project, 2, 1);
        std::swap(a.peg, b.peg);
        put<Pin>(project, {a, b});
        mustBeRemedied(project, BlunderKind::SwappedPins);
        const Result<DrawingDiagnosis> diagnosis = diagnoseDrawing(project, plan(project));
        QVERIFY(diagnosis->summary.find(pegName(0, 0)) != std::string::npos);
        QVERIFY(diagnosis->summary.find(pegName(2, 1)) != std::string::npos);
    }

    void transposedDigitsAreCorrectedInTheRegisterWhereTheyWereWritten()
    {
        for (const PegFrame frame : {PegFrame::Crs, PegFrame::Site}) {
            Project project = newProject(frame);
            Peg peg = pegAt(project, 1, 2);
            const Peg sound = peg;
            // In the CRS 5800004.xxx becomes 5800040.xxx (or the like); in the site grid 102.0 becomes 120.0.
            double& value = frame == PegFrame::Site ? peg.position.east : peg.position.north;
            const double whole = std::floor(value), units = std::fmod(whole, 10),
                         tens = std::fmod(std::floor(whole / 10), 10);
            QVERIFY(units != tens);
            value += 9 * (units - tens);
            put<Peg>(project, {peg});
            mustBeRemedied(project, BlunderKind::TransposedDigits);
            const Drawing drawing = plan(project);
            const Result<DrawingDiagnosis> diagnosis = diagnoseDrawing(project, drawing);
            QVERIFY(project.act(
                "remedy", [&](Editor& edit) { return takeRemedy(edit, project, drawing, *diagnosis, 0); }));
            QVERIFY(pegAt(project, 1, 2).position == sound.position); // to the last digit
            QVERIFY(project.ofDrawing<Pin>(drawing.id) == diagnosis->pins);
            if (frame == PegFrame::Site)
                QVERIFY(remedyWords(drawing, *diagnosis, 0).find("site east") != std::string::npos);
        }
    }

    void aSlipOfTenMetresIsCorrected()
    {
        Project project = newProject();
        Peg peg = pegAt(project, 3, 0);
        peg.position.east += 10;
        put<Peg>(project, {peg});
        mustBeRemedied(project, BlunderKind::CoordinateSlip);
    }

    void exchangedEastAndNorthAreCorrected()
    {
        Project project = newProject();
        Peg peg = pegAt(project, 3, 2);
        std::swap(peg.position.east, peg.position.north);
        put<Peg>(project, {peg});
        mustBeRemedied(project, BlunderKind::EastNorthExchanged);
    }

    void aWrongPegIsTiedToTheRightOne()
    {
        Project project = newProject();
        Pin pin = pinAt(project, 0, 2);
        pin.peg = pegName(-1, 2); // no pin has it
        put<Pin>(project, {pin});
        // The rows of this grid are not parallel to the axes of the CRS.
        mustBeRemedied(project, BlunderKind::WrongPeg);
    }

    void inTheSiteGridAWrongPegIsOneOfTheSameLine()
    {
        Project project = newProject(PegFrame::Site);
        Pin pin = pinAt(project, 0, 2);
        pin.peg = pegName(-1, 2);
        put<Pin>(project, {pin});
        mustBeRemedied(project, BlunderKind::WrongPegOfLine);
    }

    void aFilmScannedFaceDownIsTurnedOver()
    {
        Project project = newProject();
        Drawing drawing = plan(project);
        drawing.model = Model::Similarity;
        put<Drawing>(project, {drawing});
        std::vector<Pin> pins = project.ofDrawing<Pin>(drawing.id);
        const Sheet sheet = project.byKey<Sheet>(drawing.sheet).value();
        for (Pin& pin : pins)
            pin.mark.column = sheet.frame.widthPx - pin.mark.column;
        put<Pin>(project, pins);
        mustBeRemedied(project, BlunderKind::MirroredFilm);
    }

    void aWrongStatedScaleIsPutRight()
    {
        Project project = newProject(PegFrame::Crs, {{.statedDenominator = 10}});
        const Drawing drawing = plan(project);
        const Result<DrawingDiagnosis> diagnosis = diagnoseDrawing(project, drawing);
        QVERIFY(diagnosis && !diagnosis->hypotheses.empty());
        QCOMPARE(diagnosis->hypotheses.front().kind, BlunderKind::WrongScale);
        QVERIFY(project.act(
            "remedy", [&](Editor& edit) { return takeRemedy(edit, project, drawing, *diagnosis, 0); }));
        QCOMPARE(plan(project).scaleDenominator, 20.0);
    }

    void howAPlanOughtToLieIsTakenFromTheOthers()
    {
        const std::vector<Plan> upright{{}, {.number = "P-02"}, {.number = "P-03"}};
        const Project project = newProject(PegFrame::Crs, upright);
        const std::optional<double> turn = usualTurnRad(project, plan(project));
        QVERIFY(turn);
        // The film's x axis follows site east, 14 degrees clockwise of east.
        QVERIFY(std::abs(*turn + 14 * 3.14159265 / 180) < 0.01);
        // One other plan says nothing, nor do plans that lie differently.
        QVERIFY(!usualTurnRad(newProject(PegFrame::Crs, {{}, {.number = "P-02"}}), plan(project)));
        QVERIFY(!usualTurnRad(
            newProject(PegFrame::Crs, {{}, {.number = "P-02"}, {.number = "P-03", .quarters = 1}}),
            plan(project)));
    }

    void aPlanThatLiesTurnedAgainstTheOthersIsTold()
    {
        for (const PegFrame frame : {PegFrame::Crs, PegFrame::Site}) {
            const Project project = newProject(
                frame, {{.quarters = 1}, {.number = "P-02"}, {.number = "P-03"}, {.number = "P-04"}});
            const Result<DrawingDiagnosis> diagnosis = diagnoseDrawing(project, plan(project));
            QVERIFY(diagnosis && diagnosis->alarm);
            QCOMPARE(blunderName(diagnosis->hypotheses.front().kind),
                     blunderName(BlunderKind::TurnedSheet));
            QVERIFY(!diagnoseDrawing(project, plan(project, "P-02"))->alarm ||
                    usualTurnRad(project, plan(project, "P-02")) == std::nullopt);
        }
    }

    void anErrorWithoutACauseIsLeftOut()
    {
        Project project = newProject();
        Pin pin = pinAt(project, 2, 0);
        pin.mark.column += 130; // 8.3 mm on the film, along neither axis of the CRS
        pin.mark.row += 57;
        put<Pin>(project, {pin});
        mustBeRemedied(project, BlunderKind::GrossError);
    }

    void aRemedyOfPinsThatHaveChangedIsRefused()
    {
        Project project = newProject();
        Pin a = pinAt(project, 0, 0), b = pinAt(project, 2, 1);
        std::swap(a.peg, b.peg);
        put<Pin>(project, {a, b});
        const Drawing drawing = plan(project);
        const Result<DrawingDiagnosis> diagnosis = diagnoseDrawing(project, drawing);
        a.mark.column += 1;
        put<Pin>(project, {a});
        const Result<Change> taken = project.act(
            "remedy", [&](Editor& edit) { return takeRemedy(edit, project, drawing, *diagnosis, 0); });
        QVERIFY(!taken && taken.error().code == ErrorCode::Conflict);
        const Result<Change> none = project.act(
            "remedy", [&](Editor& edit) { return takeRemedy(edit, project, drawing, *diagnosis, 99); });
        QVERIFY(!none && none.error().message.find("no remedy 100") != std::string::npos);
    }

    void modelsAreComparedWithoutPinsThatTheOthersContradict()
    {
        Project project = newProject();
        Pin a = pinAt(project, 0, 0), b = pinAt(project, 2, 1);
        std::swap(a.peg, b.peg);
        put<Pin>(project, {a, b});
        const Result<ModelComparison> comparison = compareModelsFor(project, plan(project));
        QVERIFY(comparison && comparison->recommended);
        QVERIFY(comparison->models[0].predictionErrorMm.value() < 0.2);
        QVERIFY2(comparison->reason.find("without " + a.peg) != std::string::npos ||
                     comparison->reason.find("without " + b.peg) != std::string::npos,
                 comparison->reason.c_str());
    }

    void modelsAreComparedOverTheDrawingsPartOfTheSheet()
    {
        const Project project = newProject();
        const Result<ModelComparison> comparison = compareModelsFor(project, plan(project));
        QVERIFY(comparison);
        QVERIFY(comparison->recommended == Model::Similarity);
        // The pins span 300 mm by 200 mm of 482.6 mm by 393.7 mm.
        QVERIFY(std::abs(comparison->extrapolationShare - (1 - 300.0 * 200 / (482.6 * 393.7))) < 0.02);
    }
};

QTEST_GUILESS_MAIN(DrawingDiagnosisTest)
#include "DrawingDiagnosisTest.moc"
