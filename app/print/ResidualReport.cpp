// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/ResidualReport.h"

#include <algorithm>

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

std::string checkInWords(const CheckPointAccuracy& check)
{
    std::string words =
        std::to_string(check.count) + (check.count == 1 ? " check point" : " check points") + ", RMSE " +
        fixed(check.rmseEastM * 1000, 1) + " mm east, " + fixed(check.rmseNorthM * 1000, 1) + " mm north";
    if (check.horizontal95M && check.enough)
        words += "; " + fixed(*check.horizontal95M * 1000, 1) + " mm at 95 % (NSSDA)";
    else if (!check.enough)
        words += "; fewer than the 20 that NSSDA asks for, so no 95 % figure is stated";
    else
        words += "; east and north differ too much for the NSSDA figure";
    return words;
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
    if (drawing.check)
        facts.emplace_back("Checked by", checkInWords(*drawing.check));
    return facts;
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

} // namespace inkpeg
