// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/ResidualReport.h"

#include <fstream>

#include <QProcess>
#include <QTemporaryDir>
#include <QTest>
#include <QXmlStreamReader>

#include <nlohmann/json.hpp>

#include "app/print/ResidualPicture.h"
#include "core/base/Csv.h"
#include "tests/app/print/Reader.h"
#include "tests/core/handover/YardProject.h"

using namespace inkpeg;

namespace fs = std::filesystem;

class ResidualReportTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<Project> m_project;
    std::optional<ProjectFigures> m_figures;

    fs::path path(const char* name) const { return m_folder.filePath(name).toStdString(); }
    QString pdfText(const char* option = "-layout") const
    {
        return run("pdftotext", {option, m_folder.filePath("report/residuals.pdf"), "-"});
    }

private slots:
    void initTestCase()
    {
        m_project.emplace(yard::make(path("yard.gpkg")));
        const Result<ProjectFigures> figures = residualFigures(*m_project);
        QVERIFY(figures);
        m_figures = *figures;
        const auto files = writeResidualReport(*m_figures, path("report"));
        QVERIFY2(files, files ? "" : files.error().message.c_str());
        QCOMPARE(files->size(), std::size_t{4});
    }

    void aDrawingWithoutPinsIsListedWithItsReason()
    {
        QCOMPARE(m_figures->drawings.size(), std::size_t{2});
        QCOMPARE(m_figures->unfitted.size(), std::size_t{1});
        QVERIFY(pdfText().contains("P-02"));
    }

    // pdfinfo and pdftotext of poppler are independent readers of PDF.
    void thePdfIsA4AndItsWordsCanBeSearched()
    {
        const QString info = run("pdfinfo", {m_folder.filePath("report/residuals.pdf")});
        QVERIFY2(info.contains("(A4)"), qPrintable(info));
        const QString text = pdfText();
        for (const char* expected :
             {"RESIDUAL REPORT", "P-01", "Kiln, pre-excavation", "WITHIN TOLERANCE", "affine", "A1", "A6",
              "check", "S-01", "Not for setting out", "Redundancy", "RMSE"})
            QVERIFY2(text.contains(expected), expected);
    }

    void thePdfIsVectorNotPixels()
    {
        const QString images = run("pdfimages", {"-list", m_folder.filePath("report/residuals.pdf")});
        QCOMPARE(images.trimmed().split('\n').size(), 2); // two lines of heading, no image
    }

    void figuresAreTheSameInEveryForm()
    {
        const nlohmann::json report = nlohmann::json::parse(slurp(path("report/residuals.json")));
        const CsvTable table = *readCsvFile(path("report/residuals.csv"));
        const QString html = QString::fromStdString(slurp(path("report/residuals.html")));
        const QString pdf = pdfText();
        std::size_t rows = 0;
        for (const nlohmann::json& drawing : report["drawings"]) {
            for (const nlohmann::json& pin : drawing["pins"]) {
                const CsvRow& row = table.rows.at(rows++);
                QCOMPARE(row.fields[*table.column("peg")], pin["peg"].get<std::string>());
                const double mm = pin["residual_mm"].get<double>();
                QVERIFY(std::abs(std::stod(row.fields[*table.column("residual_mm")]) - mm) <= 0.00051);
                const QString shown = QString::number(mm, 'f', 3);
                QVERIFY2(html.contains(shown) && pdf.contains(shown), qPrintable(shown));
            }
        }
        QCOMPARE(rows, table.rows.size());
        QCOMPARE(rows, std::size_t{9});
    }

    void theHtmlStandsAloneAndIsWellFormed()
    {
        const QString html = QString::fromStdString(slurp(path("report/residuals.html")));
        for (const char* reachingOut : {"<script", "src=", "@import", "url(", "href=\"http"})
            QVERIFY2(!html.contains(reachingOut), reachingOut);
        QXmlStreamReader svg(
            html.mid(html.indexOf("<svg"), html.indexOf("</svg>") + 6 - html.indexOf("<svg")));
        while (!svg.atEnd())
            svg.readNext();
        QVERIFY2(!svg.hasError(), qPrintable(svg.errorString()));
    }

    void hostileWordsAreEscaped()
    {
        ProjectFigures hostile = *m_figures;
        hostile.facts.title = "<script>alert(1)</script>";
        hostile.drawings[0].drawing.number = "\"><img src=x onerror=y>";
        hostile.drawings[0].ground.fit.residuals[0].peg = "<b>&";
        hostile.drawings[0].points[0].peg = "<b>&";
        const std::string html = residualHtml(hostile);
        QVERIFY(html.find("<script>alert") == std::string::npos);
        QVERIFY(html.find("<img") == std::string::npos);
        QVERIFY(html.find("&lt;b&gt;&amp;") != std::string::npos);
        QVERIFY(!residualPdf(hostile).empty());
    }

    void sameFiguresSameBytes()
    {
        QTest::qWait(1100); // past the next second of the clock that Qt would write
        QVERIFY(residualPdf(*m_figures) == slurp(path("report/residuals.pdf")));
    }

    // The arrow's length on the page is the residual at the stated scale of the arrows, and points the
    // right way.
    void arrowsAreAsLongAsTheResiduals()
    {
        const DrawingFigures& drawing = m_figures->drawings[0];
        const ResidualPicture picture = residualPicture(drawing, 178, 112);
        std::vector<const PicturePiece*> arrows;
        for (const PicturePiece& piece : picture.pieces)
            if (piece.shape == PicturePiece::Shape::Line &&
                (piece.role == PieceRole::Arrow || piece.role == PieceRole::ArrowOut ||
                 piece.role == PieceRole::ArrowCheck))
                arrows.push_back(&piece);
        QCOMPARE(arrows.size(), drawing.ground.fit.residuals.size());
        for (std::size_t i = 0; i < arrows.size(); ++i) {
            const PinResidual& residual = drawing.ground.fit.residuals[i];
            const PageMm from = arrows[i]->at[0], to = arrows[i]->at[1];
            QVERIFY(std::abs((to.x - from.x) * picture.residualMPerMm - residual.eastM) < 1e-9);
            QVERIFY(std::abs((from.y - to.y) * picture.residualMPerMm - residual.northM) < 1e-9);
        }
        for (const PicturePiece& piece : picture.pieces)
            for (const PageMm& place : piece.at)
                QVERIFY(place.x > -0.01 && place.x < 178.01 && place.y > -0.01 && place.y < 112.01);
    }

    // A peg that is kilometres off must not squeeze the others into one heap.
    void namesDoNotOverlapOnABlunderedSheet()
    {
        DrawingFigures blundered = m_figures->drawings[0];
        blundered.points[2].ground.east += 5'000;
        const Result<ControlFit> fit = fitControl(blundered.points, blundered.ground.fit.settings);
        QVERIFY(fit);
        for (const ControlFit& shown : {blundered.ground.fit, *fit}) {
            blundered.ground.fit = shown;
            const ResidualPicture picture = residualPicture(blundered, 178, 100);
            std::vector<QRectF> names;
            for (const PicturePiece& piece : picture.pieces)
                if (piece.role == PieceRole::Label) {
                    // Letters of 7.5 points are 1.5 mm wide or less, 2 mm high.
                    const QRectF box(piece.at[0].x, piece.at[0].y - 2, 1.5 * double(piece.text.size()), 2);
                    for (const QRectF& other : names)
                        QVERIFY2(!box.intersects(other), piece.text.c_str());
                    names.push_back(box);
                }
            QCOMPARE(names.size(), blundered.points.size());
        }
    }

    void theReportSaysHowTheModelWasChosenAndWhatMayBeWrong()
    {
        const QString pdf = pdfText();
        const QString html = QString::fromStdString(slurp(path("report/residuals.html")));
        for (const QString& text : {pdf, html})
            for (const char* expected : {"Comparison of models", "thin-plate spline", "advised", "Baarda",
                                         "hull of its pins", "check point"})
                QVERIFY2(text.contains(expected), expected);
        const nlohmann::json report = nlohmann::json::parse(slurp(path("report/residuals.json")));
        for (const nlohmann::json& drawing : report["drawings"]) {
            QCOMPARE(drawing["models"]["compared"].size(), std::size_t{6});
            QVERIFY(!drawing["diagnosis"]["summary"].get<std::string>().empty());
            QVERIFY(drawing["tests"]["limit_w"].get<double>() >= 3.29);
        }
    }

    // The section has six nails: too few for a polynomial, which is said in full.
    void aModelThatCannotBeFittedSaysWhy()
    {
        const QString words = pdfText("-raw").simplified();
        int said = 0;
        for (const DrawingFigures& drawing : m_figures->drawings)
            for (const ModelRow& row : modelRows(drawing))
                if (!row.whyNot.empty()) {
                    ++said;
                    const QString reason =
                        QString::fromStdString(row.cells.front() + " is not fitted: " + row.whyNot + ".");
                    QVERIFY2(words.contains(reason), qPrintable(reason));
                }
        QVERIFY(said > 0);
    }

    void eachDrawingHasAReportOfItsOwn()
    {
        const auto files = writeEachResidualReport(*m_figures, path("each"));
        QVERIFY2(files, files ? "" : files.error().message.c_str());
        QCOMPARE(files->size(), 4 * m_figures->drawings.size());
        const nlohmann::json one = nlohmann::json::parse(slurp(path("each/P-01/residuals.json")));
        QCOMPARE(one["drawings"].size(), std::size_t{1});
        QVERIFY(run("pdftotext", {m_folder.filePath("each/S-01/residuals.pdf"), "-"}).contains("S-01"));
    }

    void aDrawingOutOfToleranceIsStamped()
    {
        const Drawing plan = m_project->byKey<Drawing>("P-01").value();
        Project other = yard::make(path("moved.gpkg"));
        Pin pin = other.ofDrawing<Pin>(other.byKey<Drawing>("P-01")->id)[2];
        pin.mark.column += 60; // 3.8 mm on the film
        const Result<Change> moved = other.act("move a pin", [&](Editor& edit) { return edit.put(pin); });
        QVERIFY(moved);
        const Result<ProjectFigures> figures = residualFigures(other, {"P-01"});
        QVERIFY(figures);
        QCOMPARE(figures->drawings[0].verdict, FitVerdict::Out);
        const auto files = writeResidualReport(*figures, path("moved"));
        QVERIFY(files);
        const QString text = run("pdftotext", {"-layout", m_folder.filePath("moved/residuals.pdf"), "-"});
        QVERIFY(text.contains("OUT OF TOLERANCE"));
    }
};

QTEST_MAIN(ResidualReportTest)
#include "ResidualReportTest.moc"
