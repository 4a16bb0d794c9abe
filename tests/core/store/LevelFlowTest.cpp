// SPDX-License-Identifier: GPL-3.0-or-later
// Level books in the project: taken in whole or not at all, reduced, carried to the records of their points
// and back by undo; what disagrees is named.
#include "core/store/LevelFlow.h"

#include <fstream>
#include <random>

#include <QTemporaryDir>
#include <QTest>

#include "core/base/Csv.h"
#include "core/checks/Checks.h"
#include "core/store/LoadRecords.h"
#include "core/store/RegisterImport.h"

using namespace inkpeg;

namespace {

bool says(const std::string& text, const char* part)
{
    return text.find(part) != std::string::npos;
}

} // namespace

class LevelFlowTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<Project> m_project;
    int m_count = 0;

    std::filesystem::path write(const char* name, const std::string& text)
    {
        const std::filesystem::path file = m_folder.filePath(name).toStdString();
        std::ofstream(file, std::ios::binary) << text;
        return file;
    }

    /// A loop from BM 1 and back over one change point; closes by 2 mm with two set-ups.
    std::filesystem::path goodBook()
    {
        return write("levels.csv", "point,backsight,intermediate,foresight,benchmark,note\n"
                                   "BM 1,1.500,,,50.000,cover\n"
                                   "N1,,1.250,,,\n"
                                   "datum S-01,,1.000,,,\n"
                                   "CP,1.400,,1.300,,\n"
                                   "SF 12,,1.350,,,\n"
                                   "spot 3,,0.900,,,\n"
                                   "T-4,,1.050,,,\n"
                                   "BM 1,,,1.598,50.000,\n");
    }

    template<typename Record>
    std::int64_t put(Record record)
    {
        const Result<Change> done = m_project->act("put", [&](Editor& edit) { return edit.put(record); });
        if (!done)
            qFatal("%s", done.error().message.c_str());
        return record.id;
    }

private slots:
    void init()
    {
        m_project.reset();
        Result<Project> made =
            Project::create(m_folder.filePath(QString("p%1.gpkg").arg(++m_count)).toStdString(), {});
        QVERIFY2(made, made ? "" : made.error().message.c_str());
        m_project = std::move(made).value();
    }

    void aBookIsTakenInWholeAndASecondTimeChangesNothing()
    {
        const Result<ImportReport> report = importRegister(*m_project, goodBook());
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        QCOMPARE(report->added, 8);
        QVERIFY(says(report->remarks.at(0), "arithmetic check holds"));
        QVERIFY(says(report->remarks.at(0), "BM 1 to BM 1 miscloses by 2.0 mm, allowed 7.1 mm"));
        const Result<ImportReport> again = importRegister(*m_project, goodBook());
        QCOMPARE(again->unchanged, 8);
        QVERIFY(!again->applied);
        QVERIFY(m_project->undo());
        QVERIFY(m_project->all<LevelReading>().empty() && m_project->all<LevelBook>().empty());
    }

    void shortHeadsAndSemicolonsAreRead()
    {
        const auto file = write("levels.csv", "point;bs;is;fs;known\n"
                                              "BM;1,500;;;50,000\nA;;1,250;;\nBM;;;1,500;50,000\n");
        const Result<ImportReport> report = importRegister(*m_project, file);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        QCOMPARE(reducedBooks(*m_project)[0].second->levelOfM("A"), std::optional(50.25));
    }

    void brokenBooksAreRefusedByLineAndLeaveNothing()
    {
        struct Broken {
            const char* text;
            const char* words;
        };
        for (const Broken& broken :
             {Broken{"point,backsight,intermediate,foresight,benchmark\nBM,1.5,,,50\nA,,x,,\nBM,,,1.5,50\n",
                     "line 3 (A): intermediate: \"x\" is not metres"},
              {"point,backsight,intermediate,foresight,benchmark\nBM,1.5,,,50\nA,,,1.2,\nBM,,,1.5,50\n",
               "line 3 (A): levels: level book, line 3, point \"A\": a foresight and no backsight"},
              {"point,backsight,intermediate,foresight,benchmark\nBM,1.5,,,\nA,,1.2,,\nBM,,,1.5,\n",
               "no bench mark"},
              {"point,backsight,intermediate,foresight,benchmark\nBM,1500,,,50\nA,,1.2,,\nBM,,,1.5,50\n",
               "\"1500\" is not metres on the staff"}}) {
            const Result<ImportReport> report =
                importRegister(*m_project, write("levels.csv", broken.text));
            QVERIFY(!report);
            QVERIFY2(says(report.error().message, broken.words), report.error().message.c_str());
            QVERIFY(m_project->all<LevelReading>().empty());
            QVERIFY(m_project->journal().empty());
        }
        const Result<ImportReport> noColumns =
            importRegister(*m_project, write("levels.csv", "a,b\n1,2\n"));
        QVERIFY(!noColumns && says(noColumns.error().message, "the column \"point\" is missing"));
    }

    void levelsGoToPegsDatumsSpotHeightsFindsAndTimbersAsOneActThatCanBeUndone()
    {
        QVERIFY(importRegister(*m_project, goodBook()));
        Peg nail;
        nail.name = "N1";
        put(nail);
        Drawing section;
        section.number = "S-01";
        section.kind = DrawingKind::Section;
        const std::int64_t drawing = put(section);
        SpotLevel spot;
        spot.drawing = drawing;
        spot.point = "spot 3";
        spot.levelM = 99; // as misread from the film
        put(spot);
        Find find;
        find.number = "SF 12";
        put(find);
        Timber timber;
        timber.number = "T-4";
        timber.topM = 50.05;
        put(timber);

        // By hand: collimation 51.500 then 50.200 + 1.400 = 51.600; misclosure 50.002 - 50.000 = 2 mm, so
        // -1 mm for each set-up.
        const std::size_t acts = m_project->journal().size();
        Result<LevelFlow> flow = carryLevels(*m_project, {});
        QVERIFY2(flow, flow ? "" : flow.error().message.c_str());
        QCOMPARE(flow->carried.size(), std::size_t(3)); // peg, datum and find had none
        QCOMPARE(flow->conflicts.size(), std::size_t(2));
        QCOMPARE(m_project->journal().size(), acts + 1);
        QCOMPARE(*m_project->byKey<Peg>("N1")->levelM, 50.249);
        QCOMPARE(*m_project->byKey<Drawing>("S-01")->datumM, 50.499);
        QCOMPARE(*m_project->byKey<Find>("SF 12")->levelM, 50.248);
        QCOMPARE(m_project->all<SpotLevel>()[0].levelM, 99.0);
        for (const LevelUse& use : flow->conflicts)
            QVERIFY2(says(use.inWords(), "mm apart, allowed are"), use.inWords().c_str());

        // The tally names what disagrees.
        const Result<ProjectRecords> records = loadRecords(*m_project);
        int named = 0;
        for (const Matter& matter : runChecks(*records))
            named += matter.check == "levels disagree" ? 1 : 0;
        QCOMPARE(named, 2);

        flow = carryLevels(*m_project, {.overwrite = true});
        QCOMPARE(flow->carried.size(), std::size_t(2));
        QVERIFY(std::abs(m_project->all<SpotLevel>()[0].levelM - 50.698) < 1e-9);
        QVERIFY(std::abs(*m_project->byKey<Timber>("T-4")->topM - 50.548) < 1e-9);
        QCOMPARE(carryLevels(*m_project, {})->agreeing, 5);
        QVERIFY(m_project->undo());
        QCOMPARE(m_project->all<SpotLevel>()[0].levelM, 99.0);
        QVERIFY(m_project->undo());
        QVERIFY(!m_project->byKey<Peg>("N1")->levelM);
    }

    void theDatumOfASignedOffSectionStays()
    {
        QVERIFY(importRegister(*m_project, goodBook()));
        Drawing section;
        section.number = "S-01";
        section.kind = DrawingKind::Section;
        section.stage = Stage::SignedOff;
        put(section);
        const Result<LevelFlow> flow = carryLevels(*m_project, {.overwrite = true});
        QVERIFY(flow->carried.empty());
        QCOMPARE(flow->conflicts.size(), std::size_t(1));
    }

    void aBookThatMisclosesIsAMatterOfTheTally()
    {
        const auto file = write("levels.csv", "point,backsight,intermediate,foresight,benchmark\n"
                                              "BM,1.5,,,50\nA,,1.2,,\nBM,,,1.52,50\n");
        QVERIFY(importRegister(*m_project, file));
        bool found = false;
        for (const Matter& matter : runChecks(loadRecords(*m_project).value()))
            found = found || (matter.check == "level book does not close" &&
                              says(matter.words, "misclose by -20.0 mm, allowed are 5.0 mm"));
        QVERIFY(found);
        // k is editable and kept.
        LevelBook book = m_project->all<LevelBook>()[0];
        book.toleranceK = 25;
        put(book);
        for (const Matter& matter : runChecks(loadRecords(*m_project).value()))
            QVERIFY(matter.check != "level book does not close");
    }

    void aBookTypedInIsReducedBeforeItIsKept()
    {
        LevelBook book;
        book.name = "evening";
        std::vector<LevelReading> readings(2);
        readings[0].point = "BM";
        readings[0].backsightM = 1.2;
        readings[0].benchmarkM = 50;
        readings[1].point = "A";
        readings[1].intermediateM = 1.1; // a run must end with a foresight
        QVERIFY(!putLevelBook(*m_project, book, readings));
        QVERIFY(m_project->all<LevelBook>().empty());
        readings[1].intermediateM.reset();
        readings[1].foresightM = 1.1;
        QVERIFY(putLevelBook(*m_project, book, readings));
        readings[1].foresightM = 1.0;
        QVERIFY(putLevelBook(*m_project, book, readings));
        QCOMPARE(m_project->all<LevelReading>().size(), std::size_t(2));
        QCOMPARE(reducedBooks(*m_project)[0].second->levelOfM("A"), std::optional(50.2));
    }

    /// What is taken in comes out again the same.
    void aBookSurvivesItsOwnRegister()
    {
        QVERIFY(importRegister(*m_project, goodBook()));
        std::vector<LevelReading> before = m_project->all<LevelReading>();
        QCOMPARE(before.size(), std::size_t(8));
        QCOMPARE(before[3].point, std::string("CP"));
        QCOMPARE(before[3].backsightM, std::optional(1.4));
        QCOMPARE(before[3].foresightM, std::optional(1.3));
        QCOMPARE(before[3].line, 4);
    }
};

QTEST_GUILESS_MAIN(LevelFlowTest)
#include "LevelFlowTest.moc"
