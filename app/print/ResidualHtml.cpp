// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <cmath>

#include "app/print/ReportHtml.h"
#include "app/print/ResidualPicture.h"
#include "app/print/ResidualReport.h"
#include "core/base/Text.h"
#include "core/handover/Geodata.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

std::string number(double value, int decimals)
{
    return element("td", fixed(value, decimals), "n");
}

const char* classOf(FitVerdict verdict)
{
    return verdict == FitVerdict::Within ? "good" : verdict == FitVerdict::Out ? "bad" : "none";
}

std::string summaryHtml(const ProjectFigures& figures)
{
    std::string html =
        "<div class=\"wide\"><table>\n<tr><th>drawing</th><th>model</th><th class=\"n\">pins</th><th "
        "class=\"n\">spare</th><th class=\"n\">RMSE mm</th><th class=\"n\">longest "
        "mm</th><th>verdict</th></tr>\n";
    for (std::size_t i = 0; i < figures.drawings.size(); ++i) {
        const DrawingFigures& drawing = figures.drawings[i];
        const ControlFit& fit = drawing.ground.fit;
        html += "<tr><td><a href=\"#drawing-" + std::to_string(i + 1) + "\">" +
                escapedForMarkup(drawing.drawing.number) + "</a></td>" +
                element("td", modelName(fit.settings.model)) + number(fit.pinsUsed, 0) +
                number(fit.redundancy, 0) + number(fit.rmseMm, 3) + number(drawing.worstMm, 3) +
                element("td", fitVerdictName(drawing.verdict), classOf(drawing.verdict)) + "</tr>\n";
    }
    html += "</table></div>\n";
    if (figures.unfitted.empty())
        return html;
    html += "<h3>Not fitted</h3>\n<ul>\n";
    for (const UnfittedDrawing& drawing : figures.unfitted)
        html += element("li", drawing.why) + "\n";
    return html + "</ul>\n";
}

std::string modelsHtml(const DrawingFigures& figures)
{
    std::string html = "<h3>Comparison of models</h3>\n<div class=\"wide\"><table>\n<tr>";
    const std::vector<std::string> columns = modelColumns();
    for (std::size_t i = 0; i < columns.size(); ++i)
        html += element("th", columns[i], i > 0 ? "n" : nullptr);
    html += "<th></th></tr>\n";
    for (const ModelRow& row : modelRows(figures)) {
        html += "<tr>";
        for (std::size_t i = 0; i < row.cells.size(); ++i)
            html += element("td", row.cells[i], i > 0 ? "n" : nullptr);
        if (!row.whyNot.empty())
            html += "<td class=\"none why\" colspan=\"" + std::to_string(columns.size() - 1) + "\">" +
                    escapedForMarkup(row.whyNot) + "</td>";
        html += element("td",
                        std::string(row.recommended ? "advised" : "") +
                            (row.recommended && row.chosen ? ", " : "") + (row.chosen ? "chosen" : ""),
                        row.recommended ? "good" : nullptr) +
                "</tr>\n";
    }
    return html + "</table></div>\n" + element("p", figures.comparison.reason + ".", "quiet") + "\n";
}

std::string diagnosisHtml(const DrawingFigures& figures)
{
    const DrawingDiagnosis& diagnosis = figures.diagnosis;
    std::string html = element("h3", "Wrong pins and their likely causes") + "\n";
    if (diagnosis.hypotheses.empty())
        return html + element("p", diagnosis.summary) + "\n";
    html += "<ol>\n";
    for (std::size_t i = 0; i < diagnosis.hypotheses.size(); ++i)
        html += "<li>" + escapedForMarkup(diagnosis.hypotheses[i].sentence) + " " +
                element("span", "Remedy: " + remedyWords(figures.drawing, diagnosis, i) + ".", "quiet") +
                "</li>\n";
    return html + "</ol>\n";
}

std::string siteGridHtml(const SiteGridFigures& figures)
{
    std::string html = "<h3>Site grid in the CRS</h3>\n";
    if (!figures.grid)
        return html + element("p", figures.whyNot) + "\n";
    html +=
        "<div class=\"wide\"><table>\n<tr><th>peg</th><th class=\"n\">east mm</th><th class=\"n\">north "
        "mm</th><th class=\"n\">w</th><th></th></tr>\n";
    for (const CommonPointResidual& point : figures.grid->residuals())
        html += "<tr>" + element("td", point.name) + number(point.eastM * 1000, 1) +
                number(point.northM * 1000, 1) +
                number(std::max(std::abs(point.testEast), std::abs(point.testNorth)), 2) +
                element("td", point.suspect ? "SUSPECT" : "", point.suspect ? "bad" : nullptr) + "</tr>\n";
    return html + "</table></div>\n";
}

std::string residualRows(const DrawingFigures& figures)
{
    std::string html;
    for (std::size_t i = 0; i < figures.points.size(); ++i) {
        const PinResidual& residual = figures.ground.fit.residuals[i];
        const GroundM surveyed = figures.points[i].ground;
        const bool leftOut = residual.use == PinUse::LeftOut;
        html += "<tr>" + element("td", residual.peg) + element("td", nameOf(residual.use)) +
                number(surveyed.east, 3) + number(surveyed.north, 3) + number(residual.eastM * 1000, 1) +
                number(residual.northM * 1000, 1) + number(residual.filmMm, 3) +
                number(residual.redundancyShare, 2) + element("td", testText(residual), "n") +
                element("td",
                        leftOut                    ? "left out"
                        : residual.withinTolerance ? "within"
                                                   : "OUT",
                        leftOut                    ? "none"
                        : residual.withinTolerance ? "good"
                                                   : "bad") +
                "</tr>\n";
    }
    return html;
}

std::string errorRow(const char* place, const PositionError& error)
{
    return "<tr>" + element("td", place) + number(error.controlM * 1000, 1) + number(error.pegM * 1000, 1) +
           number(error.tracingM * 1000, 1) + number(error.pixelM * 1000, 1) +
           number(error.totalM() * 1000, 1) + "</tr>\n";
}

std::string drawingHtml(const ProjectFigures& project, const DrawingFigures& figures, std::size_t index)
{
    const bool upright = figures.ground.section.has_value();
    std::string html =
        "<section id=\"drawing-" + std::to_string(index + 1) + "\">\n<h2>" +
        escapedForMarkup(figures.drawing.number +
                         (figures.drawing.title.empty() ? "" : "  " + figures.drawing.title)) +
        "</h2>\n" + "<p><span class=\"stamp " + classOf(figures.verdict) + "\">" +
        escapedForMarkup(fitVerdictName(figures.verdict)) + "</span></p>\n<dl>\n";
    for (const auto& [label, value] : fitFacts(project, figures))
        html += element("dt", label) + element("dd", value) + "\n";
    html += "</dl>\n" + residualPictureSvg(residualPicture(figures, 178, 100),
                                           "Residual arrows of drawing " + figures.drawing.number);
    html +=
        std::string("<h3>Residuals: fitted less surveyed</h3>\n<div "
                    "class=\"wide\"><table>\n<tr><th>peg</th><th>used "
                    "as</th>") +
        (upright
             ? "<th class=\"n\">along m</th><th class=\"n\">level m</th><th class=\"n\">along mm</th><th "
               "class=\"n\">level mm</th>"
             : "<th class=\"n\">east m</th><th class=\"n\">north m</th><th class=\"n\">east mm</th><th "
               "class=\"n\">north mm</th>") +
        "<th class=\"n\">film mm</th><th class=\"n\">spare</th><th "
        "class=\"n\">w</th><th>tolerance</th></tr>\n" +
        residualRows(figures) + "</table></div>\n" + diagnosisHtml(figures) + modelsHtml(figures);
    html +=
        "<h3>Standard error of a traced position (one sigma, each axis), mm on the ground</h3>\n<div "
        "class=\"wide\"><table>\n<tr><th>place</th><th class=\"n\">fit</th><th class=\"n\">pegs</th><th "
        "class=\"n\">tracing</th><th class=\"n\">pixel</th><th class=\"n\">together</th></tr>\n" +
        errorRow("middle of the drawing", figures.atCentre) +
        errorRow("worst corner of the drawing", figures.atWorstCorner) + "</table></div>\n</section>\n";
    return html;
}

} // namespace

std::string residualHtml(const ProjectFigures& figures)
{
    const std::string title = "Residual report " + figures.facts.siteCode;
    std::string html =
        htmlHead(title) + element("p", "Residual report, " + figures.facts.siteCode, "quiet") + "\n" +
        element("h1", figures.facts.title.empty() ? figures.facts.siteCode : figures.facts.title) + "\n";
    html += summaryHtml(figures);
    if (figures.siteGrid)
        html += siteGridHtml(*figures.siteGrid);
    for (std::size_t i = 0; i < figures.drawings.size(); ++i)
        html += drawingHtml(figures, figures.drawings[i], i);
    html += "<footer>\n";
    for (const std::string& caution : cautions())
        html += element("p", caution) + "\n";
    return html + element("p", "State of the project: " + figures.at) + "\n</footer>\n</body>\n</html>\n";
}

} // namespace inkpeg
