// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/ResidualFigures.h"

#include <algorithm>
#include <cmath>

#include <nlohmann/json.hpp>

#include "core/base/Csv.h"
#include "core/base/Text.h"
#include "core/handover/FeatureLayers.h"
#include "core/handover/Geodata.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

using Json = nlohmann::ordered_json;

constexpr int FewestCheckPoints = 20;
constexpr double Factor95 = 2.4477;
constexpr double SmallestRatio = 0.6;

FitVerdict verdictOf(const ControlFit& fit)
{
    bool checked = fit.redundancy > 0;
    for (const PinResidual& residual : fit.residuals) {
        if (residual.use == PinUse::LeftOut)
            continue;
        if (!residual.withinTolerance)
            return FitVerdict::Out;
        checked = checked || residual.use == PinUse::Check;
    }
    return checked ? FitVerdict::Within : FitVerdict::NoSpare;
}

std::vector<ScanPx> cornersOf(const Drawing& drawing, const FilmFrame& film)
{
    if (drawing.frame.size() >= 3)
        return drawing.frame;
    return {{0, 0}, {film.widthPx, 0}, {film.widthPx, film.heightPx}, {0, film.heightPx}};
}

ScanPx middleOf(const std::vector<ScanPx>& corners)
{
    const auto [left, right] = std::minmax_element(corners.begin(), corners.end(),
                                                   [](ScanPx a, ScanPx b) { return a.column < b.column; });
    const auto [top, bottom] = std::minmax_element(corners.begin(), corners.end(),
                                                   [](ScanPx a, ScanPx b) { return a.row < b.row; });
    return {(left->column + right->column) / 2, (top->row + bottom->row) / 2};
}

void addErrors(const ProjectFacts& facts, DrawingFigures& figures)
{
    const PositionErrors errors(figures.ground, figures.points, facts.tracingErrorMm);
    const std::vector<ScanPx> corners = cornersOf(figures.drawing, figures.ground.film);
    figures.atCentre = errors.at(middleOf(corners));
    for (const ScanPx corner : corners)
        if (const PositionError error = errors.at(corner); error.totalM() > figures.atWorstCorner.totalM())
            figures.atWorstCorner = error;
}

/// The last act that speaks of pinning and of this drawing by its whole number.
std::optional<JournalEntry> lastPinned(const std::vector<JournalEntry>& journal, const std::string& number)
{
    const auto speaksOf = [&](const std::string& what) {
        const std::size_t at = what.find(number);
        if (at == std::string::npos || lowerAscii(what).find("pin") == std::string::npos)
            return false;
        const std::size_t end = at + number.size();
        const auto partOfWord = [](char c) {
            return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '-';
        };
        return (at == 0 || !partOfWord(what[at - 1])) && (end == what.size() || !partOfWord(what[end]));
    };
    const auto found = std::find_if(journal.rbegin(), journal.rend(),
                                    [&](const JournalEntry& entry) { return speaksOf(entry.what); });
    return found == journal.rend() ? std::nullopt : std::optional(*found);
}

Result<DrawingFigures> figuresOf(const Project& project, const ProjectFacts& facts,
                                 const std::vector<JournalEntry>& journal, const Drawing& drawing)
{
    std::vector<Pin> pins = project.ofDrawing<Pin>(drawing.id);
    Result<DrawingGround> ground = groundOfDrawing(project, drawing, pins);
    if (!ground)
        return ground.error();
    Result<std::vector<ControlPoint>> points = controlPoints(project, drawing, pins);
    if (!points)
        return points.error();
    DrawingFigures figures{.drawing = drawing,
                           .sheet = project.byKey<Sheet>(drawing.sheet).value_or(Sheet()),
                           .ground = std::move(ground).value(),
                           .pins = std::move(pins),
                           .points = std::move(points).value(),
                           .verdict = FitVerdict::NoSpare,
                           .worstMm = 0,
                           .worstPeg = {},
                           .atCentre = {},
                           .atWorstCorner = {},
                           .check = {},
                           .lastPinned = lastPinned(journal, drawing.number)};
    figures.verdict = verdictOf(figures.ground.fit);
    for (const PinResidual& residual : figures.ground.fit.residuals) {
        if (residual.use != PinUse::LeftOut && residual.filmMm >= figures.worstMm) {
            figures.worstMm = residual.filmMm;
            figures.worstPeg = residual.peg;
        }
    }
    figures.check = checkPointAccuracy(figures.ground.fit.residuals);
    addErrors(facts, figures);
    return figures;
}

Json errorJson(const PositionError& error)
{
    return {{"total_m", error.totalM()},
            {"control_m", error.controlM},
            {"peg_m", error.pegM},
            {"tracing_m", error.tracingM},
            {"pixel_m", error.pixelM}};
}

Json pinJson(const DrawingFigures& figures, std::size_t i)
{
    const PinResidual& residual = figures.ground.fit.residuals[i];
    const ControlPoint& point = figures.points[i];
    return {{"peg", residual.peg},
            {"use", nameOf(residual.use)},
            {"column_px", figures.pins[i].mark.column},
            {"row_px", figures.pins[i].mark.row},
            {"film_x_mm", point.film.x},
            {"film_y_mm", point.film.y},
            {"surveyed_east_m", point.ground.east},
            {"surveyed_north_m", point.ground.north},
            {"residual_east_m", residual.eastM},
            {"residual_north_m", residual.northM},
            {"residual_m", residual.lengthM()},
            {"residual_mm", residual.filmMm},
            {"redundancy_share", residual.redundancyShare},
            {"within_tolerance", residual.withinTolerance}};
}

Json checkJson(const CheckPointAccuracy& check)
{
    return {{"count", check.count},
            {"rmse_east_m", check.rmseEastM},
            {"rmse_north_m", check.rmseNorthM},
            {"horizontal_95_m", check.horizontal95M ? Json(*check.horizontal95M) : Json(nullptr)},
            {"as_many_as_the_standard_asks", check.enough}};
}

Json drawingJson(const DrawingFigures& figures)
{
    const ControlFit& fit = figures.ground.fit;
    Json json = {{"drawing", figures.drawing.number},
                 {"kind", nameOf(figures.drawing.kind)},
                 {"sheet", figures.sheet.number},
                 {"scan_sha256", figures.sheet.scanSha256},
                 {"scale_denominator", figures.drawing.scaleDenominator},
                 {"model", modelName(fit.settings.model)},
                 {"verdict", fitVerdictName(figures.verdict)},
                 {"tolerance_mm", fit.settings.toleranceMm},
                 {"pins_used", fit.pinsUsed},
                 {"parameters", fit.parameters},
                 {"redundancy", fit.redundancy},
                 {"rmse_m", fit.rmseM},
                 {"rmse_mm", fit.rmseMm},
                 {"s0", fit.redundancy > 0 ? Json(fit.standardErrorOfUnitWeight) : Json(nullptr)},
                 {"worst_mm", figures.worstMm},
                 {"worst_peg", figures.worstPeg},
                 {"error_at_centre", errorJson(figures.atCentre)},
                 {"error_at_worst_corner", errorJson(figures.atWorstCorner)}};
    json["check_points"] = figures.check ? checkJson(*figures.check) : Json(nullptr);
    json["pinned_by"] = figures.lastPinned ? Json(figures.lastPinned->person) : Json(nullptr);
    json["pinned_at"] = figures.lastPinned ? Json(figures.lastPinned->at) : Json(nullptr);
    json["pins"] = Json::array();
    for (std::size_t i = 0; i < fit.residuals.size(); ++i)
        json["pins"].push_back(pinJson(figures, i));
    return json;
}

} // namespace

std::string fitVerdictName(FitVerdict verdict)
{
    switch (verdict) {
    case FitVerdict::Within:
        return "within tolerance";
    case FitVerdict::Out:
        return "out of tolerance";
    case FitVerdict::NoSpare:
        return "not checked: no spare pin";
    }
    return {};
}

std::optional<CheckPointAccuracy> checkPointAccuracy(const std::vector<PinResidual>& residuals)
{
    CheckPointAccuracy accuracy;
    double eastEast = 0, northNorth = 0;
    for (const PinResidual& residual : residuals) {
        if (residual.use != PinUse::Check)
            continue;
        ++accuracy.count;
        eastEast += residual.eastM * residual.eastM;
        northNorth += residual.northM * residual.northM;
    }
    if (accuracy.count == 0)
        return std::nullopt;
    accuracy.rmseEastM = std::sqrt(eastEast / accuracy.count);
    accuracy.rmseNorthM = std::sqrt(northNorth / accuracy.count);
    accuracy.enough = accuracy.count >= FewestCheckPoints;
    const auto [smaller, larger] = std::minmax(accuracy.rmseEastM, accuracy.rmseNorthM);
    if (larger == 0 || smaller / larger >= SmallestRatio)
        accuracy.horizontal95M = Factor95 * 0.5 * (accuracy.rmseEastM + accuracy.rmseNorthM);
    return accuracy;
}

Result<DrawingFigures> residualFigures(const Project& project, const Drawing& drawing)
{
    return figuresOf(project, project.facts(), project.journal(), drawing);
}

Result<ProjectFigures> residualFigures(const Project& project,
                                       const std::vector<std::string>& drawingNumbers)
{
    std::vector<Drawing> drawings;
    for (const std::string& number : drawingNumbers) {
        const std::optional<Drawing> drawing = project.byKey<Drawing>(number);
        if (!drawing)
            return Error{ErrorCode::NotFound, "drawing \"" + number + "\" is not in the register"};
        drawings.push_back(*drawing);
    }
    if (drawingNumbers.empty())
        drawings = project.all<Drawing>();
    ProjectFigures figures{project.facts(), handOverTime(project), {}, {}};
    const std::vector<JournalEntry> journal = project.journal();
    for (const Drawing& drawing : drawings) {
        Result<DrawingFigures> one = figuresOf(project, figures.facts, journal, drawing);
        if (one)
            figures.drawings.push_back(std::move(one).value());
        else
            figures.unfitted.push_back({drawing, one.error().message});
    }
    return figures;
}

std::string residualCsv(const ProjectFigures& figures)
{
    std::string csv =
        "drawing,model,peg,use,column_px,row_px,surveyed_east_m,surveyed_north_m,residual_east_m,"
        "residual_north_m,residual_m,residual_mm,redundancy_share,tolerance\r\n";
    for (const DrawingFigures& drawing : figures.drawings) {
        const ControlFit& fit = drawing.ground.fit;
        for (std::size_t i = 0; i < fit.residuals.size(); ++i) {
            const PinResidual& residual = fit.residuals[i];
            const GroundM surveyed = drawing.points[i].ground;
            csv += csvField(drawing.drawing.number) + "," + modelName(fit.settings.model) + "," +
                   csvField(residual.peg) + "," + nameOf(residual.use) + "," +
                   fixed(drawing.pins[i].mark.column, 2) + "," + fixed(drawing.pins[i].mark.row, 2) + "," +
                   fixed(surveyed.east, 4) + "," + fixed(surveyed.north, 4) + "," +
                   fixed(residual.eastM, 4) + "," + fixed(residual.northM, 4) + "," +
                   fixed(residual.lengthM(), 4) + "," + fixed(residual.filmMm, 3) + "," +
                   fixed(residual.redundancyShare, 3) + "," +
                   (residual.withinTolerance ? "within" : "out") + "\r\n";
        }
    }
    return csv;
}

std::string residualJson(const ProjectFigures& figures)
{
    Json json = {{"site_code", figures.facts.siteCode},
                 {"title", figures.facts.title},
                 {"crs", figures.facts.crs},
                 {"at", figures.at},
                 {"tracing_error_mm", figures.facts.tracingErrorMm},
                 {"tolerance_mm", figures.facts.pinToleranceMm}};
    json["drawings"] = Json::array();
    for (const DrawingFigures& drawing : figures.drawings)
        json["drawings"].push_back(drawingJson(drawing));
    json["not_fitted"] = Json::array();
    for (const UnfittedDrawing& drawing : figures.unfitted)
        json["not_fitted"].push_back({{"drawing", drawing.drawing.number}, {"why", drawing.why}});
    json["cautions"] = cautions();
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string pinningAct(const std::string& drawingNumber, const std::string& details)
{
    return "pin drawing " + drawingNumber + ": " + details;
}

} // namespace inkpeg
