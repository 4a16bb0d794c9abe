// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/DrawingDiagnosis.h"

#include <QTemporaryDir>
#include <QTest>

using namespace inkpeg;

namespace {

/// Six crosses of a 2 m grid at 1:20 on a sheet scanned at 400 dpi; row counts from the lower left.
GroundM gridPeg(int column, int row)
{
    return {562000.0 + 2 * column, 5800000.0 + 2 * row};
}

std::string gridName(int column, int row)
{
    return "P" + std::to_string(10 * column + row);
}

} // namespace

class DrawingDiagnosisTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    /// A project with one plan; the pins at (0, 0) and (2, 1) are tied to each other's pegs.
    Result<Project> swappedProject(Drawing& drawing)
    {
        ProjectFacts facts;
        facts.siteCode = "SKR26";
        facts.title = "Skelder Rigg";
        Result<Project> project = Project::create(m_folder.filePath("swap.gpkg").toStdString(), facts);
        if (!project)
            return project;
        Sheet sheet;
        sheet.number = "14";
        sheet.frame = {6614, 4677, 400, 400, false};
        drawing.number = "P-014";
        drawing.sheet = "14";
        drawing.scaleDenominator = 20;
        drawing.frame = {{0, 0}, {6614, 0}, {6614, 4677}, {0, 4677}};
        const Result<Change> done = project->act("made", [&](Editor& editor) -> Result<void> {
            for (const Result<void>& put : {editor.put(sheet), editor.put(drawing)})
                if (!put)
                    return put;
            for (int column = 0; column < 4; ++column)
                for (int row = 0; row < 2; ++row) {
                    Peg peg;
                    peg.name = gridName(column, row);
                    peg.position = gridPeg(column, row);
                    Pin pin;
                    pin.drawing = drawing.id;
                    const bool low = column == 0 && row == 0, high = column == 2 && row == 1;
                    pin.peg = low ? gridName(2, 1) : high ? gridName(0, 0) : peg.name;
                    pin.mark = sheet.frame.toScan({40.0 + 100 * column, 60.0 + 100 * row});
                    if (const Result<void> put = editor.put(peg); !put)
                        return put;
                    if (const Result<void> put = editor.put(pin); !put)
                        return put;
                }
            return {};
        });
        if (!done)
            return done.error();
        return project;
    }

private slots:
    void twoSwappedPinsAreNamedWithTheirPegs()
    {
        Drawing drawing;
        const Result<Project> project = swappedProject(drawing);
        QVERIFY2(project, project ? "" : project.error().message.c_str());
        const Result<Diagnosis> diagnosis = diagnoseDrawing(*project, drawing);
        QVERIFY2(diagnosis, diagnosis ? "" : diagnosis.error().message.c_str());
        QVERIFY(diagnosis->alarm);
        QCOMPARE(diagnosis->hypotheses.front().kind, BlunderKind::SwappedPins);
        QVERIFY(diagnosis->summary.find(gridName(0, 0)) != std::string::npos);
        QVERIFY(diagnosis->summary.find(gridName(2, 1)) != std::string::npos);
        QCOMPARE(diagnosis->hypotheses.front().remedy.pins.size(), std::size_t(8));

        // Two rows of four pins: no polynomial of degree 2, and the drawing's frame reaches past its pins.
        const Result<ModelComparison> comparison = compareModelsFor(*project, drawing);
        QVERIFY(comparison);
        QVERIFY(!comparison->models[static_cast<std::size_t>(Model::Polynomial2)].fit);
        QVERIFY(comparison->extrapolationShare > 0.5 && comparison->extrapolationShare < 1);
    }
};

QTEST_GUILESS_MAIN(DrawingDiagnosisTest)
#include "DrawingDiagnosisTest.moc"
