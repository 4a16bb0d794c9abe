// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/ResidualReport.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <numbers>
#include <system_error>

#include "app/print/WholeFile.h"
#include "core/base/Text.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

std::string pinsInWords(const DrawingFigures& drawing)
{
    int check = 0, out = 0;
    for (const PinResidual& residual : drawing.ground.fit.residuals) {
        check += residual.use == PinUse::Check ? 1 : 0;
        out += residual.use == PinUse::LeftOut ? 1 : 0;
    }
    std::string words = std::to_string(drawing.ground.fit.pinsUsed) + " pins in the fit";
    if (check > 0)
        words += ", " + std::to_string(check) + (check == 1 ? " check point" : " check points");
    if (out > 0)
        words += ", " + std::to_string(out) + " left out";
    return words;
}

std::string pegsInWords(const ProjectFigures& project, const DrawingFigures& drawing)
{
    if (drawing.ground.section)
        return "nails and pegs in the plane of the section: distance along the line, level";
    return "surveyed pegs in " + project.facts.crs;
}

std::string testsInWords(const PinTests& tests)
{
    std::string words = "largest w " + fixed(tests.largestW, 2) + " at " + tests.peg + " against " +
                        fixed(tests.limitW, 2) + " (Baarda)";
    if (tests.limitTau)
        words += "; largest tau " + fixed(tests.largestTau, 2) + " against " + fixed(*tests.limitTau, 2) +
                 " (Pope)";
    return words;
}

/// Millionths; from a tenth on, where a model has run wild between its pins, per cent.
std::string partsText(double ppm)
{
    if (std::abs(ppm) < 1e5)
        return fixed(ppm, 0);
    return std::abs(ppm) < 1e8 ? fixed(ppm / 1e4, 0) + " %" : std::string("beyond all bounds");
}

std::string modelInWords(const DrawingFigures& drawing)
{
    std::string words = drawing.comparison.reason;
    if (drawing.comparison.recommended && *drawing.comparison.recommended != drawing.drawing.model)
        words +=
            "; " + modelName(drawing.drawing.model) + " was chosen all the same: " +
            (drawing.drawing.modelReason.empty() ? "no reason is recorded" : drawing.drawing.modelReason);
    else if (!drawing.drawing.modelReason.empty())
        words += "; reason recorded: " + drawing.drawing.modelReason;
    return words;
}

std::string siteGridInWords(const SiteGridFigures& figures)
{
    if (!figures.grid)
        return figures.whyNot;
    const SiteGrid& grid = *figures.grid;
    double worstM = 0;
    std::string worst;
    for (const CommonPointResidual& point : grid.residuals())
        if (const double length = std::hypot(point.eastM, point.northM); length >= worstM) {
            worstM = length;
            worst = point.name;
        }
    return "related to the CRS by " + std::to_string(grid.residuals().size()) +
           " pegs given in both frames: scale " + fixed(grid.scalePartsPerMillion(), 0) + " ppm, turned " +
           fixed(grid.rotationRad() * 180 / std::numbers::pi, 4) + " degrees clockwise, RMSE " +
           fixed(grid.rmseM() * 1000, 1) + " mm, longest residual " + fixed(worstM * 1000, 1) + " mm at " +
           worst;
}

} // namespace

std::vector<std::pair<std::string, std::string>> fitFacts(const ProjectFigures& project,
                                                          const DrawingFigures& drawing)
{
    const ControlFit& fit = drawing.ground.fit;
    const FilmFrame& film = drawing.ground.film;
    std::vector<std::pair<std::string, std::string>> facts = {
        {"Fitted", nameOf(drawing.drawing.kind) + " " + drawing.drawing.number + " on sheet " +
                       drawing.sheet.number + ", drawn at 1:" + exact(drawing.drawing.scaleDenominator)},
        {"Scan", drawing.sheet.scanFile + ", " + fixed(film.widthPx, 0) + " x " + fixed(film.heightPx, 0) +
                     " px at " + fixed(film.dpiX, 0) +
                     (film.dpiX == film.dpiY ? "" : " x " + fixed(film.dpiY, 0)) + " dpi" +
                     (film.faceDown ? ", face down" : "")},
        {"To", pegsInWords(project, drawing)},
        {"With", modelName(fit.settings.model) + " (" + std::to_string(fit.parameters) + " parameters), " +
                     pinsInWords(drawing)},
        {"By, when",
         drawing.lastPinned
             ? (drawing.lastPinned->person.empty() ? "no initials" : drawing.lastPinned->person) + ", " +
                   drawing.lastPinned->at
             : std::string("the journal does not say")},
        {"Redundancy",
         std::to_string(fit.redundancy) +
             (fit.redundancy == 0 ? ": nothing checks the fit; pin one more peg" : " spare coordinates")},
        {"s0", fit.redundancy > 0
                   ? fixed(fit.standardErrorOfUnitWeight, 2) + " (standard error of unit weight)"
                   : std::string("unknown without redundancy")},
        {"RMSE",
         fixed(fit.rmseMm, 3) + " mm on the film, " + fixed(fit.rmseM * 1000, 1) + " mm on the ground"},
        {"Longest", fixed(drawing.worstMm, 3) + " mm on the film, at " + drawing.worstPeg + "; tolerance " +
                        fixed(fit.settings.toleranceMm, 2) + " mm"},
    };
    if (fit.redundancy > 0)
        facts.emplace_back("Tests", testsInWords(drawing.tests));
    facts.emplace_back("Diagnosis", drawing.diagnosis.summary);
    facts.emplace_back("Model", modelInWords(drawing));
    facts.emplace_back("Outside", fixed(100 * drawing.comparison.extrapolationShare, 0) +
                                      " % of the drawing lies outside the hull of its pins");
    facts.emplace_back("Checked by",
                       drawing.check ? drawing.check->statement : accuracyOfCheckPoints({}).statement);
    if (project.siteGrid && !drawing.ground.section)
        facts.emplace_back("Site grid", siteGridInWords(*project.siteGrid));
    return facts;
}

std::string testText(const PinResidual& residual)
{
    const double w = std::max(std::abs(residual.testEast), std::abs(residual.testNorth));
    return fixed(w, w < 100 ? 2 : 0);
}

std::vector<std::string> modelColumns()
{
    return {"model", "spare", "RMSE mm", "left out mm", "F chance", "scale ppm", "skew ppm", "away mm"};
}

std::vector<ModelRow> modelRows(const DrawingFigures& drawing)
{
    std::vector<ModelRow> rows;
    for (const ModelAssessment& model : drawing.comparison.models) {
        ModelRow row{model.model == drawing.drawing.model,
                     drawing.comparison.recommended == model.model,
                     {modelName(model.model)},
                     model.fit ? std::string() : model.whyNot};
        if (model.fit) {
            const Distortion& distortion = model.distortion;
            row.cells = {modelName(model.model),
                         std::to_string(model.fit->redundancy),
                         fixed(model.fit->rmseMm, 3),
                         model.predictionErrorMm ? fixed(*model.predictionErrorMm, 3) : "-",
                         !model.test                 ? "-"
                         : model.test->chance < 1e-4 ? "< 0.01 %"
                                                     : fixed(100 * model.test->chance, 2) + " %",
                         partsText(distortion.smallestScalePpm) + " to " +
                             partsText(distortion.largestScalePpm),
                         partsText(distortion.skewPpm),
                         fixed(distortion.awayMm, distortion.awayMm < 100 ? 3 : 0)};
        }
        rows.push_back(std::move(row));
    }
    return rows;
}

Result<std::vector<std::filesystem::path>> writeResidualReport(const ProjectFigures& figures,
                                                               const std::filesystem::path& folder,
                                                               const Progress& progress)
{
    const std::string pdf = residualPdf(figures, progress);
    if (pdf.empty())
        return Error{ErrorCode::Cancelled, "the report was stopped"};
    std::vector<std::filesystem::path> files;
    for (const auto& [name, bytes] : {std::pair{"residuals.pdf", pdf},
                                      {"residuals.html", residualHtml(figures)},
                                      {"residuals.csv", residualCsv(figures)},
                                      {"residuals.json", residualJson(figures)}}) {
        const Result<void> written = writeWhole(folder / name, bytes);
        if (!written)
            return written.error();
        files.push_back(folder / name);
    }
    return files;
}

Result<std::vector<std::filesystem::path>> writeEachResidualReport(const ProjectFigures& figures,
                                                                   const std::filesystem::path& folder,
                                                                   const Progress& progress)
{
    std::vector<std::filesystem::path> files;
    for (std::size_t i = 0; i < figures.drawings.size(); ++i) {
        ProjectFigures one{figures.facts, figures.at, {figures.drawings[i]}, {}, figures.siteGrid};
        std::string name = figures.drawings[i].drawing.number;
        for (char& c : name)
            if (!std::isalnum(static_cast<unsigned char>(c)) && c != '.' && c != '_')
                c = '-';
        const std::filesystem::path own = folder / name;
        std::error_code failed;
        std::filesystem::create_directories(own, failed);
        if (failed)
            return Error{ErrorCode::System, own.string() + ": cannot be made: " + failed.message()};
        const auto written = writeResidualReport(one, own);
        if (!written)
            return written.error();
        files.insert(files.end(), written->begin(), written->end());
        if (!report(progress, double(i + 1) / double(figures.drawings.size())))
            return Error{ErrorCode::Cancelled, "the reports were stopped"};
    }
    return files;
}

} // namespace inkpeg
