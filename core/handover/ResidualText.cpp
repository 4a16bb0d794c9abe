// SPDX-License-Identifier: GPL-3.0-or-later
// The figures of a residual report as text for programs: CSV and JSON.
#include <cmath>
#include <numbers>

#include <nlohmann/json.hpp>

#include "core/base/Csv.h"
#include "core/base/Text.h"
#include "core/handover/Geodata.h"
#include "core/handover/ResidualFigures.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

using Json = nlohmann::ordered_json;

Json errorJson(const PositionError& error)
{
    return {{"total_m", error.totalM()},
            {"control_m", error.controlM},
            {"peg_m", error.pegM},
            {"tracing_m", error.tracingM},
            {"pixel_m", error.pixelM}};
}

Json orNull(const std::optional<double>& value)
{
    return value ? Json(*value) : Json(nullptr);
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
            {"w_east", residual.testEast},
            {"w_north", residual.testNorth},
            {"placed_by", figures.pins[i].placedBy},
            {"mark_standard_error_px", orNull(figures.pins[i].standardErrorPx)},
            {"within_tolerance", residual.withinTolerance}};
}

Json checkJson(const CheckPointAccuracy& check)
{
    return {{"count", check.points},
            {"rmse_east_m", check.rmseEastM},
            {"rmse_north_m", check.rmseNorthM},
            {"horizontal_95_m", check.accuracy95M ? Json(*check.accuracy95M) : Json(nullptr)},
            {"as_many_as_the_standard_asks", check.enoughPoints},
            {"statement", check.statement}};
}

Json assessmentJson(const ModelAssessment& assessment)
{
    if (!assessment.fit)
        return {{"model", modelName(assessment.model)}, {"fitted", false}, {"why_not", assessment.whyNot}};
    const Distortion& distortion = assessment.distortion;
    Json json = {{"model", modelName(assessment.model)},
                 {"fitted", true},
                 {"parameters", assessment.fit->parameters},
                 {"redundancy", assessment.fit->redundancy},
                 {"rmse_mm", assessment.fit->rmseMm},
                 {"leave_one_out_m", orNull(assessment.predictionErrorM)},
                 {"leave_one_out_mm", orNull(assessment.predictionErrorMm)}};
    json["f_test"] = assessment.test ? Json{{"against", modelName(assessment.test->simpler)},
                                            {"value", assessment.test->value},
                                            {"chance", assessment.test->chance}}
                                     : Json(nullptr);
    json["distortion"] = {{"largest_scale_ppm", distortion.largestScalePpm},
                          {"smallest_scale_ppm", distortion.smallestScalePpm},
                          {"skew_ppm", distortion.skewPpm},
                          {"away_mm", distortion.awayMm}};
    return json;
}

Json comparisonJson(const ModelComparison& comparison)
{
    Json json = {
        {"recommended", comparison.recommended ? Json(modelName(*comparison.recommended)) : Json(nullptr)},
        {"reason", comparison.reason},
        {"extrapolation_share", comparison.extrapolationShare},
        {"compared", Json::array()}};
    for (const ModelAssessment& assessment : comparison.models)
        json["compared"].push_back(assessmentJson(assessment));
    return json;
}

Json testsJson(const PinTests& tests)
{
    return {{"largest_w", tests.largestW},
            {"at", tests.peg},
            {"limit_w", tests.limitW},
            {"largest_tau", tests.limitTau ? Json(tests.largestTau) : Json(nullptr)},
            {"limit_tau", orNull(tests.limitTau)}};
}

Json diagnosisJson(const DrawingFigures& figures)
{
    const DrawingDiagnosis& diagnosis = figures.diagnosis;
    Json json = {{"alarm", diagnosis.alarm},
                 {"summary", diagnosis.summary},
                 {"compared_in", nameOf(diagnosis.frame)},
                 {"hypotheses", Json::array()}};
    for (std::size_t i = 0; i < diagnosis.hypotheses.size(); ++i) {
        const Hypothesis& hypothesis = diagnosis.hypotheses[i];
        Json pins = Json::array();
        for (const std::size_t pin : hypothesis.pins)
            pins.push_back(diagnosis.pins[pin].peg);
        json["hypotheses"].push_back(
            {{"cause", blunderName(hypothesis.kind)},
             {"pins", pins},
             {"sentence", hypothesis.sentence},
             {"remedy", remedyWords(figures.drawing, diagnosis, i)},
             {"misfit_before_mm", hypothesis.misfitBeforeMm},
             {"misfit_after_mm", hypothesis.misfitAfterMm},
             // Read off the whole sheet, not weighed against other causes.
             {"support", std::isfinite(hypothesis.support) ? Json(hypothesis.support) : Json(nullptr)}});
    }
    return json;
}

Json siteGridJson(const SiteGridFigures& figures)
{
    if (!figures.grid)
        return {{"related", false}, {"why_not", figures.whyNot}};
    const SiteGrid& grid = *figures.grid;
    Json json = {{"related", true},
                 {"scale_ppm", grid.scalePartsPerMillion()},
                 {"rotation_degrees", grid.rotationRad() * 180 / std::numbers::pi},
                 {"origin_east_m", grid.origin().east},
                 {"origin_north_m", grid.origin().north},
                 {"rmse_m", grid.rmseM()},
                 {"redundancy", grid.redundancy()},
                 {"common_points", Json::array()}};
    for (const CommonPointResidual& point : grid.residuals())
        json["common_points"].push_back({{"peg", point.name},
                                         {"residual_east_m", point.eastM},
                                         {"residual_north_m", point.northM},
                                         {"w_east", point.testEast},
                                         {"w_north", point.testNorth},
                                         {"suspect", point.suspect}});
    return json;
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
    json["model_reason"] = figures.drawing.modelReason;
    json["models"] = comparisonJson(figures.comparison);
    json["tests"] = testsJson(figures.tests);
    json["diagnosis"] = diagnosisJson(figures);
    json["pins"] = Json::array();
    for (std::size_t i = 0; i < fit.residuals.size(); ++i)
        json["pins"].push_back(pinJson(figures, i));
    return json;
}

} // namespace

std::string residualCsv(const ProjectFigures& figures)
{
    std::string csv =
        "drawing,model,peg,use,column_px,row_px,surveyed_east_m,surveyed_north_m,residual_east_m,"
        "residual_north_m,residual_m,residual_mm,redundancy_share,w_east,w_north,tolerance\r\n";
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
                   fixed(residual.redundancyShare, 3) + "," + fixed(residual.testEast, 2) + "," +
                   fixed(residual.testNorth, 2) + "," + (residual.withinTolerance ? "within" : "out") +
                   "\r\n";
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
    json["site_grid"] = figures.siteGrid ? siteGridJson(*figures.siteGrid) : Json(nullptr);
    json["cautions"] = cautions();
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace inkpeg
