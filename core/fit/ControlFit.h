// SPDX-License-Identifier: GPL-3.0-or-later
// Ties a drawing to surveyed control: a weighted least-squares fit with everything needed to judge it.
//
//   std::vector<ControlPoint> pins = {{"A1", {20.0, 20.0}, {5000.0, 2000.0}}, ...};
//   const Result<ControlFit> fit = fitControl(pins, {.model = Model::Affine, .scaleDenominator = 20});
//   if (!fit) return fit.error();          // "2 pins (A1, B1): an affine fit needs 3; pin one more away
//   from ..." const GroundM place = fit->transform.toGround({143.2, 87.0});
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "core/base/Result.h"
#include "core/base/Units.h"
#include "core/fit/GroundTransform.h"

namespace inkpeg {

class FittedPlane;

/// What a pin is for.
enum class PinUse {
    Fit,     ///< takes part in the fit
    Check,   ///< a check point: left out of the fit, its residual judges it
    LeftOut, ///< set aside by the person
};

/// One pin as the fit sees it.
/// Units: film mm; ground metres; standard errors of the peg, one sigma, in metres.
struct ControlPoint {
    std::string peg;
    FilmMm film;
    GroundM ground;
    double standardErrorEastM = 0.010;
    double standardErrorNorthM = 0.010;
    PinUse use = PinUse::Fit;
};

struct FitSettings {
    Model model = Model::Affine;
    double scaleDenominator = 20; ///< stated scale of the drawing, 20 for 1:20
    /// One sigma of placing a pin on its mark, on the film (common practice, no source).
    double pinPointingMm = 0.10;
    /// Largest residual on the film at the stated scale (common practice, no source).
    double toleranceMm = 0.5;
    /// Nothing = from the standard errors; 0 = exactly through every pin.
    std::optional<double> splineSmoothing{};
};

/// Residual = fitted - surveyed.
struct PinResidual {
    std::string peg;
    PinUse use = PinUse::Fit;
    double eastM = 0;
    double northM = 0;
    double filmMm = 0; ///< length on the film at the stated scale
    /// Mean of the two coordinates' redundancy numbers, 0 to 1; 0 for check points.
    double redundancyShare = 0;
    bool withinTolerance = true;
    double redundancyEast = 0, redundancyNorth = 0; ///< redundancy numbers of the two coordinates
    double testEast = 0,
           testNorth = 0; ///< residual over its own standard error (w of data snooping); 0 untested

    double lengthM() const;
};

/// The region about a fitted place that holds the true one with a stated probability.
struct ErrorEllipse {
    double majorM = 0, minorM = 0; ///< half axes
    double majorAngleRad = 0;      ///< of the major axis, from east towards north, -pi/2 to pi/2

    /// Whether an offset from the centre lies inside.
    bool holds(double eastM, double northM) const;
};

/// Errors in east and north with their covariance, in square metres.
struct GroundCovariance {
    double eastEast = 0, eastNorth = 0, northNorth = 0;

    double standardErrorM() const; ///< root of the mean of the two variances: a per-axis figure

    /// 0 < probability < 1; 0.95 multiplies the standard ellipse by 2.4477.
    /// Source: Ghilani, Adjustment Computations, ch. 19 (error ellipse).
    ErrorEllipse ellipse(double probability) const;
};

struct ControlFit {
    GroundTransform transform;
    FitSettings settings;
    std::vector<PinResidual> residuals{}; ///< in the order of the pins given, all uses
    int pinsUsed = 0;
    int parameters = 0;
    int redundancy = 0;                   ///< 2 * pinsUsed - parameters
    double rmseM = 0;                     ///< root mean square length of residuals of the pins used
    double rmseMm = 0;                    ///< the same on the film
    double standardErrorOfUnitWeight = 0; ///< 0 when redundancy is 0
    double weightedSquareSum = 0;         ///< sum of (residual / standard error)^2 of both coordinates
    Eigen::VectorXd coefficients{}; ///< in centred, scaled film and ground coordinates, east then north
    Eigen::MatrixXd covariance{};   ///< of `coefficients`, a priori (unit variance factor 1)
    std::shared_ptr<const FittedPlane> plane{}; ///< the transform with its equations (PlaneEquations.h)

    /// Covariance of a fitted position from the control alone, at a place on the film.
    /// The a-priori figure; scaled up by the square of the standard error of unit weight where that
    /// exceeds 1.
    GroundCovariance covarianceAt(FilmMm film) const;
};

/// Fits `settings.model` to the pins whose use is Fit, each coordinate weighted by
/// 1 / (peg standard error^2 + (pinPointingMm * scale)^2).
///
/// Errors: Unsolvable with a message that names the pins: too few, coincident, on one line, or a configuration
///         that does not determine the model; and says what would help.
/// Source: Golub & Van Loan, Matrix Computations, 4th ed., 5.3 (orthogonal decomposition); Ghilani, Adjustment
///         Computations, ch. 18 (plane transformations).
Result<ControlFit> fitControl(std::span<const ControlPoint> pins, const FitSettings& settings);

} // namespace inkpeg
