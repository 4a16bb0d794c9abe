// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <cmath>
#include <numbers>

#include <QPainter>
#include <QPolygonF>

#include "app/print/Paper.h"
#include "app/print/ResidualPicture.h"
#include "app/print/ResidualReport.h"
#include "core/base/Text.h"
#include "core/handover/Geodata.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

constexpr double Left = Paper::MarginMm;
constexpr double Right = Paper::WidthMm - Paper::MarginMm;
constexpr double Bottom = Paper::HeightMm - FootMm - 6;
constexpr double RowMm = 5.4;
constexpr double PictureHeightMm = 100;

QString words(const std::string& text)
{
    return QString::fromUtf8(text.data(), static_cast<qsizetype>(text.size()));
}

QRgb inkOf(FitVerdict verdict)
{
    return verdict == FitVerdict::Within ? PaperInk::Good
           : verdict == FitVerdict::Out  ? PaperInk::Bad
                                         : PaperInk::Quiet;
}

/// Pens of the picture's pieces.
struct PieceStyle {
    QRgb ink = PaperInk::Text;
    double widthMm = 0.2;
    bool filled = false;
    bool dashed = false;
    QRgb fill = PaperInk::Text;
};

PieceStyle styleOf(PieceRole role)
{
    switch (role) {
    case PieceRole::Film:
        return {PaperInk::Quiet, 0.18, true, false, PaperInk::Film};
    case PieceRole::Frame:
        return {PaperInk::Quiet, 0.18, false, true};
    case PieceRole::Grid:
        return {PaperInk::Rule, 0.2};
    case PieceRole::Tolerance:
        return {PaperInk::Quiet, 0.15, false, true};
    case PieceRole::Arrow:
        return {PaperInk::Good, 0.5, true, false, PaperInk::Good};
    case PieceRole::ArrowOut:
        return {PaperInk::Bad, 0.9, true, false, PaperInk::Bad};
    case PieceRole::ArrowCheck:
        return {PaperInk::Check, 0.5, true, false, PaperInk::Check};
    case PieceRole::PinMark:
        return {PaperInk::Text, 0.25, true, false, PaperInk::Text};
    case PieceRole::CheckMark:
        return {PaperInk::Check, 0.35, true, false, 0xFFFFFFFF};
    case PieceRole::LeftOutMark:
        return {PaperInk::Quiet, 0.35};
    case PieceRole::Label:
        return {PaperInk::Text};
    case PieceRole::Caption:
        return {PaperInk::Quiet};
    case PieceRole::Key:
        return {PaperInk::Text, 0.4, true, false, PaperInk::Text};
    }
    return {};
}

void drawPicture(Paper& paper, const ResidualPicture& picture, double xMm, double yMm)
{
    QPainter& painter = paper.painter();
    const auto at = [&](const PageMm& place) {
        return QPointF(paper.units(xMm + place.x), paper.units(yMm + place.y));
    };
    for (const PicturePiece& piece : picture.pieces) {
        const PieceStyle style = styleOf(piece.role);
        if (piece.shape == PicturePiece::Shape::Text) {
            const Paper::Side side = piece.anchor == PicturePiece::Anchor::Start    ? Paper::Side::Left
                                     : piece.anchor == PicturePiece::Anchor::Middle ? Paper::Side::Middle
                                                                                    : Paper::Side::Right;
            paper.text(xMm + piece.at[0].x, yMm + piece.at[0].y, words(piece.text),
                       piece.role == PieceRole::Label ? Paper::font(7.5, true) : Paper::font(6), style.ink,
                       side);
            continue;
        }
        QPen pen(QColor(style.ink), paper.units(style.widthMm));
        pen.setJoinStyle(Qt::MiterJoin);
        if (style.dashed)
            pen.setDashPattern({5, 4});
        painter.setPen(pen);
        painter.setBrush(style.filled && piece.shape != PicturePiece::Shape::Line
                             ? QBrush(QColor(style.fill))
                             : QBrush());
        QPolygonF outline;
        for (const PageMm& place : piece.at)
            outline << at(place);
        if (piece.shape == PicturePiece::Shape::Line)
            painter.drawPolyline(outline);
        else if (piece.shape == PicturePiece::Shape::Closed)
            painter.drawPolygon(outline);
        else
            painter.drawEllipse(outline[0], paper.units(piece.radiusMm), paper.units(piece.radiusMm));
        painter.setBrush(Qt::NoBrush);
    }
}

struct TableColumn {
    QString heading;
    double xMm = 0; ///< left edge, or right edge for numbers
    Paper::Side side = Paper::Side::Left;
    double roomMm = 0;
};

QString drawingsInWords(const ProjectFigures& figures)
{
    constexpr std::size_t MostNamed = 8;
    const std::size_t count = figures.drawings.size() + figures.unfitted.size();
    QString text = QString::number(count) + (count == 1 ? " drawing" : " drawings");
    if (count > MostNamed)
        return text;
    text += ":";
    for (const DrawingFigures& drawing : figures.drawings)
        text += " " + words(drawing.drawing.number);
    for (const UnfittedDrawing& drawing : figures.unfitted)
        text += " " + words(drawing.drawing.number);
    return text;
}

class ReportPages {
public:
    explicit ReportPages(const ProjectFigures& figures)
        : m_figures(figures), m_paper(words("Residual report " + figures.facts.siteCode), figures.at)
    {
    }

    void summary()
    {
        head(words(m_figures.facts.title.empty() ? m_figures.facts.siteCode : m_figures.facts.title),
             drawingsInWords(m_figures));
        const std::vector<TableColumn> columns = {
            {"drawing", Left + 1, Paper::Side::Left, 22}, {"scale", 50, Paper::Side::Right},
            {"model", 54, Paper::Side::Left, 30},         {"pins", 94, Paper::Side::Right},
            {"spare", 106, Paper::Side::Right},           {"s0", 118, Paper::Side::Right},
            {"RMSE mm", 136, Paper::Side::Right},         {"longest mm", 156, Paper::Side::Right},
            {"verdict", 160, Paper::Side::Left, 36}};
        tableHead(columns);
        for (const DrawingFigures& drawing : m_figures.drawings) {
            const ControlFit& fit = drawing.ground.fit;
            row(columns,
                {words(drawing.drawing.number), "1:" + words(exact(drawing.drawing.scaleDenominator)),
                 words(modelName(fit.settings.model)), QString::number(fit.pinsUsed),
                 QString::number(fit.redundancy),
                 fit.redundancy > 0 ? words(fixed(fit.standardErrorOfUnitWeight, 2)) : QStringLiteral("-"),
                 words(fixed(fit.rmseMm, 3)), words(fixed(drawing.worstMm, 3)),
                 words(drawing.verdict == FitVerdict::NoSpare ? std::string("no spare pin")
                                                              : fitVerdictName(drawing.verdict))},
                inkOf(drawing.verdict), drawing.verdict == FitVerdict::Out);
        }
        m_y += 4;
        if (m_figures.siteGrid)
            siteGrid(*m_figures.siteGrid);
        if (!m_figures.unfitted.empty()) {
            section("Not fitted");
            for (const UnfittedDrawing& drawing : m_figures.unfitted) {
                roomFor(10);
                m_y = m_paper.paragraph(Left, m_y, Right - Left, words(drawing.why), Paper::font(8)) + 1;
            }
        }
    }

    void drawing(const DrawingFigures& figures, bool freshPage)
    {
        if (freshPage)
            nextPage();
        head(words(figures.drawing.number +
                   (figures.drawing.title.empty() ? "" : "  " + figures.drawing.title)),
             words(m_figures.facts.title));
        stamp(figures);
        facts(figures);
        m_y += 2;
        drawPicture(m_paper, residualPicture(figures, Right - Left, PictureHeightMm), Left, m_y);
        m_y += PictureHeightMm + 7;
        residuals(figures);
        causes(figures);
        models(figures);
        accuracy(figures);
    }

    void nextPage()
    {
        drawFoot(m_paper, m_figures.at);
        m_paper.newPage();
        m_y = Paper::MarginMm;
    }

    std::string finish()
    {
        drawFoot(m_paper, m_figures.at);
        return m_paper.bytes();
    }

private:
    void head(const QString& title, const QString& under)
    {
        m_paper.text(Left, 19, "RESIDUAL REPORT", Paper::font(7.5, true), PaperInk::Quiet);
        m_paper.text(Right, 19, words(m_figures.facts.siteCode), Paper::font(7.5, true), PaperInk::Quiet,
                     Paper::Side::Right);
        m_paper.rule(Left, 21, Right, PaperInk::Text, 0.4);
        m_paper.text(Left, 30, title, Paper::font(16, true), PaperInk::Text, Paper::Side::Left, 118);
        m_paper.text(Left, 35.5, under, Paper::font(8.5), PaperInk::Quiet, Paper::Side::Left, 118);
        m_y = 43;
    }

    void stamp(const DrawingFigures& figures)
    {
        const QString verdict = words(fitVerdictName(figures.verdict)).toUpper();
        const QFont font = Paper::font(8.5, true);
        const double width = m_paper.textWidthMm(verdict, font) + 8;
        const QRectF place(Right - width, 24.5, width, 10);
        m_paper.frame(place, inkOf(figures.verdict), 0.6, 1.5);
        m_paper.text(Right - width / 2, 31, verdict, font, inkOf(figures.verdict), Paper::Side::Middle);
    }

    void facts(const DrawingFigures& figures)
    {
        for (const auto& [label, value] : fitFacts(m_figures, figures)) {
            m_paper.text(Left, m_y, words(label), Paper::font(7.5), PaperInk::Quiet);
            // paragraph() starts at the top of its letters, text() at their base line
            const double below =
                m_paper.paragraph(Left + 26, m_y - 2.9, Right - Left - 26, words(value), Paper::font(8));
            m_y = std::max(m_y + 4.7, below + 3.2);
        }
    }

    void section(const QString& title)
    {
        roomFor(16);
        m_paper.text(Left, m_y, title, Paper::font(9, true));
        m_y += 5;
    }

    void tableHead(const std::vector<TableColumn>& columns)
    {
        for (const TableColumn& column : columns)
            m_paper.text(column.xMm, m_y, column.heading, Paper::font(7), PaperInk::Quiet, column.side);
        m_paper.rule(Left, m_y + 1.6, Right, PaperInk::Text, 0.25);
        m_y += RowMm + 0.6;
        m_washed = false;
    }

    /// The last cell takes `ink`; a marked row is bold there.
    void row(const std::vector<TableColumn>& columns, const std::vector<QString>& cells, QRgb ink,
             bool marked)
    {
        if (m_y > Bottom) {
            nextPage();
            m_y += 6;
            tableHead(columns);
        }
        if (m_washed)
            m_paper.box({Left, m_y - RowMm + 1.6, Right - Left, RowMm}, PaperInk::Wash);
        m_washed = !m_washed;
        for (std::size_t i = 0; i < columns.size(); ++i) {
            const bool last = i + 1 == columns.size();
            m_paper.text(columns[i].xMm, m_y, cells[i], Paper::font(8, last && marked),
                         last ? ink : PaperInk::Text, columns[i].side, columns[i].roomMm);
        }
        m_y += RowMm;
    }

    void residuals(const DrawingFigures& figures)
    {
        const bool upright = figures.ground.section.has_value();
        section("Residuals: fitted less surveyed");
        const std::vector<TableColumn> columns = {
            {"peg", Left + 1, Paper::Side::Left, 24},
            {"used as", 43, Paper::Side::Left, 15},
            {upright ? "along m" : "east m", 79, Paper::Side::Right},
            {upright ? "level m" : "north m", 101, Paper::Side::Right},
            {upright ? "along mm" : "east mm", 119, Paper::Side::Right},
            {upright ? "level mm" : "north mm", 136, Paper::Side::Right},
            {"film mm", 150, Paper::Side::Right},
            {"spare", 161, Paper::Side::Right},
            {"w", 175, Paper::Side::Right},
            {"tolerance", 179, Paper::Side::Left, 16}};
        tableHead(columns);
        for (std::size_t i = 0; i < figures.points.size(); ++i) {
            const PinResidual& residual = figures.ground.fit.residuals[i];
            const GroundM surveyed = figures.points[i].ground;
            const bool out = !residual.withinTolerance && residual.use != PinUse::LeftOut;
            const QString verdict = residual.use == PinUse::LeftOut ? "left out" : out ? "OUT" : "within";
            row(columns,
                {words(residual.peg), words(residual.use == PinUse::Check ? "check" : nameOf(residual.use)),
                 words(fixed(surveyed.east, 3)), words(fixed(surveyed.north, 3)),
                 words(fixed(residual.eastM * 1000, 1)), words(fixed(residual.northM * 1000, 1)),
                 words(fixed(residual.filmMm, 3)),
                 residual.use == PinUse::Fit ? words(fixed(residual.redundancyShare, 2))
                                             : QStringLiteral("-"),
                 residual.use == PinUse::Fit ? words(testText(residual)) : QStringLiteral("-"), verdict},
                out                               ? PaperInk::Bad
                : residual.use == PinUse::LeftOut ? PaperInk::Quiet
                                                  : PaperInk::Good,
                out);
        }
        m_y += 4;
    }

    void causes(const DrawingFigures& figures)
    {
        const DrawingDiagnosis& diagnosis = figures.diagnosis;
        if (diagnosis.hypotheses.empty())
            return; // the facts above say that none is suspect
        section("Wrong pins and their likely causes, the likeliest first");
        for (std::size_t i = 0; i < diagnosis.hypotheses.size(); ++i) {
            roomFor(12);
            m_paper.text(Left, m_y, QString::number(i + 1), Paper::font(8, true));
            m_y = m_paper.paragraph(Left + 6, m_y - 2.9, Right - Left - 6,
                                    words(diagnosis.hypotheses[i].sentence), Paper::font(8));
            m_y = m_paper.paragraph(Left + 6, m_y, Right - Left - 6,
                                    "Remedy: " + words(remedyWords(figures.drawing, diagnosis, i)),
                                    Paper::font(7.5), PaperInk::Quiet) +
                  4.2;
        }
        m_y += 2;
    }

    void models(const DrawingFigures& figures)
    {
        roomFor(52);
        section("Comparison of models");
        const std::vector<std::string> names = modelColumns();
        const double rights[] = {0, 59, 75, 94, 111, 140, 156, 172};
        std::vector<TableColumn> columns{{words(names[0]), Left + 1, Paper::Side::Left, 33}};
        for (std::size_t i = 1; i < names.size(); ++i)
            columns.push_back({words(names[i]), rights[i], Paper::Side::Right});
        columns.push_back({"", 176, Paper::Side::Left, 19});
        tableHead(columns);
        std::vector<QString> whyNot;
        for (const ModelRow& model : modelRows(figures)) {
            std::vector<QString> cells;
            for (const std::string& cell : model.cells)
                cells.push_back(words(cell));
            cells.resize(columns.size());
            if (!model.whyNot.empty()) {
                cells[1] = "-";
                whyNot.push_back(words(model.cells.front() + " is not fitted: " + model.whyNot + "."));
            }
            cells.back() = model.recommended ? (model.chosen ? "as advised" : "advised")
                           : model.chosen    ? "chosen"
                                             : "";
            row(columns, cells, model.recommended ? PaperInk::Good : PaperInk::Text, true);
        }
        m_y -= 1;
        for (const QString& reason : whyNot)
            m_y = m_paper.paragraph(Left, m_y, Right - Left, reason, Paper::font(7.5), PaperInk::Quiet);
        m_y = m_paper.paragraph(Left, m_y, Right - Left, words(figures.comparison.reason) + ".",
                                Paper::font(7.5), PaperInk::Quiet) +
              7;
    }

    void siteGrid(const SiteGridFigures& figures)
    {
        section("Site grid in the CRS");
        if (!figures.grid) {
            m_y =
                m_paper.paragraph(Left, m_y - 2.9, Right - Left, words(figures.whyNot), Paper::font(8)) + 5;
            return;
        }
        const SiteGrid& grid = *figures.grid;
        m_y =
            m_paper.paragraph(Left, m_y - 2.9, Right - Left,
                              words("Plane similarity through the pegs given in both frames: scale " +
                                    fixed(grid.scalePartsPerMillion(), 0) + " ppm, turned " +
                                    fixed(grid.rotationRad() * 180 / std::numbers::pi, 4) +
                                    " degrees clockwise, redundancy " + std::to_string(grid.redundancy()) +
                                    ", RMSE " + fixed(grid.rmseM() * 1000, 1) + " mm."),
                              Paper::font(8)) +
            4.5;
        const std::vector<TableColumn> columns = {{"peg", Left + 1, Paper::Side::Left, 40},
                                                  {"east mm", 80, Paper::Side::Right},
                                                  {"north mm", 100, Paper::Side::Right},
                                                  {"w", 115, Paper::Side::Right},
                                                  {"", 120, Paper::Side::Left, 40}};
        tableHead(columns);
        for (const CommonPointResidual& point : grid.residuals())
            row(columns,
                {words(point.name), words(fixed(point.eastM * 1000, 1)),
                 words(fixed(point.northM * 1000, 1)),
                 words(fixed(std::max(std::abs(point.testEast), std::abs(point.testNorth)), 2)),
                 point.suspect ? "SUSPECT" : ""},
                PaperInk::Bad, point.suspect);
        m_y += 4;
    }

    void accuracy(const DrawingFigures& figures)
    {
        roomFor(30);
        section("Standard error of a traced position (one sigma, each axis), mm on the ground");
        const std::vector<TableColumn> columns = {
            {"place", Left + 1, Paper::Side::Left, 60}, {"fit", 90, Paper::Side::Right},
            {"pegs", 108, Paper::Side::Right},          {"tracing", 128, Paper::Side::Right},
            {"pixel", 146, Paper::Side::Right},         {"together", 168, Paper::Side::Right}};
        tableHead(columns);
        for (const auto& [place, error] : {std::pair{"middle of the drawing", figures.atCentre},
                                           {"worst corner of the drawing", figures.atWorstCorner}})
            row(columns,
                {place, words(fixed(error.controlM * 1000, 1)), words(fixed(error.pegM * 1000, 1)),
                 words(fixed(error.tracingM * 1000, 1)), words(fixed(error.pixelM * 1000, 1)),
                 words(fixed(error.totalM() * 1000, 1))},
                PaperInk::Text, true);
    }

    void roomFor(double mm)
    {
        if (m_y + mm > Bottom + 4) {
            nextPage();
            m_y += 6;
        }
    }

    const ProjectFigures& m_figures;
    Paper m_paper;
    double m_y = Paper::MarginMm;
    bool m_washed = false;
};

} // namespace

std::string residualPdf(const ProjectFigures& figures, const Progress& progress)
{
    ReportPages pages(figures);
    const bool summary = figures.drawings.size() != 1 || !figures.unfitted.empty();
    if (summary)
        pages.summary();
    for (std::size_t i = 0; i < figures.drawings.size(); ++i) {
        pages.drawing(figures.drawings[i], summary || i > 0);
        if (!report(progress, static_cast<double>(i + 1) / static_cast<double>(figures.drawings.size())))
            return {};
    }
    return pages.finish();
}

} // namespace inkpeg
