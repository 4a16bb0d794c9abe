// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/PlanSheet.h"

#include <cmath>
#include <fstream>

#include <QImage>
#include <QPainter>
#include <QProcess>
#include <QSvgRenderer>
#include <QTemporaryDir>
#include <QTest>
#include <QXmlStreamReader>

#include "app/print/PlanField.h"
#include "core/handover/FeatureLayers.h"
#include "tests/app/print/Reader.h"
#include "tests/core/handover/DemoProject.h"
#include "tests/core/handover/YardProject.h"

using namespace inkpeg;

namespace fs = std::filesystem;

namespace {

constexpr const char* At = "2026-07-01T12:00:00.000Z";

void spill(const QString& file, const std::string& bytes)
{
    std::ofstream(file.toStdString(), std::ios::binary) << bytes;
}

/// The first and last column that is darker than middle grey in a row of an image.
std::pair<int, int> darkColumns(const QImage& image, int row)
{
    int first = -1, last = -1;
    for (int x = 0; x < image.width(); ++x)
        if (qGray(image.pixel(x, row)) < 128) {
            first = first < 0 ? x : first;
            last = x;
        }
    return {first, last};
}

/// Share of the pixels of two pictures of one page that differ strongly even from their neighbours'.
double difference(const QImage& a, const QImage& b)
{
    int differing = 0;
    for (int y = 1; y + 1 < a.height(); ++y)
        for (int x = 1; x + 1 < a.width(); ++x) {
            const int there = qGray(a.pixel(x, y));
            int nearest = 255;
            for (int dy = -1; dy <= 1; ++dy)
                for (int dx = -1; dx <= 1; ++dx)
                    nearest = std::min(nearest, std::abs(there - qGray(b.pixel(x + dx, y + dy))));
            differing += nearest > 96 ? 1 : 0;
        }
    return static_cast<double>(differing) / (a.width() * a.height());
}

} // namespace

class PlanSheetTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<Project> m_yard, m_demo;
    DrawnWork m_yardWork, m_demoWork;
    SheetWords m_words{"SKR26", "Skelder Rigg: kiln & <malting> yard", "EPSG:25832", "DHHN2016", At};

    QString path(const char* name) const { return m_folder.filePath(name); }

    PlanSheet sheetOf(const SheetContent& content, const SheetSettings& settings) const
    {
        const Result<PlanSheet> sheet = planSheet(content, m_words, settings);
        if (!sheet)
            qFatal("%s", sheet.error().message.c_str());
        return *sheet;
    }
    SheetContent yardPlan() const { return *planContent(*m_yard, m_yardWork, {}); }

    /// A page drawn by poppler at 600 dpi, from the PDF.
    QImage drawnByPoppler(const std::string& pdf, const char* name, int dpi, const QRect& cropPx = {}) const
    {
        spill(path(name), pdf);
        QStringList arguments{"-r", QString::number(dpi), "-gray", "-png", "-singlefile"};
        if (!cropPx.isNull())
            arguments << "-x" << QString::number(cropPx.x()) << "-y" << QString::number(cropPx.y()) << "-W"
                      << QString::number(cropPx.width()) << "-H" << QString::number(cropPx.height());
        run("pdftoppm", arguments << path(name) << path(name));
        return QImage(path(name) + ".png");
    }

private slots:
    void initTestCase()
    {
        m_yard.emplace(yard::make(path("yard.gpkg").toStdString()));
        m_yardWork = gatherDrawnWork(*m_yard)->work;
        m_demo.emplace(demoproject::make(path("demo.gpkg").toStdString()));
        m_demoWork = gatherDrawnWork(*m_demo)->work;
    }

    // Poppler draws the PDF; the bar's ends are found in the picture. A pixel is 0.021 mm.
    void theScaleBarInThePdfIsAsLongAsItsLabelSays()
    {
        constexpr int Dpi = 1200;
        for (const auto& [paper, scale] : {std::pair{PaperSize::A4, 50.0},
                                           {PaperSize::A3, 20.0},
                                           {PaperSize::A2, 10.0},
                                           {PaperSize::A3, 33.0}}) {
            const PlanSheet sheet =
                sheetOf(yardPlan(), {.paper = paper, .standing = false, .scaleDenominator = scale});
            const double mm = Dpi / 25.4;
            const QRect around(static_cast<int>((sheet.scaleBar.x - 2) * mm),
                               static_cast<int>(sheet.scaleBar.y * mm),
                               static_cast<int>((sheet.scaleBar.width + 4) * mm), static_cast<int>(2 * mm));
            const QImage strip = drawnByPoppler(artPdf({sheet.art}, "Plans", At), "bar.pdf", Dpi, around);
            QVERIFY(!strip.isNull());
            // The upper row of boxes ends one part early when the parts are four.
            int first = 1 << 30, last = -1;
            for (const double share : {0.25, 0.75}) {
                const auto [from, to] =
                    darkColumns(strip, static_cast<int>(share * sheet.scaleBar.height * mm));
                QVERIFY(from >= 0);
                first = std::min(first, from);
                last = std::max(last, to);
            }
            const double measuredMm = (last - first + 1) / mm;
            const double wantedMm = sheet.scaleBarM * 1000 / scale;
            QVERIFY2(std::abs(measuredMm - wantedMm) < 0.1,
                     qPrintable(QString("%1 mm, label %2 mm").arg(measuredMm).arg(wantedMm)));
            const QString text = run("pdftotext", {"-layout", path("bar.pdf"), "-"});
            QVERIFY(text.contains(QRegularExpression(QString("\\b%1 ?m\\b").arg(sheet.scaleBarM))));
            QVERIFY(text.contains(QString("1:%1 on %2").arg(scale).arg(paperName(paper).c_str())));
        }
    }

    // The paper sizes of ISO 216, as pdfinfo reads them.
    void thePageIsAsLargeAsItsPaper()
    {
        for (const auto& [paper, mm] : {std::pair{PaperSize::A4, QSizeF(297, 210)},
                                        {PaperSize::A3, QSizeF(420, 297)},
                                        {PaperSize::A2, QSizeF(594, 420)},
                                        {PaperSize::A1, QSizeF(841, 594)},
                                        {PaperSize::A0, QSizeF(1189, 841)}})
            for (const bool standing : {false, true}) {
                const PlanSheet sheet =
                    sheetOf(yardPlan(), {.paper = paper, .standing = standing, .scaleDenominator = 50.0});
                spill(path("size.pdf"), artPdf({sheet.art}, "Plans", At));
                const QString info = run("pdfinfo", {path("size.pdf")});
                const QRegularExpressionMatch size =
                    QRegularExpression("Page size:\\s+([\\d.]+) x ([\\d.]+) pts").match(info);
                QVERIFY2(size.hasMatch(), qPrintable(info));
                const QSizeF wanted = standing ? mm.transposed() : mm;
                // Qt writes the size in whole points: half a point is 0.18 mm
                QVERIFY(std::abs(size.captured(1).toDouble() * 25.4 / 72 - wanted.width()) < 0.2);
                QVERIFY(std::abs(size.captured(2).toDouble() * 25.4 / 72 - wanted.height()) < 0.2);
            }
    }

    // Cuts in square, deposits in round brackets (common practice, no source); levels, finds, key.
    void thePdfSaysTheNumbersAndExplainsWhatIsShown()
    {
        const PlanSheet sheet = sheetOf(yardPlan(), {});
        spill(path("words.pdf"), artPdf({sheet.art}, "Plans", At));
        const QString text = run("pdftotext", {"-layout", path("words.pdf"), "-"});
        for (const char* expected :
             {"[1032]", "51.20", "SF7", "SKR26", "EPSG:25832", "DHHN2016", "grid north", "553120 E",
              "truncated edge", "uncertain edge", "break of slope, top", "level, in metres", "small find",
              "number of a cut", "standard error", "drawing P-01", "0 of 1 outlines signed off",
              "Not for setting out"})
            QVERIFY2(text.contains(expected), expected);
        for (const char* absent :
             {"edge beyond the sheet", "sample", "number of a deposit", "break of slope, bottom"})
            QVERIFY2(!text.contains(absent), absent);
    }

    void thePdfIsVectorAndTheSameEachTime()
    {
        const PlanSheet sheet = sheetOf(yardPlan(), {});
        const std::string pdf = artPdf({sheet.art}, "Plans", At);
        spill(path("vector.pdf"), pdf);
        QCOMPARE(run("pdfimages", {"-list", path("vector.pdf")}).trimmed().split('\n').size(), 2);
        QTest::qWait(1100); // past the next second of the clock that Qt would write
        QVERIFY(artPdf({sheetOf(yardPlan(), {}).art}, "Plans", At) == pdf);
        QVERIFY(artSvg(sheetOf(yardPlan(), {}).art) == artSvg(sheet.art));
    }

    // Places on paper: each vertex of the outline is where the scale puts it from every other.
    void theOutlineIsDrawnToScale()
    {
        const SheetContent content = yardPlan();
        const PlanSheet sheet =
            sheetOf(content, {.paper = PaperSize::A3, .standing = false, .scaleDenominator = 20.0});
        const VertexRing& ring = content.outlines[0].parts[1].outer; // one kind of edge: one closed line
        int held = 0;
        for (const ArtPiece& piece : sheet.art.pieces) {
            const auto* line = std::get_if<ArtLine>(&piece);
            if (line == nullptr || !line->closed || line->at.size() != ring.size() ||
                line->pen.dashesMm != edgePenDashes(EdgeKind::Uncertain))
                continue;
            for (std::size_t i = 0; i < ring.size(); ++i)
                for (std::size_t k = 0; k < i; ++k) {
                    const double paper =
                        std::hypot(line->at[i].x - line->at[k].x, line->at[i].y - line->at[k].y);
                    QVERIFY(std::abs(paper - distance(ring[i].at, ring[k].at) * 1000 / 20) < 1e-6);
                    ++held;
                }
        }
        QCOMPARE(held, 3);
    }
    static std::vector<double> edgePenDashes(EdgeKind kind)
    {
        return edgePen(kind, ContextClass::Cut).dashesMm;
    }

    // A top without a bottom: strokes of 5 and 2.5 mm by turns, in millimetres of the paper at any scale, so that
    // twice the scale takes twice as many.
    void aSlopeIsHachuredForTheScaleOfThePaper()
    {
        const auto strokesAt = [&](double scale) {
            int strokes = 0;
            const PlanSheet sheet =
                sheetOf(yardPlan(), {.paper = PaperSize::A0, .standing = false, .scaleDenominator = scale});
            for (const ArtPiece& piece : sheet.art.pieces) {
                const auto* area = std::get_if<ArtArea>(&piece);
                if (area == nullptr || area->rings.size() != 1 || area->rings[0].size() != 3)
                    continue;
                const std::vector<PageMm>& at = area->rings[0];
                if (std::abs(std::hypot(at[1].x - at[0].x, at[1].y - at[0].y) - 0.6) > 1e-9)
                    continue; // no head of a hachure
                const double length =
                    std::hypot(at[2].x - (at[0].x + at[1].x) / 2, at[2].y - (at[0].y + at[1].y) / 2);
                if (std::abs(length - 5) > 1e-9 && std::abs(length - 2.5) > 1e-9)
                    return -1;
                ++strokes;
            }
            return strokes;
        };
        const int few = strokesAt(20), many = strokesAt(10);
        QVERIFY(few >= 4);
        // One more or less at each end and bend of a line, where a stroke that would cross its neighbour stays out.
        int corners = 0;
        for (const EdgeLineRow& row : yardPlan().lines)
            corners += row.line.kind == LineKind::BreakTop ? static_cast<int>(row.vertices.size()) : 0;
        QVERIFY(corners > 0 && corners < few / 2);
        QVERIFY2(std::abs(many - 2 * few) <= corners, qPrintable(QString("%1 and %2").arg(few).arg(many)));
    }

    // Two independent readers of SVG draw what poppler draws of the PDF.
    void theSvgShowsWhatThePdfShows()
    {
        constexpr int Dpi = 100;
        const PlanSheet sheet = sheetOf(*planContent(*m_demo, m_demoWork, {.drawings = {"P-01"}}), {});
        const QImage pdf = drawnByPoppler(artPdf({sheet.art}, "Plans", At), "page.pdf", Dpi);
        spill(path("page.svg"), artSvg(sheet.art));
        run("rsvg-convert", {"-d", QString::number(Dpi), "-p", QString::number(Dpi), "-b", "white", "-o",
                             path("rsvg.png"), path("page.svg")});
        const QImage rsvg(path("rsvg.png"));
        QSvgRenderer renderer(path("page.svg"));
        QVERIFY(renderer.isValid());
        QImage qt(pdf.size(), QImage::Format_RGB32);
        qt.fill(Qt::white);
        QPainter painter(&qt);
        renderer.render(&painter);
        painter.end();
        QVERIFY(!rsvg.isNull());
        QVERIFY(std::abs(rsvg.width() - pdf.width()) <= 1 && std::abs(rsvg.height() - pdf.height()) <= 1);
        const double byRsvg = difference(pdf, rsvg.scaled(pdf.size())), byQt = difference(pdf, qt);
        // letters are shaped by three libraries; lines agree
        QVERIFY2(byRsvg < 0.004, qPrintable(QString::number(byRsvg)));
        QVERIFY2(byQt < 0.004, qPrintable(QString::number(byQt)));
        // and the comparison can fail: the page without its outlines is told apart
        PageArt bare = sheet.art;
        std::erase_if(bare.pieces,
                      [](const ArtPiece& piece) { return std::holds_alternative<ArtLine>(piece); });
        spill(path("bare.svg"), artSvg(bare));
        run("rsvg-convert", {"-d", QString::number(Dpi), "-p", QString::number(Dpi), "-b", "white", "-o",
                             path("bare.png"), path("bare.svg")});
        QVERIFY(difference(pdf, QImage(path("bare.png")).scaled(pdf.size())) > 0.008);
    }

    void theSvgIsWellFormedAndInMillimetres()
    {
        const PlanSheet sheet = sheetOf(yardPlan(), {.paper = PaperSize::A2});
        const QString svg = QString::fromStdString(artSvg(sheet.art));
        QXmlStreamReader xml(svg);
        while (!xml.atEnd())
            xml.readNext();
        QVERIFY2(!xml.hasError(), qPrintable(xml.errorString()));
        QVERIFY(svg.contains("width=\"594mm\" height=\"420mm\" viewBox=\"0 0 594 420\""));
        QVERIFY(svg.contains("[1032]") && !svg.contains("<malting>"));
        for (const char* reachingOut : {"<script", "href", "url("})
            QVERIFY2(!svg.contains(reachingOut), reachingOut);
    }

    void plansAreChosenByTrenchPeriodAndList()
    {
        const std::vector<std::string> all = contextsOnPlans(m_demoWork);
        QVERIFY(all.size() > 30);
        for (const Context& context : m_demo->all<Context>()) {
            const auto composite =
                planContent(*m_demo, m_demoWork, {.trench = context.trench, .period = context.period});
            if (!composite)
                continue;
            for (const OutlineRow& row : composite->outlines) {
                const std::optional<Context> shown = m_demo->byKey<Context>(row.outline.context);
                QVERIFY(shown && shown->period == context.period);
            }
        }
        const auto listed = planContent(*m_demo, m_demoWork, {.contexts = {all[0], all[1]}});
        QVERIFY(listed);
        for (const OutlineRow& row : listed->outlines)
            QVERIFY(row.outline.context == all[0] || row.outline.context == all[1]);
        for (const PlanChoice& unknown :
             {PlanChoice{.drawings = {"P-99"}}, PlanChoice{.contexts = {"9999"}}, PlanChoice{.trench = "9"},
              PlanChoice{.period = "yesterday"}}) {
            const auto refused = planContent(*m_demo, m_demoWork, unknown);
            QVERIFY(!refused && refused.error().code == ErrorCode::NotFound);
        }
    }

    void sectionsHaveDatumLevelsAndTheirOwnVerticalScale()
    {
        const Result<SheetContent> content = sectionContent(*m_demo, m_demoWork, "S-02");
        QVERIFY2(content, content ? "" : content.error().message.c_str());
        const PlanSheet sheet = sheetOf(*content, {.paper = PaperSize::A3,
                                                   .standing = false,
                                                   .scaleDenominator = 20.0,
                                                   .verticalScaleDenominator = 10.0});
        spill(path("section.pdf"), artPdf({sheet.art}, "Sections", At));
        const QString text = run("pdftotext", {"-layout", path("section.pdf"), "-"});
        for (const char* expected :
             {"Section S-02", "datum line", "1:20 on A3; upright 1:10, raised 2.00 times"})
            QVERIFY2(text.contains(expected), qPrintable(text));
        if (!qEnvironmentVariableIsEmpty("INKPEG_SCREENSHOTS"))
            spill(qEnvironmentVariable("INKPEG_SCREENSHOTS") + "/section.pdf",
                  artPdf({sheet.art}, "Sections", At));
        const double datum = *m_demo->byKey<Drawing>("S-02")->datumM;
        QVERIFY(text.contains("datum line at " + QString::number(datum, 'f', 2)));
        QVERIFY(!text.contains("grid north"));
        QVERIFY(!sectionContent(*m_demo, m_demoWork, "P-01"));
        QVERIFY(!sectionContent(*m_demo, m_demoWork, "S-99"));
    }

    void whatDoesNotFitIsRefusedWithAWayOut()
    {
        const Result<PlanSheet> refused =
            planSheet(*planContent(*m_demo, m_demoWork, {.trench = "1"}), m_words,
                      {.paper = PaperSize::A4, .standing = false, .scaleDenominator = 10.0});
        QVERIFY(!refused && refused.error().code == ErrorCode::Unsolvable);
        QVERIFY2(refused.error().message.find("fits on A4") != std::string::npos,
                 refused.error().message.c_str());
        QVERIFY(!planSheet(yardPlan(), m_words,
                           {.paper = PaperSize::A4, .standing = false, .scaleDenominator = -1.0}));
        QVERIFY(!planSheet(yardPlan(), m_words,
                           {.paper = PaperSize::A4, .standing = false, .verticalScaleDenominator = 10.0}));
    }

    // Each page has its entry in the document's outline, as poppler's pdftohtml reads it.
    void aPageHasItsBookmark()
    {
        std::vector<PageArt> pages;
        for (const std::string& context : contextsOnPlans(m_demoWork))
            if (pages.size() < 12)
                pages.push_back(sheetOf(*planContent(*m_demo, m_demoWork, {.contexts = {context}}),
                                        {.paper = PaperSize::A4})
                                    .art);
        pages[3].title = "Context \xC3\x9F (1) \\ \xF0\x9F\x8F\xBA";
        spill(path("marks.pdf"), artPdf(pages, "Plans", At));
        const QString outline = run("pdftohtml", {"-xml", "-stdout", "-i", path("marks.pdf")});
        const QStringList items = outline.mid(outline.indexOf("<outline>")).split("<item");
        QCOMPARE(items.size(), static_cast<qsizetype>(pages.size()) + 1);
        for (std::size_t i = 0; i < pages.size(); ++i)
            QVERIFY2(
                items[static_cast<qsizetype>(i) + 1].contains(
                    QString(" page=\"%1\">%2<").arg(i + 1).arg(QString::fromStdString(pages[i].title))),
                qPrintable(items[static_cast<qsizetype>(i) + 1]));
    }
};

QTEST_MAIN(PlanSheetTest)
#include "PlanSheetTest.moc"
