// SPDX-License-Identifier: GPL-3.0-or-later
// Levels on drawings as they are written, and the points of level books that they are.
#include "core/store/SpotLevels.h"

#include <QTemporaryDir>
#include <QTest>

#include "core/store/LevelFlow.h"

using namespace inkpeg;

namespace {

bool says(const Error& error, const char* part)
{
    return error.message.find(part) != std::string::npos;
}

} // namespace

class SpotLevelsTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<Project> m_project;
    std::int64_t m_drawing = 0;

    void addLevel(double levelM)
    {
        SpotLevel spot;
        spot.drawing = m_drawing;
        spot.levelM = levelM;
        QVERIFY(m_project->act("a level", [&](Editor& edit) { return edit.put(spot); }));
    }

private slots:
    void init()
    {
        static int count = 0;
        m_project.reset();
        Result<Project> made =
            Project::create(m_folder.filePath(QString("p%1.gpkg").arg(++count)).toStdString(), {});
        QVERIFY2(made, made ? "" : made.error().message.c_str());
        m_project = std::move(made).value();
        Drawing plan;
        plan.number = "P-01";
        QVERIFY(m_project->act("a plan", [&](Editor& edit) { return edit.put(plan); }));
        m_drawing = plan.id;
        const auto reading = [](const char* point, auto set) {
            LevelReading line;
            line.point = point;
            set(line);
            return line;
        };
        LevelBook book;
        book.name = "morning";
        const Result<Change> put =
            putLevelBook(*m_project, book,
                         {reading("BM 1",
                                  [](LevelReading& line) {
                                      line.backsightM = 1.5;
                                      line.benchmarkM = 40;
                                  }),
                          reading("L12", [](LevelReading& line) { line.intermediateM = 0.247; }),
                          reading("BM 1", [](LevelReading& line) { line.foresightM = 1.5; })});
        QVERIFY2(put, put ? "" : put.error().message.c_str());
    }

    void aLevelAPointOrBothAreUnderstood()
    {
        QCOMPARE(readWrittenLevel(*m_project, " 41.25 ")->levelM, 41.25);
        QCOMPARE(readWrittenLevel(*m_project, "41.25")->point, std::string());
        QCOMPARE(readWrittenLevel(*m_project, "41.25 m")->levelM, 41.25);
        QCOMPARE(readWrittenLevel(*m_project, "41.25 m")->point, std::string());
        QCOMPARE(readWrittenLevel(*m_project, "L12")->levelM, 41.253); // 40 + 1.5 - 0.247
        QCOMPARE(readWrittenLevel(*m_project, "L12")->point, std::string("L12"));
        QCOMPARE(readWrittenLevel(*m_project, "41.31 L12")->levelM,
                 41.31); // as written: the check compares
        QCOMPARE(readWrittenLevel(*m_project, "41.31 L12")->point, std::string("L12"));
        QCOMPARE(readWrittenLevel(*m_project, "BM 1")->levelM, 40.0);
        QCOMPARE(readWrittenLevel(*m_project, "40.00  BM 1")->point, std::string("BM 1"));
    }

    void whatIsNeitherIsRefusedInWords()
    {
        QVERIFY(says(readWrittenLevel(*m_project, "L13").error(), "\"L13\" is no level and no point"));
        QVERIFY(says(readWrittenLevel(*m_project, "").error(), "write metres above the datum"));
        QVERIFY(says(readWrittenLevel(*m_project, "41.25 L13").error(), "has a point \"L13\""));
    }

    void aLevelIsWrittenAsItIsRead()
    {
        for (const char* text : {"41.25", "41.253 L12", "41.2535", "40.00 BM 1", "-0.50"}) {
            SpotLevel spot;
            const auto read = readWrittenLevel(*m_project, text);
            spot.levelM = read->levelM;
            spot.point = read->point;
            QCOMPARE(writtenLevelText(spot), std::string(text));
        }
    }

    void pointsAreListedOnceInTheirOrder()
    {
        QCOMPARE(levelledPoints(*m_project), (std::vector<std::string>{"BM 1", "L12"}));
    }

    void aLevelOnADrawingIsGivenItsPointAndIsHeldAgainstTheBook()
    {
        addLevel(41.25);
        addLevel(41.40);
        const Result<Change> named = nameSpotLevel(*m_project, "P-01", 41.25, "L12");
        QVERIFY2(named, named ? "" : named.error().message.c_str());
        QCOMPARE(m_project->ofDrawing<SpotLevel>(m_drawing)[0].point, std::string("L12"));
        LevelFlowSettings settings;
        settings.overwrite = true;
        const Result<LevelFlow> flow = carryLevels(*m_project, settings);
        QVERIFY(flow && flow->agreeing == 1); // 3 mm apart: within what is allowed
        QCOMPARE(m_project->ofDrawing<SpotLevel>(m_drawing)[0].levelM, 41.25);
        QVERIFY(m_project->undo());
        QVERIFY(m_project->ofDrawing<SpotLevel>(m_drawing)[0].point.empty());
    }

    void aLevelFarFromItsPointTakesTheLevelOfTheBookOnDemand()
    {
        addLevel(41.40);
        QVERIFY(nameSpotLevel(*m_project, "P-01", 41.40, "L12"));
        LevelFlowSettings settings;
        settings.overwrite = true;
        QVERIFY(carryLevels(*m_project, settings));
        QCOMPARE(m_project->ofDrawing<SpotLevel>(m_drawing)[0].levelM,
                 readWrittenLevel(*m_project, "L12")->levelM);
    }

    void aNamingThatCannotBeSaysWhy()
    {
        addLevel(41.25);
        addLevel(41.252);
        QVERIFY(says(nameSpotLevel(*m_project, "P-02", 41.25, "L12").error(), "is not in the register"));
        QVERIFY(says(nameSpotLevel(*m_project, "P-01", 41.30, "L12").error(),
                     "there is no level 41.30 on drawing P-01"));
        QVERIFY(says(nameSpotLevel(*m_project, "P-01", 41.25, "L12").error(), "there are 2 levels 41.25"));
        QVERIFY(says(nameSpotLevel(*m_project, "P-01", 41.25, "L13").error(), "has a point \"L13\""));
        for (const SpotLevel& spot : m_project->ofDrawing<SpotLevel>(m_drawing))
            QVERIFY(spot.point.empty());
    }
};

QTEST_GUILESS_MAIN(SpotLevelsTest)
#include "SpotLevelsTest.moc"
