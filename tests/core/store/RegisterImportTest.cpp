// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/RegisterImport.h"

#include <csignal>
#include <fstream>

#include <sys/resource.h>

#include <QBuffer>
#include <QImage>
#include <QTemporaryDir>
#include <QTest>

#include "core/store/RegisterLines.h"

using namespace inkpeg;

namespace {

constexpr const char* Contexts =
    "number,kind,trench,description,period,recorded_by,recorded_on,top,bottom,above,below,"
    "cuts,cut_by,fills,filled_by,same_as,abuts\n";

/// A scan of 40 x 30 grey pixels at 400 dpi.
QByteArray smallPng()
{
    QImage image(40, 30, QImage::Format_Grayscale8);
    image.fill(200);
    image.setDotsPerMeterX(15748); // 400 dpi
    image.setDotsPerMeterY(15748);
    QByteArray bytes;
    QBuffer buffer(&bytes);
    image.save(&buffer, "PNG");
    return bytes;
}

} // namespace

class RegisterImportTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<Project> m_project;

    std::filesystem::path path(const std::string& name) const
    {
        return m_folder.path().toStdString() + "/" + name;
    }
    std::filesystem::path write(const std::string& name, const std::string& text) const
    {
        std::filesystem::create_directories(path(name).parent_path());
        std::ofstream(path(name), std::ios::binary) << text;
        return path(name);
    }
    Result<ImportReport> take(const std::string& name, const std::string& text,
                              const ImportSettings& settings = {})
    {
        return importRegister(*m_project, write(name, text), settings);
    }
    std::string refusal(const std::string& name, const std::string& text,
                        const ImportSettings& settings = {})
    {
        const std::size_t entries = m_project->journal().size();
        const auto report = take(name, text, settings);
        return report || m_project->journal().size() != entries ? "taken in" : report.error().message;
    }

private slots:
    void init()
    {
        m_project.reset();
        std::filesystem::remove(path("p.gpkg"));
        Result<Project> project = Project::create(path("p.gpkg"), ProjectFacts());
        QVERIFY(project);
        m_project.emplace(std::move(*project));
    }

    void everyRegisterIsReadCellByCell()
    {
        const auto must = [&](const std::string& name, const std::string& text) {
            const auto report = take(name, text);
            if (!report)
                QFAIL(report.error().message.c_str());
            QCOMPARE(report->added, 1);
            QVERIFY(report->applied);
        };
        must("people.csv", "initials,name,role\nMH,Mara Hollin,supervisor\n");
        must("trenches.csv", "name,kind,limit_wkt\n1,trench,\"POLYGON ((0 0, 10 0, 10 5, 0 5, 0 0))\"\n");
        must("pegs.csv", "name,frame,east,north,level,se_east,se_north,se_level,note\n"
                         "A1,site,100.5,200.25,52.1,0.004,0.005,0.003,nail\n");
        must("drawings.csv",
             "number,kind,title,trench,sheet,scale,drawn_by,drawn_on,facing,datum,frame\n"
             "S-03,section,North face,1,14,1:10,MH,2026-05-04,NE,52.5,\"POLYGON((0 0,9 0,9 9,0 0))\"\n");
        must(
            "contexts.csv",
            std::string(Contexts) +
                "1032,fill,1,\"kiln, \"\"floor\"\"\",medieval,MH,2026-05,52.4,52.1,1030 1031,,,,1033,,,\n");
        must("finds.csv", "number,context,trench,material,description,east,north,level,se\n"
                          "SF12,1032,1,copper alloy,buckle,553000.25,6100000.5,52.3,0.03\n");
        must("samples.csv",
             "number,context,trench,kind,description,east,north,level,se\n<4>,1032,1,bulk,grain,,,,\n");
        must("timbers.csv",
             "number,context,trench,kind,east,north,top,bottom,length,diameter,lean,lean_bearing,se\n"
             "T7,1032,1,post,553001,6100002,52.0,51.0,1.1,0.2,4,270,0.02\n");
        must("photographs.csv", "number,subject,taken_on\n0117,kiln from N,2026-05-04\n");
        must("pins.csv", "drawing,peg,column,row,use\nS-03,A1,12.5,7,check\n");

        QCOMPARE(m_project->byKey<Person>("MH")->name, std::string("Mara Hollin"));
        QCOMPARE(m_project->byKey<Trench>("1")->limit.size(), std::size_t(4));
        const Peg peg = *m_project->byKey<Peg>("A1");
        QVERIFY(
            (peg == Peg{peg.id, "A1", PegFrame::Site, {100.5, 200.25}, 52.1, 0.004, 0.005, 0.003, "nail"}));
        const Drawing drawing = *m_project->byKey<Drawing>("S-03");
        QCOMPARE(drawing.kind, DrawingKind::Section);
        QCOMPARE(drawing.scaleDenominator, 10.0);
        QCOMPARE(drawing.datumM, std::optional<double>(52.5));
        QCOMPARE(drawing.frame.size(), std::size_t(3));
        const Context context = *m_project->byKey<Context>("1032");
        QCOMPARE(context.description, std::string("kiln, \"floor\""));
        QCOMPARE(context.recordedOn, std::string("2026-05"));
        QCOMPARE(m_project->all<Relation>().size(), std::size_t(3));
        QVERIFY(m_project->byKey<Find>("SF12")->position == (GroundM{553000.25, 6100000.5}));
        QVERIFY(!m_project->byKey<Sample>("4")->position);
        QCOMPARE(m_project->byKey<Sample>("4")->standardErrorM, 0.02);
        QCOMPARE(m_project->byKey<Timber>("T7")->leanBearingDegrees, std::optional<double>(270.0));
        const Pin pin = m_project->ofDrawing<Pin>(drawing.id).at(0);
        QCOMPARE(pin.use, PinUse::Check);
        QVERIFY(pin.mark == (ScanPx{12.5, 7}));
    }

    void takingInAgainMergesByNumber()
    {
        QVERIFY(take("contexts.csv",
                     std::string(Contexts) + "1,cut,1,,,,,,,2 3,,,,,,,\n2,fill,1,,,,,,,,,,,,,,\n"));
        QVERIFY(take("contexts.csv", "number,period,above\n1,medieval,3 4\n2,,\n5,,\n"));
        const Context context = *m_project->byKey<Context>("1");
        QCOMPARE(context.kind, std::string("cut")); // the column is not in the second file
        QCOMPARE(context.period, std::string("medieval"));
        QCOMPARE(m_project->byKey<Context>("2")->kind, std::string("fill"));
        QCOMPARE(m_project->all<Context>().size(), std::size_t(3));
        std::vector<std::string> others;
        for (const Relation& relation : m_project->all<Relation>())
            others.push_back(relation.context + ">" + relation.other);
        QCOMPARE(others, (std::vector<std::string>{"1>3", "1>4"}));
        const auto again = take("contexts.csv", "number,period,above\n1,medieval,4 3\n");
        QVERIFY(again);
        QCOMPARE(again->unchanged, 1);
        QVERIFY(!again->applied);
        // One act: one undo.
        QVERIFY(m_project->undo());
        QCOMPARE(m_project->all<Context>().size(), std::size_t(2));
        QCOMPARE(m_project->all<Relation>().size(), std::size_t(2));
    }

    void aDryRunTellsEachLineAndDoesNothing()
    {
        QVERIFY(take("finds.csv", "number,material\nSF1,bone\nSF2,glass\n"));
        const auto report = take("finds.csv",
                                 "number,material,east,north\nSF1,antler,,\nSF2,glass,,\nSF3,bone,,\n"
                                 "SF4,bone,5x,1\n,bone,,\nSF3,iron,,\nSF6,iron,1,\nSF7,iron\n",
                                 {.dryRun = true});
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        QCOMPARE(report->lines.size(), std::size_t(8));
        const auto is = [&](std::size_t i, ImportOutcome outcome, const char* words) {
            return report->lines[i].outcome == outcome &&
                   report->lines[i].message.find(words) != std::string::npos &&
                   report->lines[i].line == int(i) + 2;
        };
        QVERIFY(is(0, ImportOutcome::Changed, "material \"bone\" becomes \"antler\""));
        QVERIFY(is(1, ImportOutcome::Unchanged, ""));
        QVERIFY(is(2, ImportOutcome::Added, ""));
        QVERIFY(is(3, ImportOutcome::Refused, "east: \"5x\" is not metres"));
        QVERIFY(is(4, ImportOutcome::Refused, "number: is empty"));
        QVERIFY(is(5, ImportOutcome::Refused, "on line 4 already"));
        QVERIFY(is(6, ImportOutcome::Refused, "east without north"));
        QVERIFY(is(7, ImportOutcome::Refused, "2 fields, the header has 4"));
        QCOMPARE(report->refused, 5);
        QCOMPARE(m_project->all<Find>().size(), std::size_t(2));
        QCOMPARE(m_project->byKey<Find>("SF1")->material, std::string("bone"));
    }

    void refusedLinesRefuseTheFileUnlessPassedOver()
    {
        const std::string text = "number,material,level\nSF1,bone,52.1\nSF2,bone,high\n";
        const std::string words = refusal("finds.csv", text);
        QVERIFY2(words.find("line 3 (SF2): level: \"high\" is not metres") != std::string::npos,
                 words.c_str());
        QVERIFY(m_project->all<Find>().empty());
        const auto report = take("finds.csv", text, {.skipRefused = true});
        QVERIFY(report);
        QCOMPARE(report->added, 1);
        QCOMPARE(m_project->all<Find>().size(), std::size_t(1));
    }

    void wrongColumnsAreNamedWithTheNearest()
    {
        std::string words = refusal("finds.csv", "numbr,material\nSF1,bone\n");
        for (const char* part :
             {"\"number\" is missing", "number, context, trench", "nearest is \"numbr\""})
            QVERIFY2(words.find(part) != std::string::npos, words.c_str());
        words = refusal("finds.csv", "number,materal\nSF1,bone\n");
        for (const char* part : {"\"materal\" is not known", "nearest is \"material\""})
            QVERIFY2(words.find(part) != std::string::npos, words.c_str());
        words = refusal("finds.csv", "number\nSF1\n", {.columns = {{"numbre", "x"}}});
        QVERIFY2(words.find("nearest is \"number\"") != std::string::npos, words.c_str());
        words = refusal("finds.csv", "number\nSF1\n", {.columns = {{"material", "stuff"}}});
        QVERIFY2(words.find("\"stuff\" is missing") != std::string::npos, words.c_str());
    }

    void bracketsAndRangesOfTheTradeAreUnderstood()
    {
        QVERIFY(take("contexts.csv", "number,kind,filled_by\n[1030],cut,(1031)-(1033)\n"));
        QVERIFY(m_project->byKey<Context>("1030"));
        std::string others;
        for (const Relation& relation : m_project->all<Relation>())
            others += relation.other + " ";
        QCOMPARE(others, std::string("1031 1032 1033 "));
        QVERIFY(take("finds.csv", "number,context\nSF1,(1031)\n"));
        QCOMPARE(m_project->byKey<Find>("SF1")->context, std::string("1031"));
    }

    void aWriteThatFailsLeavesThingsAsTheyWere()
    {
        QVERIFY(take("finds.csv", "number,material\nSF1,bone\n"));
        std::string text = "number,description\n";
        for (int i = 2; i < 2000; ++i)
            text += "SF" + std::to_string(i) + "," + std::string(1000, 'x') + "\n";
        const std::filesystem::path csv = write("finds.csv", text);
        // The system refuses to let files grow past a limit, as a full disk would.
        std::signal(SIGXFSZ, SIG_IGN);
        rlimit unlimited{};
        QCOMPARE(getrlimit(RLIMIT_FSIZE, &unlimited), 0);
        const rlimit tight{200'000, unlimited.rlim_max};
        QCOMPARE(setrlimit(RLIMIT_FSIZE, &tight), 0);
        const auto failed = importRegister(*m_project, csv);
        QCOMPARE(setrlimit(RLIMIT_FSIZE, &unlimited), 0);
        QVERIFY(!failed);
        QVERIFY(failed.error().code == ErrorCode::OutOfSpace || failed.error().code == ErrorCode::System);
        QCOMPARE(m_project->all<Find>().size(), std::size_t(1));
        const auto again = importRegister(*m_project, csv);
        QVERIFY2(again, again ? "" : again.error().message.c_str());
        QCOMPARE(m_project->all<Find>().size(), std::size_t(1999));
    }

    void aSitesOwnColumnsAreMapped()
    {
        const auto report =
            take("smallfinds-2026.csv", "SF No;Stuff;X;Y;Remark\nSF1;Bein;12,5;7,25;x\n",
                 {.kind = RegisterKind::Finds,
                  .columns = {{"number", "sf no"}, {"material", "Stuff"}, {"east", "X"}, {"north", "Y"}},
                  .passOver = {"remark"}});
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        QCOMPARE(report->reading, std::string("UTF-8, semicolon between the fields"));
        QVERIFY(m_project->byKey<Find>("SF1")->position == (GroundM{12.5, 7.25}));
    }

    void aMappingOnceGivenIsRemembered()
    {
        const ImportSettings mapped{.kind = RegisterKind::Finds,
                                    .columns = {{"number", "SF No"}, {"material", "Stuff"}}};
        QVERIFY(take("a.csv", "SF No,Stuff\nSF1,bone\n", mapped));
        const auto again = take("a.csv", "SF No,Stuff\nSF2,horn\n", {.kind = RegisterKind::Finds});
        QVERIFY2(again, again ? "" : again.error().message.c_str());
        QCOMPARE(again->remarks.size(), std::size_t(2));
        QCOMPARE(m_project->byKey<Find>("SF2")->material, std::string("horn"));
        // A file with the register's own names needs none of it.
        const auto plain = take("finds.csv", "number,material\nSF3,iron\n");
        QVERIFY(plain && plain->remarks.empty());
        QCOMPARE(m_project->all<ColumnMatch>().size(), std::size_t(2));
    }

    void registersWrittenAreTakenInAgainTheSame()
    {
        write("film/14.png", smallPng().toStdString());
        const std::pair<const char*, std::string> files[] = {
            {"people.csv", "initials,name,role\nMH,\"Hollin, Mara\",=lead\n"},
            {"trenches.csv",
             "name,kind,limit_wkt\n1,trench,\"POLYGON ((0 0, 10 0, 10 5.25, 0 5, 0 0))\"\n"},
            {"pegs.csv",
             "name,frame,east,north,level,se_east,se_north,se_level,note\n"
             "A,site,100.5,200.25,52.1,0.004,0.005,0.003,-x\nB,crs,553000.1,6100000.2,,0.01,0.01,,\n"},
            {"sheets.csv",
             "number,film_size,scan,dpi,face_down\n14,A3,film/14.png,400,yes\n15,A2,,400,no\n"},
            {"drawings.csv", "number,kind,title,trench,sheet,scale,drawn_by,drawn_on,facing,datum,frame\n"
                             "S-03,section,\"N \"\"face\"\"\",1,14,10,MH,2026-05-04,NE,-2.5,\"POLYGON((0 "
                             "0,9 0,9 9,0 0))\"\n"},
            {"contexts.csv",
             std::string(Contexts) +
                 "1032,fill,1,@x,,MH,,52.4,,1030 1031,,,,1033,,,\n1033,cut,1,,,,,,,,,,,,1032,,\n"},
            {"finds.csv", "number,context,trench,material,description,east,north,level,se\nSF1,1032,1,bone,"
                          ",0.1,0.7,52.3,0.03\n"},
            {"samples.csv", "number,context,trench,kind,description,east,north,level,se\n<4>,1032,1,bulk,"
                            "K\xC3\xB6rner,,,,\n"},
            {"timbers.csv",
             "number,context,trench,kind,east,north,top,bottom,length,diameter,lean,lean_bearing,se\n"
             "T7,1032,1,post,1,2,52.0,51.0,1.1,0.2,4,270,0.02\n"},
            {"photographs.csv", "number,subject,taken_on\n0117,\"kiln\nfrom N\",2026-05-04\n"},
            {"pins.csv", "drawing,peg,column,row,use\nS-03,A,12.5,7,check\n"},
            {"levels.csv", "point,backsight,intermediate,foresight,benchmark,booked,note\n"
                           "BM,1.5,,,50,,cover\nA,,1.25,,,50.25,\nBM,,,1.5,50,,\n"}};
        for (const auto& [name, text] : files) {
            const auto report = take(name, text);
            QVERIFY2(report, report ? "" : report.error().message.c_str());
        }
        std::map<RegisterKind, std::string> written;
        for (const RegisterKind kind : allRegisters())
            written[kind] = registerCsv(*m_project, kind);
        QVERIFY(written[RegisterKind::People].find("'=lead") != std::string::npos);
        // Into an empty project, then over itself.
        init();
        for (const ImportOutcome outcome : {ImportOutcome::Added, ImportOutcome::Unchanged})
            for (const RegisterKind kind : allRegisters()) {
                const auto report = take(registerName(kind) + ".csv", written[kind]);
                QVERIFY2(report, report ? "" : report.error().message.c_str());
                for (const ImportLine& line : report->lines)
                    QVERIFY2(line.outcome == outcome, (registerName(kind) + ": " + line.message).c_str());
                QCOMPARE(QString::fromStdString(registerCsv(*m_project, kind)),
                         QString::fromStdString(written[kind]));
            }
    }

    void emptyAndForeignFilesAreRefused()
    {
        QVERIFY(refusal("finds.csv", "").find("finds.csv: empty") != std::string::npos);
        QVERIFY(refusal("finds.csv", "number,material\n").find("holds no lines") != std::string::npos);
        QVERIFY(refusal("stuff.csv", "number\n1\n").find("which register") != std::string::npos);
        QVERIFY(refusal("finds.csv", std::string("number\nSF1\0\n", 12)).find("line 2, character 4") !=
                std::string::npos);
        QCOMPARE(importRegister(*m_project, path("none.csv"), {.kind = RegisterKind::Finds}).error().code,
                 ErrorCode::NotFound);
    }

    void badCellsSayWhatWouldBeRight_data()
    {
        QTest::addColumn<QString>("file");
        QTest::addColumn<QString>("text");
        QTest::addColumn<QString>("says");
        const auto row = [](const char* name, const char* file, const char* text, const char* says) {
            QTest::newRow(name) << file << text << says;
        };
        row("date", "photographs.csv", "number,taken_on\n1,04.05.2026\n", "a date such as 2026-05-04");
        row("day 31", "photographs.csv", "number,taken_on\n1,2026-02-31\n", "a date such as 2026-05-04");
        row("scale", "drawings.csv", "number,kind,scale\n1,plan,2:20\n", "a scale such as 20 or 1:20");
        row("no scale", "drawings.csv", "number,kind,scale\n1,plan,\n", "scale: is empty");
        row("kind", "drawings.csv", "number,kind,scale\n1,map,20\n",
            "none of plan, section, elevation, profile");
        row("facing", "drawings.csv", "number,kind,scale,facing\n1,section,20,up\n",
            "a point of the compass");
        row("frame", "drawings.csv", "number,kind,scale,frame\n1,plan,20,\"POLYGON ((0 0, 1 1, 0 0))\"\n",
            "three corners");
        row("open", "trenches.csv", "name,limit_wkt\n1,\"POLYGON ((0 0, 1 0, 1 1))\"\n",
            "fewer than three corners");
        row("not closed", "trenches.csv", "name,limit_wkt\n1,\"POLYGON ((0 0, 1 0, 1 1, 0 1))\"\n",
            "does not end where");
        row("no area", "trenches.csv", "name,limit_wkt\n1,\"POLYGON ((0 0, 1 0, 2 0, 0 0))\"\n", "no area");
        row("hole", "trenches.csv", "name,limit_wkt\n1,\"POLYGON ((0 0,9 0,9 9,0 0),(1 1,2 1,2 2,1 1))\"\n",
            "more than one ring");
        row("negative error", "pegs.csv", "name,east,north,se_east\nA,1,2,-0.01\n", "nought or more");
        row("itself", "contexts.csv", "number,above\n1,2 1\n", "names itself");
        row("no peg", "pins.csv", "drawing,peg,column,row\nP,A,1,2\n", "no drawing \"P\"");
        row("no scan", "sheets.csv", "number,scan\n14,film/none.tif\n", "there is no scan film/none.tif");
        row("bearing", "timbers.csv", "number,lean_bearing\nT1,400\n", "0 to 360");
    }
    void badCellsSayWhatWouldBeRight()
    {
        QFETCH(QString, file);
        QFETCH(QString, text);
        QFETCH(QString, says);
        const std::string words = refusal(file.toStdString(), text.toStdString());
        QVERIFY2(words.find(says.toStdString()) != std::string::npos, words.c_str());
        QVERIFY2(words.find(file.toStdString() + ", line 2") != std::string::npos, words.c_str());
    }

    void signedOffRecordsAreNotOverwritten()
    {
        QVERIFY(take("contexts.csv", "number,kind\n1,cut\n"));
        QVERIFY(m_project->act("sign", [&](Editor& edit) {
            Context context = *m_project->byKey<Context>("1");
            context.stage = Stage::SignedOff;
            return edit.put(context);
        }));
        QVERIFY(refusal("contexts.csv", "number,kind\n1,fill\n").find("signed off") != std::string::npos);
        QVERIFY(refusal("contexts.csv", "number,above\n1,2\n").find("signed off") != std::string::npos);
        QVERIFY(take("contexts.csv", "number,kind\n1,cut\n"));
    }

    void sheetsFindTheirScanAndDrawingsBecomeScanned()
    {
        const QByteArray png = smallPng();
        write("film/14.png", png.toStdString());
        QVERIFY(take("drawings.csv", "number,kind,scale,sheet\nP-1,plan,20,14\nP-2,plan,20,15\n"));
        QCOMPARE(m_project->byKey<Drawing>("P-1")->stage, Stage::Listed);
        const auto report = take("registers/sheets.csv",
                                 "number,film_size,scan,dpi,face_down\n14,A3,film/14.png,400,yes\n");
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        const Sheet sheet = *m_project->byKey<Sheet>("14");
        QCOMPARE(sheet.scanFile, std::string("film/14.png"));
        QCOMPARE(sheet.scanSha256.size(), std::size_t(64));
        QCOMPARE(sheet.frame.widthPx, 40.0);
        QCOMPARE(sheet.frame.heightPx, 30.0);
        QVERIFY(std::abs(sheet.frame.dpiX - 400) < 0.01); // PNG keeps whole pixels per metre
        QVERIFY(sheet.frame.faceDown);
        QCOMPARE(scanPath(*m_project, sheet), path("film/14.png"));
        QCOMPARE(m_project->byKey<Drawing>("P-1")->stage, Stage::Scanned);
        QCOMPARE(m_project->byKey<Drawing>("P-2")->stage, Stage::Listed);
        QVERIFY(take("drawings.csv", "number,kind,scale,sheet\nP-3,plan,20,14\n"));
        QCOMPARE(m_project->byKey<Drawing>("P-3")->stage, Stage::Scanned);

        // Taken in again: nothing. With other content: said. With another resolution: the register's, said.
        const auto again = take("registers/sheets.csv",
                                "number,film_size,scan,dpi,face_down\n14,A3,film/14.png,400,yes\n");
        QVERIFY(again);
        QCOMPARE(again->unchanged, 1);
        const auto other = take("registers/sheets.csv", "number,scan,dpi\n14,film/14.png,300\n");
        QVERIFY(other);
        QCOMPARE(other->remarks.size(), std::size_t(1));
        QCOMPARE(m_project->byKey<Sheet>("14")->frame.dpiX, 300.0);

        write("film/15.tif", "this is a text");
        write("film/16.png", png.left(png.size() / 2).toStdString());
        QVERIFY(refusal("sheets.csv", "number,scan\n15,film/15.tif\n").find("15.tif") != std::string::npos);
        QVERIFY(refusal("sheets.csv", "number,scan\n16,film/16.png\n").find("16.png") != std::string::npos);
        QVERIFY(m_project->all<Sheet>().size() == 1);
    }

    /// Three pins determine an affine fit without a pin to spare: nothing tells whether they are right.
    void pinsThatHoldAFitMakeTheDrawingPinned()
    {
        write("film/14.png", smallPng().toStdString());
        QVERIFY(take("sheets.csv", "number,scan\n14,film/14.png\n"));
        QVERIFY(take("drawings.csv", "number,kind,scale,sheet\nP-1,plan,20,14\n"));
        QVERIFY(take("pegs.csv", "name,east,north\nA,0,0\nB,10,0\nC,10,10\nD,0,10\n"));
        QVERIFY(take("pins.csv", "drawing,peg,column,row\nP-1,A,0,30\nP-1,B,30,30\n"));
        QCOMPARE(m_project->byKey<Drawing>("P-1")->stage, Stage::Scanned);
        QVERIFY(take("pins.csv", "drawing,peg,column,row,use\nP-1,C,30,0,fit\nP-1,D,0,0,check\n"));
        QCOMPARE(m_project->byKey<Drawing>("P-1")->stage, Stage::Scanned);
        QVERIFY(take("pins.csv", "drawing,peg,column,row,use\nP-1,D,0,0,fit\n"));
        QCOMPARE(m_project->byKey<Drawing>("P-1")->stage, Stage::Pinned);
        QVERIFY(refusal("pins.csv", "drawing,peg,column,row\nP-1,A,41,3\n").find("off the scan") !=
                std::string::npos);
        QVERIFY(refusal("pins.csv", "drawing,peg,column,row\nP-1,Z,4,3\n").find("no peg \"Z\"") !=
                std::string::npos);
        const auto moved = take("pins.csv", "drawing,peg,column,row\nP-1,A,1,29\n");
        QVERIFY(moved);
        QCOMPARE(moved->changed, 1);
        QCOMPARE(m_project->all<Pin>().size(), std::size_t(4));
    }

    void aHundredThousandFindsAreTakenInAtOnce()
    {
        std::string text = "number,context,material,east,north,level\n";
        for (int i = 0; i < 100'000; ++i)
            text += "SF" + std::to_string(i) + "," + std::to_string(i % 997) + ",bone," +
                    std::to_string(i % 400) + "," + std::to_string(i / 400) + ",52.1\n";
        const auto report = take("finds.csv", text);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        QCOMPARE(report->added, 100'000);
        QCOMPARE(m_project->all<Find>().size(), std::size_t(100'000));
    }

    /// The site grid is related to the CRS by pegs that are known in both frames.
    void aPegMayBeGivenOnceInEachFrame()
    {
        const std::string header = "name,frame,east,north,level,se_east,se_north,se_level,note\n";
        const std::string both = "G1,crs,553000,6203000,,0.002,0.002,,\nG1,site,100,200,,0.002,0.002,,\n";
        const Result<ImportReport> report = take("pegs.csv", header + both);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        QCOMPARE(report->added, 2);
        const std::string twice = "G2,site,100,200,,0.002,0.002,,\nG2,site,101,200,,0.002,0.002,,\n";
        const std::string message = refusal("pegs.csv", header + twice);
        QVERIFY2(message.find("G2") != std::string::npos, message.c_str());
    }
};

QTEST_GUILESS_MAIN(RegisterImportTest)
#include "RegisterImportTest.moc"
