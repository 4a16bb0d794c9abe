// SPDX-License-Identifier: GPL-3.0-or-later
// Does the program take in the demo's registers whole, and tie its drawings to the ground as the truth has
// them?
#include <QTemporaryDir>
#include <QTest>
#include <gdal_priv.h>

#include "core/store/DrawingFit.h"
#include "core/store/RegisterImport.h"
#include "samples/generator/Demo.h"
#include "samples/generator/Draughting.h"
#include "samples/generator/Film.h"
#include "samples/generator/Registers.h"

using namespace inkpeg;

class DemoRegistersTest : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    const demo::Demo m_demo = demo::skelderRigg(60);
    std::optional<Project> m_project;

private slots:
    void initTestCase()
    {
        GDALAllRegister();
        const std::filesystem::path folder = m_folder.path().toStdString();
        std::filesystem::create_directories(folder / "film");
        QCOMPARE(demo::writeRegisters(m_demo, folder / "registers"), std::string());
        for (const demo::SheetPlan& sheet : m_demo.sheets) {
            demo::Pencil pencil(sheet.map, 1);
            demo::draughtSheet(m_demo, sheet, pencil);
            QCOMPARE(
                demo::writeScan(sheet, demo::exposeSheet(sheet, pencil.graphite()), folder / sheet.file),
                std::string());
        }
        ProjectFacts facts;
        facts.siteCode = "SKR26";
        facts.title = "Skelder Rigg";
        Result<Project> project = Project::create(folder / "demo.gpkg", facts);
        QVERIFY2(project, project ? "" : project.error().message.c_str());
        m_project.emplace(std::move(project).value());
    }

    void everyLineOfEveryRegisterIsTakenIn()
    {
        for (const char* name : {"people", "trenches", "pegs", "sheets", "drawings", "contexts", "finds",
                                 "samples", "timbers", "photographs", "pins"}) {
            const auto csv = std::filesystem::path(m_folder.path().toStdString()) / "registers" /
                             (std::string(name) + ".csv");
            const Result<ImportReport> report = importRegister(*m_project, csv);
            QVERIFY2(report, report ? "" : report.error().message.c_str());
            QCOMPARE(report->refused, 0);
            QVERIFY(report->added > 0);
        }
        QCOMPARE(m_project->all<Peg>().size(), m_demo.pegs.size());
        QCOMPARE(m_project->all<Find>().size(), m_demo.finds.size());
        QCOMPARE(m_project->all<Pin>().size(), m_demo.pins.size());
    }

    void takingThePegsInAgainChangesNothing()
    {
        const auto csv = std::filesystem::path(m_folder.path().toStdString()) / "registers/pegs.csv";
        const Result<ImportReport> report = importRegister(*m_project, csv);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        QCOMPARE(report->added + report->changed + report->refused, 0);
    }

    /// Truth: the generator's own map, which shares no code with the fit.
    void fittedDrawingsLieWhereTheTruthHasThem()
    {
        for (const demo::DrawingPlan& plan : m_demo.drawings) {
            if (plan.upright() || plan.number == "P-02" ||
                plan.number == "P-05") // those two have planted faults
                continue;
            const std::optional<Drawing> drawing = m_project->byKey<Drawing>(plan.number);
            QVERIFY(drawing);
            const Result<DrawingGround> ground = groundOfDrawing(*m_project, *drawing);
            QVERIFY2(ground, ground ? "" : ground.error().message.c_str());
            const demo::SheetMap& map = m_demo.sheetOf(plan).map;
            double worstMm = 0;
            for (const demo::DrawnOutline& outline : plan.outlines)
                for (const demo::Metres& vertex : outline.ring) {
                    const GroundM fitted = ground->toGround(map.toScan(plan.toFilm(vertex)));
                    worstMm =
                        std::max(worstMm, filmMmFromGroundM(distance(fitted, demo::groundOfSite(vertex)),
                                                            plan.scale));
                }
            // Cockle up to 0.3 mm, pegs 0.08 mm and pins 0.1 mm averaged over the fit.
            QVERIFY2(worstMm < 0.4,
                     qPrintable(QString::fromStdString(plan.number) + QString(": %1 mm").arg(worstMm)));
        }
    }
};

QTEST_GUILESS_MAIN(DemoRegistersTest)
#include "DemoRegistersTest.moc"
