// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/ControlFit.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/fit/LinearFit.h"
#include "core/fit/PinConfiguration.h"
#include "core/fit/PlaneEquations.h"
#include "core/fit/Quantiles.h"
#include "core/fit/Spline.h"

namespace inkpeg {

namespace {

std::vector<ControlPoint> pinsOfFit(std::span<const ControlPoint> pins)
{
    std::vector<ControlPoint> used;
    std::copy_if(pins.begin(), pins.end(), std::back_inserter(used),
                 [](const ControlPoint& pin) { return pin.use == PinUse::Fit; });
    return used;
}

PlaneNormal normalOf(std::span<const ControlPoint> pins)
{
    PlaneNormal normal;
    const auto n = static_cast<double>(pins.size());
    // Means of differences: sums of raw coordinates of 5e6 m would lose digits.
    const ControlPoint& first = pins[0];
    Eigen::Vector4d mean = Eigen::Vector4d::Zero();
    for (const ControlPoint& pin : pins)
        mean +=
            Eigen::Vector4d(pin.film.x - first.film.x, pin.film.y - first.film.y,
                            pin.ground.east - first.ground.east, pin.ground.north - first.ground.north) /
            n;
    normal.filmCentre = {first.film.x + mean[0], first.film.y + mean[1]};
    normal.groundCentre = {first.ground.east + mean[2], first.ground.north + mean[3]};
    double farFilm = 0, farGround = 0;
    for (const ControlPoint& pin : pins) {
        farFilm = std::max(farFilm, distance(pin.film, normal.filmCentre));
        farGround = std::max(farGround, distance(pin.ground, normal.groundCentre));
    }
    normal.filmScale = powerOfTwoAbove(farFilm);
    normal.groundScale = powerOfTwoAbove(farGround);
    return normal;
}

/// The pins in units of a PlaneNormal: east, north of each.
struct Observations {
    std::vector<Eigen::Vector2d> film;
    Eigen::VectorXd ground;
    Eigen::VectorXd standardErrors;
};

Observations observe(std::span<const ControlPoint> pins, const PlaneNormal& normal,
                     const FitSettings& settings)
{
    Observations seen;
    const auto rows = 2 * static_cast<Eigen::Index>(pins.size());
    seen.ground.resize(rows);
    seen.standardErrors.resize(rows);
    Eigen::Index row = 0;
    for (const ControlPoint& pin : pins) {
        seen.film.push_back(normal.unit(pin.film));
        seen.ground.segment<2>(row) = normal.unit(pin.ground);
        seen.standardErrors[row] =
            combinedStandardErrorM(pin.standardErrorEastM, settings) / normal.groundScale;
        seen.standardErrors[row + 1] =
            combinedStandardErrorM(pin.standardErrorNorthM, settings) / normal.groundScale;
        row += 2;
    }
    return seen;
}

/// What every model's solution yields.
struct Solution {
    std::shared_ptr<const PlaneEquations> equations;
    Eigen::VectorXd coefficients;
    Eigen::MatrixXd covariance;
    Eigen::VectorXd redundancyNumbers;
    double weightedSquareSum = 0;
    int parameters = 0;
    double effectiveRedundancy = 0;
};

Eigen::MatrixXd designOf(const PlaneEquations& equations, const Observations& seen,
                         const Eigen::VectorXd& coefficients)
{
    Eigen::MatrixXd design(seen.ground.size(), equations.parameters());
    for (std::size_t i = 0; i < seen.film.size(); ++i)
        design.middleRows<2>(2 * static_cast<Eigen::Index>(i)) = equations.rows(seen.film[i], coefficients);
    return design;
}

Solution solutionOf(std::shared_ptr<const PlaneEquations> equations, const LinearFit& fit)
{
    Solution solution;
    solution.equations = std::move(equations);
    solution.coefficients = fit.coefficients;
    solution.covariance = fit.cofactor;
    solution.redundancyNumbers = fit.redundancyNumbers;
    solution.weightedSquareSum = fit.weightedSquareSum;
    solution.parameters = static_cast<int>(fit.coefficients.size());
    solution.effectiveRedundancy = fit.redundancy;
    return solution;
}

/// Start: the equations multiplied by their denominator are linear (direct linear transformation); then
/// Gauss-Newton on the residuals themselves. Source: Hartley & Zisserman, Multiple View Geometry in
/// Computer Vision, 2nd ed., 4.1 and A6.
Result<Solution> solveProjective(const Observations& seen, double rankTolerance)
{
    const auto equations = planeEquations(Model::Projective);
    Eigen::MatrixXd linear = Eigen::MatrixXd::Zero(seen.ground.size(), 8);
    for (std::size_t i = 0; i < seen.film.size(); ++i) {
        const Eigen::Index row = 2 * static_cast<Eigen::Index>(i);
        const Eigen::Vector2d& p = seen.film[i];
        linear.block<1, 3>(row, 0) << p[0], p[1], 1;
        linear.block<1, 3>(row + 1, 3) << p[0], p[1], 1;
        linear.block<2, 2>(row, 6) = -seen.ground.segment<2>(row) * p.transpose();
    }
    const Result<LinearFit> start = fitLinear(linear, seen.ground, seen.standardErrors, rankTolerance);
    if (!start)
        return start.error();
    Eigen::VectorXd coefficients = start->coefficients;
    for (int round = 0; round < 50; ++round) {
        Eigen::VectorXd misfit(seen.ground.size());
        for (std::size_t i = 0; i < seen.film.size(); ++i) {
            const Eigen::Index row = 2 * static_cast<Eigen::Index>(i);
            misfit.segment<2>(row) =
                seen.ground.segment<2>(row) - equations->value(seen.film[i], coefficients);
        }
        const Result<LinearFit> step =
            fitLinear(designOf(*equations, seen, coefficients), misfit, seen.standardErrors, rankTolerance);
        if (!step)
            return step.error();
        coefficients += step->coefficients;
        if (!coefficients.allFinite())
            break;
        if (step->coefficients.norm() <= 1e-13 * coefficients.norm()) {
            Solution solution = solutionOf(equations, *step);
            solution.coefficients = coefficients;
            return solution;
        }
    }
    return Error{ErrorCode::Unsolvable, "the projective fit does not settle"};
}

Result<Solution> solveSpline(const Observations& seen, const FitSettings& settings)
{
    Result<SplineFit> spline =
        fitSpline(seen.film, seen.ground, seen.standardErrors, settings.splineSmoothing);
    if (!spline)
        return spline.error();
    Solution solution;
    solution.equations = spline->equations;
    solution.coefficients = spline->coefficients;
    solution.covariance = spline->covariance;
    solution.redundancyNumbers = spline->redundancyNumbers;
    solution.weightedSquareSum = spline->weightedSquareSum;
    solution.effectiveRedundancy = spline->effectiveRedundancy;
    solution.parameters =
        static_cast<int>(seen.ground.size()) - static_cast<int>(std::lround(spline->effectiveRedundancy));
    return solution;
}

Result<Solution> solve(std::span<const ControlPoint> pins, const Observations& seen,
                       const PlaneNormal& normal, const FitSettings& settings)
{
    // A direction that the pointing of the pins alone could account for is not determined by them.
    const double rankTolerance = std::max(settings.pinPointingMm / normal.filmScale, 1e-10);
    Result<Solution> solution = Error{};
    if (settings.model == Model::ThinPlateSpline) {
        solution = solveSpline(seen, settings);
    } else if (settings.model == Model::Projective) {
        solution = solveProjective(seen, rankTolerance);
    } else {
        const auto equations = planeEquations(settings.model);
        const Result<LinearFit> fit = fitLinear(designOf(*equations, seen, Eigen::VectorXd()), seen.ground,
                                                seen.standardErrors, rankTolerance);
        solution = fit ? Result<Solution>(solutionOf(equations, *fit)) : Result<Solution>(fit.error());
    }
    if (!solution)
        return configurationUndetermined(pins, settings.model);
    return solution;
}

PinResidual residualOf(const ControlPoint& pin, const GroundTransform& transform,
                       const FitSettings& settings)
{
    const GroundM fitted = transform.toGround(pin.film);
    PinResidual residual;
    residual.peg = pin.peg;
    residual.use = pin.use;
    residual.eastM = fitted.east - pin.ground.east;
    residual.northM = fitted.north - pin.ground.north;
    residual.filmMm = filmMmFromGroundM(residual.lengthM(), settings.scaleDenominator);
    residual.withinTolerance = residual.filmMm <= settings.toleranceMm;
    return residual;
}

/// Residual over its own standard error; nothing to test where no redundancy shows it.
double testValue(double residualM, double standardErrorM, double redundancyNumber)
{
    constexpr double NoRedundancy = 1e-6;
    return redundancyNumber > NoRedundancy ? residualM / (standardErrorM * std::sqrt(redundancyNumber))
                                           : 0.0;
}

void addResiduals(ControlFit& fit, std::span<const ControlPoint> pins,
                  const Eigen::VectorXd& redundancyNumbers)
{
    Eigen::Index row = 0;
    double squares = 0;
    for (const ControlPoint& pin : pins) {
        PinResidual residual = residualOf(pin, fit.transform, fit.settings);
        if (pin.use == PinUse::Fit) {
            residual.redundancyEast = redundancyNumbers[row];
            residual.redundancyNorth = redundancyNumbers[row + 1];
            residual.redundancyShare = (residual.redundancyEast + residual.redundancyNorth) / 2;
            residual.testEast =
                testValue(residual.eastM, combinedStandardErrorM(pin.standardErrorEastM, fit.settings),
                          residual.redundancyEast);
            residual.testNorth =
                testValue(residual.northM, combinedStandardErrorM(pin.standardErrorNorthM, fit.settings),
                          residual.redundancyNorth);
            squares += residual.lengthM() * residual.lengthM();
            row += 2;
        }
        fit.residuals.push_back(std::move(residual));
    }
    fit.rmseM = std::sqrt(squares / fit.pinsUsed);
    fit.rmseMm = filmMmFromGroundM(fit.rmseM, fit.settings.scaleDenominator);
}

} // namespace

double PinResidual::lengthM() const
{
    return std::hypot(eastM, northM);
}

double GroundCovariance::standardErrorM() const
{
    return std::sqrt((eastEast + northNorth) / 2);
}

bool ErrorEllipse::holds(double eastM, double northM) const
{
    const double along = eastM * std::cos(majorAngleRad) + northM * std::sin(majorAngleRad);
    const double across = northM * std::cos(majorAngleRad) - eastM * std::sin(majorAngleRad);
    if (!(majorM > 0) || !(minorM > 0))
        return std::abs(along) <= majorM && std::abs(across) <= minorM;
    return std::hypot(along / majorM, across / minorM) <= 1;
}

ErrorEllipse GroundCovariance::ellipse(double probability) const
{
    const double factor = chiSquareQuantile(probability, 2);
    const double mean = (eastEast + northNorth) / 2;
    const double spread = std::hypot((eastEast - northNorth) / 2, eastNorth);
    return {.majorM = std::sqrt(factor * (mean + spread)),
            .minorM = std::sqrt(factor * std::max(mean - spread, 0.0)),
            .majorAngleRad = 0.5 * std::atan2(2 * eastNorth, eastEast - northNorth)};
}

GroundCovariance ControlFit::covarianceAt(FilmMm film) const
{
    const PlaneNormal& normal = plane->normal();
    const Eigen::MatrixXd rows = plane->equations().rows(normal.unit(film), coefficients);
    const double inflation = std::max(1.0, standardErrorOfUnitWeight);
    const double scale = normal.groundScale * inflation;
    const Eigen::Matrix2d unit = rows * covariance * rows.transpose() * (scale * scale);
    return {std::max(unit(0, 0), 0.0), unit(0, 1), std::max(unit(1, 1), 0.0)};
}

Result<ControlFit> fitControl(std::span<const ControlPoint> pins, const FitSettings& settings)
{
    const std::vector<ControlPoint> used = pinsOfFit(pins);
    if (const Result<void> configuration = checkConfiguration(used, settings); !configuration)
        return configuration.error();
    const PlaneNormal normal = normalOf(used);
    const Observations seen = observe(used, normal, settings);
    Result<Solution> solution = solve(used, seen, normal, settings);
    if (!solution)
        return solution.error();

    const auto plane =
        std::make_shared<const FittedPlane>(normal, solution->equations, solution->coefficients);
    ControlFit fit{
        .transform = GroundTransform(settings.model, plane), .settings = settings, .plane = plane};
    fit.pinsUsed = static_cast<int>(used.size());
    fit.parameters = solution->parameters;
    fit.redundancy = 2 * fit.pinsUsed - fit.parameters;
    fit.weightedSquareSum = solution->weightedSquareSum;
    if (fit.redundancy > 0)
        fit.standardErrorOfUnitWeight = std::sqrt(fit.weightedSquareSum / solution->effectiveRedundancy);
    fit.coefficients = std::move(solution->coefficients);
    fit.covariance = std::move(solution->covariance);
    addResiduals(fit, pins, solution->redundancyNumbers);
    return fit;
}

} // namespace inkpeg
