// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/PinTables.h"

#include <algorithm>
#include <cmath>
#include <iomanip>
#include <numbers>
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/print/ResidualReport.h"
#include "core/base/Text.h"
#include "core/records/Names.h"

namespace inkpeg {

std::string padded(const std::string& text, std::size_t width)
{
    std::size_t letters = 0;
    for (const char c : text)
        letters += (static_cast<unsigned char>(c) & 0xC0U) != 0x80U ? 1 : 0;
    return letters < width ? text + std::string(width - letters, ' ') : text;
}

void printResiduals(const DrawingFigures& figures, std::ostream& out)
{
    const ControlFit& fit = figures.ground.fit;
    const bool upright = figures.ground.section.has_value();
    out << figures.drawing.number << ": " << modelName(fit.settings.model)
        << " at 1:" << exact(fit.settings.scaleDenominator) << ", " << fit.pinsUsed << " pins, redundancy "
        << fit.redundancy << "\n\n";
    out << padded("peg", 12) << padded("use", 7) << std::setw(12) << (upright ? "along mm" : "east mm")
        << std::setw(12) << (upright ? "level mm" : "north mm") << std::setw(12) << "film mm"
        << std::setw(8) << "spare" << std::setw(8) << "w"
        << "  tolerance\n";
    for (const PinResidual& residual : fit.residuals) {
        const bool tested = residual.use == PinUse::Fit;
        out << padded(residual.peg, 12) << padded(nameOf(residual.use), 7) << std::setw(12)
            << fixed(residual.eastM * 1000, 1) << std::setw(12) << fixed(residual.northM * 1000, 1)
            << std::setw(12) << fixed(residual.filmMm, 3) << std::setw(8)
            << (tested ? fixed(residual.redundancyShare, 2) : "-") << std::setw(8)
            << (tested ? testText(residual) : "-") << "  "
            << (residual.use == PinUse::LeftOut ? ""
                : residual.withinTolerance      ? "within"
                                                : "OUT")
            << "\n";
    }
    out << "\nRMSE " << fixed(fit.rmseM * 1000, 1) << " mm on the ground, " << fixed(fit.rmseMm, 3)
        << " mm on the film; standard error of unit weight "
        << (fit.redundancy > 0 ? fixed(fit.standardErrorOfUnitWeight, 2) : std::string("-")) << "\n"
        << "standard error at the middle " << fixed(figures.atCentre.totalM() * 1000, 1)
        << " mm, at the worst corner " << fixed(figures.atWorstCorner.totalM() * 1000, 1)
        << " mm on the ground\n"
        << (figures.check ? figures.check->statement : accuracyOfCheckPoints({}).statement) << "\n"
        << fitVerdictName(figures.verdict) << " (tolerance " << fixed(fit.settings.toleranceMm, 2)
        << " mm on the film)\n\n";
}

void printModels(const DrawingFigures& figures, std::ostream& out)
{
    const std::vector<std::string> columns = modelColumns();
    const int widths[] = {19, 7, 9, 13, 11, 18, 10, 9};
    out << padded(columns[0], static_cast<std::size_t>(widths[0]));
    for (std::size_t i = 1; i < columns.size(); ++i)
        out << std::setw(widths[i]) << columns[i];
    out << "\n";
    for (const ModelRow& row : modelRows(figures)) {
        out << padded(row.cells[0], static_cast<std::size_t>(widths[0]));
        for (std::size_t i = 1; i < row.cells.size(); ++i)
            out << std::setw(widths[i]) << row.cells[i];
        if (!row.whyNot.empty())
            out << "  " << row.whyNot;
        out << (row.recommended ? "  advised" : "") << (row.chosen ? "  chosen" : "") << "\n";
    }
    out << "advised is " << figures.comparison.reason << "\n"
        << fixed(100 * figures.comparison.extrapolationShare, 0)
        << " % of the drawing lies outside the hull of its pins\n\n";
}

void printDiagnosis(const DrawingFigures& figures, std::ostream& out)
{
    const DrawingDiagnosis& diagnosis = figures.diagnosis;
    if (diagnosis.hypotheses.empty()) {
        out << diagnosis.summary << "\n\n";
        return;
    }
    out << "likely causes:\n";
    for (std::size_t i = 0; i < diagnosis.hypotheses.size(); ++i)
        out << "  " << i + 1 << ". " << diagnosis.hypotheses[i].sentence << "\n     --remedy " << i + 1
            << ": " << remedyWords(figures.drawing, diagnosis, i) << "\n";
    out << "\n";
}

void printSiteGrid(const SiteGridFigures& figures, std::ostream& out)
{
    if (!figures.grid) {
        out << "site grid: " << figures.whyNot << "\n";
        return;
    }
    const SiteGrid& grid = *figures.grid;
    out << "site grid in the CRS: scale " << fixed(grid.scalePartsPerMillion(), 0) << " ppm, turned "
        << fixed(grid.rotationRad() * 180 / std::numbers::pi, 4) << " degrees clockwise, RMSE "
        << fixed(grid.rmseM() * 1000, 1) << " mm\n";
    for (const CommonPointResidual& point : grid.residuals())
        out << "  " << padded(point.name, 12) << std::setw(10) << fixed(point.eastM * 1000, 1)
            << std::setw(10) << fixed(point.northM * 1000, 1) << " mm" << (point.suspect ? "  SUSPECT" : "")
            << "\n";
    out << "\n";
}

void printCrosses(const GridProposal& grid, std::ostream& out)
{
    out << "grid of " << fixed(grid.stepM, 3) << " m from " << grid.first << " and " << grid.second << ": "
        << grid.pins.size() << " more crosses\n"
        << padded("peg", 12) << std::setw(11) << "column" << std::setw(11) << "row" << std::setw(9)
        << "+- px" << std::setw(10) << "away m"
        << "\n";
    for (const ProposedPin& pin : grid.pins)
        out << padded(pin.peg.empty() ? "?" : pin.peg, 12) << std::setw(11)
            << fixed(pin.cross.centre.column, 2) << std::setw(11) << fixed(pin.cross.centre.row, 2)
            << std::setw(9) << fixed(pin.cross.standardErrorPx, 3) << std::setw(10)
            << (pin.peg.empty() ? "-" : fixed(pin.awayM, 3))
            << (pin.doubtful ? "  doubtful: " + pin.doubt : "") << "\n";
}

std::string crossesJson(const GridProposal& grid, const std::string& drawing)
{
    nlohmann::ordered_json json = {{"drawing", drawing},
                                   {"from", {grid.first, grid.second}},
                                   {"step_m", grid.stepM},
                                   {"crosses", nlohmann::ordered_json::array()}};
    for (const ProposedPin& pin : grid.pins)
        json["crosses"].push_back({{"peg", pin.peg},
                                   {"column_px", pin.cross.centre.column},
                                   {"row_px", pin.cross.centre.row},
                                   {"standard_error_px", pin.cross.standardErrorPx},
                                   {"away_m", pin.awayM},
                                   {"doubtful", pin.doubtful},
                                   {"doubt", pin.doubt}});
    return json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

} // namespace inkpeg
