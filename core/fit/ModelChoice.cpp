// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/ModelChoice.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <Eigen/SVD>

#include "core/base/Text.h"
#include "core/fit/FilmHull.h"
#include "core/fit/PinConfiguration.h"
#include "core/fit/Quantiles.h"

namespace inkpeg {

namespace {

constexpr Model EveryModel[] = {Model::Similarity,  Model::Affine,      Model::Projective,
                                Model::Polynomial2, Model::Polynomial3, Model::ThinPlateSpline};

struct Box {
    FilmMm low, high;
};

Box boxOf(std::span<const FilmMm> points)
{
    Box box{points[0], points[0]};
    for (const FilmMm& p : points) {
        box.low = {std::min(box.low.x, p.x), std::min(box.low.y, p.y)};
        box.high = {std::max(box.high.x, p.x), std::max(box.high.y, p.y)};
    }
    return box;
}

/// The next simpler model of which `model` is a richer case; its own self for the simplest.
Model nextSimpler(Model model)
{
    switch (model) {
    case Model::Polynomial3:
        return Model::Polynomial2;
    case Model::Polynomial2:
    case Model::Projective:
    case Model::ThinPlateSpline:
        return Model::Affine;
    case Model::Affine:
    case Model::Similarity:
        break;
    }
    return Model::Similarity;
}

bool isCaseOf(Model simpler, Model richer)
{
    for (Model model = richer; model != Model::Similarity;) {
        model = nextSimpler(model);
        if (model == simpler)
            return true;
    }
    // No polynomial is a case of the spline, yet the spline follows any of them closely enough to be asked.
    return richer == Model::ThinPlateSpline && simpler != richer;
}

std::optional<FTest> fTest(const ControlFit& simpler, const ControlFit& richer)
{
    const int freed = simpler.redundancy - richer.redundancy;
    if (freed <= 0 || richer.redundancy <= 0)
        return std::nullopt;
    FTest test{.simpler = simpler.settings.model};
    const double gained = (simpler.weightedSquareSum - richer.weightedSquareSum) / freed;
    const double left = richer.weightedSquareSum / richer.redundancy;
    // A fit without any residual beats one with residuals beyond all doubt.
    test.value =
        left > 0 ? std::max(gained, 0.0) / left : (gained > 0 ? std::numeric_limits<double>::max() : 0.0);
    test.chance = fisherTail(test.value, freed, richer.redundancy);
    return test;
}

/// Of a linear smoother a left-out residual follows from the residual itself; refitting the spline for each
/// pin would choose another smoothing each time.
std::optional<double> splinePrediction(const ControlFit& fit)
{
    double squares = 0;
    int count = 0;
    for (const PinResidual& residual : fit.residuals) {
        if (residual.use != PinUse::Fit)
            continue;
        if (residual.redundancyEast < 1e-9 || residual.redundancyNorth < 1e-9)
            return std::nullopt;
        const double missed = std::hypot(residual.eastM / residual.redundancyEast,
                                         residual.northM / residual.redundancyNorth);
        squares += missed * missed;
        ++count;
    }
    return std::sqrt(squares / count);
}

std::optional<double> predictionErrorM(std::span<const ControlPoint> pins, const ControlFit& fit)
{
    if (fit.settings.model == Model::ThinPlateSpline)
        return splinePrediction(fit);
    std::vector<ControlPoint> others(pins.begin(), pins.end());
    double squares = 0;
    int count = 0;
    for (std::size_t i = 0; i < pins.size(); ++i) {
        if (pins[i].use != PinUse::Fit)
            continue;
        others[i].use = PinUse::LeftOut;
        const Result<ControlFit> without = fitControl(others, fit.settings);
        others[i].use = PinUse::Fit;
        if (!without)
            return std::nullopt; // this pin carries the model alone: nothing predicts it
        const double missed = distance(without->transform.toGround(pins[i].film), pins[i].ground);
        squares += missed * missed;
        ++count;
    }
    return std::sqrt(squares / count);
}

ModelAssessment assess(std::span<const ControlPoint> pins, FitSettings settings, Model model,
                       std::span<const FilmMm> drawing)
{
    settings.model = model;
    ModelAssessment assessment;
    assessment.model = model;
    Result<ControlFit> fit = fitControl(pins, settings);
    if (!fit) {
        assessment.whyNot = fit.error().message;
        return assessment;
    }
    assessment.predictionErrorM = predictionErrorM(pins, *fit);
    if (assessment.predictionErrorM)
        assessment.predictionErrorMm =
            filmMmFromGroundM(*assessment.predictionErrorM, settings.scaleDenominator);
    assessment.distortion = distortionOver(fit->transform, settings.scaleDenominator, drawing);
    assessment.fit = std::move(fit).value();
    return assessment;
}

/// A richer model that shows `simple` to be significantly worse, the most convincing one; or nothing.
const ModelAssessment* betterThan(const ModelAssessment& simple, const std::vector<ModelAssessment>& all,
                                  FTest& proof)
{
    const ModelAssessment* better = nullptr;
    for (const ModelAssessment& richer : all) {
        if (!richer.fit || !isCaseOf(simple.model, richer.model))
            continue;
        const std::optional<FTest> test = fTest(*simple.fit, *richer.fit);
        const bool predictsBetter = richer.predictionErrorM && simple.predictionErrorM &&
                                    *richer.predictionErrorM < *simple.predictionErrorM;
        if (!test || test->chance >= ModelChoiceSignificance || !predictsBetter)
            continue;
        if (!better || test->chance < proof.chance) {
            better = &richer;
            proof = *test;
        }
    }
    return better;
}

std::string chanceText(double chance)
{
    return chance < 0.0001 ? "below 0.01 %" : fixed(100 * chance, 2) + " %";
}

std::string predictionText(const ModelAssessment& assessment)
{
    return assessment.predictionErrorMm ? fixed(*assessment.predictionErrorMm, 2) + " mm"
                                        : "an unknown error";
}

std::string nameList(const std::vector<ModelAssessment>& all, Model than)
{
    std::string names;
    for (const ModelAssessment& richer : all)
        if (richer.fit && richer.fit->redundancy > 0 && isCaseOf(than, richer.model))
            names += (names.empty() ? "" : ", ") + modelName(richer.model);
    return names;
}

std::string restText(const std::vector<ModelAssessment>& all, Model recommended)
{
    if (recommended == Model::ThinPlateSpline)
        return "and there is no richer model";
    const std::string tried = nameList(all, recommended);
    return tried.empty() ? "and the pins leave nothing over to test a richer model"
                         : "and no richer model (" + tried + ") is significantly better";
}

void recommend(ModelComparison& comparison)
{
    const ModelAssessment* rejected = nullptr;
    FTest rejection;
    for (const ModelAssessment& simple : comparison.models) {
        if (!simple.fit)
            continue;
        if (simple.fit->redundancy == 0) {
            // The simplest that can be had; nothing is left over to test it with.
            if (!comparison.recommended) {
                comparison.recommended = simple.model;
                comparison.reason = modelName(simple.model) + ": " + std::to_string(simple.fit->pinsUsed) +
                                    " pins allow no other, and nothing checks them; pin one more peg";
            }
            continue;
        }
        FTest proof;
        if (betterThan(simple, comparison.models, proof)) {
            rejected = &simple;
            rejection = proof;
            continue;
        }
        comparison.recommended = simple.model;
        const std::string rest = restText(comparison.models, simple.model);
        comparison.reason = modelName(simple.model) + ": ";
        if (rejected)
            comparison.reason += modelWithArticle(rejected->model) +
                                 " fit is significantly worse (chance " + chanceText(rejection.chance) +
                                 "; left-out pins are predicted to " + predictionText(*rejected) +
                                 " against " + predictionText(simple) + " on the film), " + rest;
        else
            comparison.reason += "the simplest model already predicts left-out pins to " +
                                 predictionText(simple) + " on the film, " + rest;
        return;
    }
}

} // namespace

Distortion distortionOver(const GroundTransform& transform, double scaleDenominator,
                          std::span<const FilmMm> drawing)
{
    constexpr int Steps = 12;
    const Box box = boxOf(drawing);
    const double perMm = groundMFromFilmMm(1, scaleDenominator);
    Distortion distortion{.largestScalePpm = -1e9, .smallestScalePpm = 1e9};
    std::vector<ControlPoint> lattice;
    for (int i = 0; i <= Steps; ++i)
        for (int j = 0; j <= Steps; ++j) {
            const FilmMm film{box.low.x + (box.high.x - box.low.x) * i / Steps,
                              box.low.y + (box.high.y - box.low.y) * j / Steps};
            const GroundJacobian slope = transform.jacobian(film);
            Eigen::Matrix2d unit;
            unit << slope.eastByX, slope.eastByY, slope.northByX, slope.northByY;
            unit /= perMm;
            const Eigen::Vector2d scales = Eigen::JacobiSVD<Eigen::Matrix2d>(unit).singularValues();
            distortion.largestScalePpm = std::max(distortion.largestScalePpm, (scales[0] - 1) * 1e6);
            distortion.smallestScalePpm = std::min(distortion.smallestScalePpm, (scales[1] - 1) * 1e6);
            const double lean = unit.col(0).dot(unit.col(1)) / (unit.col(0).norm() * unit.col(1).norm());
            distortion.skewPpm =
                std::max(distortion.skewPpm, std::abs(std::asin(std::clamp(lean, -1.0, 1.0))) * 1e6);
            lattice.push_back({.peg = "", .film = film, .ground = transform.toGround(film)});
        }
    const Result<ControlFit> shape = fitControl(
        lattice, {.model = Model::Similarity, .scaleDenominator = scaleDenominator, .pinPointingMm = 0});
    if (shape)
        for (const PinResidual& residual : shape->residuals)
            distortion.awayMm = std::max(distortion.awayMm, residual.filmMm);
    return distortion;
}

double extrapolationShare(std::span<const FilmMm> pins, std::span<const FilmMm> drawing)
{
    const std::vector<FilmMm> hull = convexHull(pins);
    const double whole = std::abs(ringArea(drawing));
    if (hull.size() < 3 || !(whole > 0))
        return 1;
    return std::clamp(1 - std::abs(ringArea(clippedTo(hull, drawing))) / whole, 0.0, 1.0);
}

ModelComparison compareModels(std::span<const ControlPoint> pins, const FitSettings& settings,
                              std::span<const FilmMm> drawing)
{
    std::vector<FilmMm> used;
    for (const ControlPoint& pin : pins)
        if (pin.use == PinUse::Fit)
            used.push_back(pin.film);
    std::vector<FilmMm> outline(drawing.begin(), drawing.end());
    if (outline.size() < 3 && !used.empty()) {
        const Box box = boxOf(used);
        outline = {box.low, {box.high.x, box.low.y}, box.high, {box.low.x, box.high.y}};
    }
    ModelComparison comparison;
    if (used.empty())
        outline = {{0, 0}};
    comparison.extrapolationShare = extrapolationShare(used, outline);
    for (const Model model : EveryModel)
        comparison.models.push_back(assess(pins, settings, model, outline));
    for (ModelAssessment& assessment : comparison.models) {
        const auto& simpler = comparison.models[static_cast<std::size_t>(nextSimpler(assessment.model))];
        if (assessment.fit && simpler.fit && simpler.model != assessment.model)
            assessment.test = fTest(*simpler.fit, *assessment.fit);
    }
    recommend(comparison);
    if (!comparison.recommended)
        comparison.reason = comparison.models.front().whyNot;
    return comparison;
}

} // namespace inkpeg
