// SPDX-License-Identifier: GPL-3.0-or-later
// The smoothing thin-plate spline: the least bent film that still passes the pins as closely as their
// errors ask.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "core/base/Result.h"
#include "core/fit/PlaneEquations.h"

namespace inkpeg {

/// Fitted in the units of a PlaneNormal.
/// Coefficients: for east, then for north: one weight for each pin, then constant, x, y.
struct SplineFit {
    std::shared_ptr<const PlaneEquations> equations;
    Eigen::VectorXd coefficients;
    Eigen::MatrixXd covariance; ///< as a bilinear form on rows(); not a matrix with non-negative values
    Eigen::VectorXd residuals;  ///< east, north of each pin
    Eigen::VectorXd redundancyNumbers; ///< one less the diagonal of the smoother
    double weightedSquareSum = 0;
    double effectiveRedundancy = 0; ///< 2 n less the trace of the smoother
    double smoothing = 0;
};

/// Minimises, in each coordinate, sum((fitted - observed)^2 / standardError^2) + smoothing * bending
/// energy.
///
/// Shape:     n >= 4 film positions, all different, not on one line; observed and standardErrors 2 n, as
/// residuals.
/// smoothing: 0 passes through every pin. When not given it is the largest at which the weighted squares sum up
///            to no more than the redundancy left, so that what is smoothed away is what the standard errors
///            explain; where an affine map explains the pins already, the spline becomes that map.
/// Covariance: with smoothing, of a random surface whose roughness the smoothing implies (so it grows away from
///            the pins); without, of the pins' own errors carried through the interpolation.
/// Errors:    Unsolvable.
/// Source: Wahba, Spline Models for Observational Data, SIAM 1990, 1.5 (covariance) and 2.4 (the system);
///         Reinsch, Smoothing by spline functions, Numerische Mathematik 10, 1967 (choice of the smoothing),
///         with the redundancy left in place of the number of pins.
Result<SplineFit> fitSpline(const std::vector<Eigen::Vector2d>& film, const Eigen::VectorXd& observed,
                            const Eigen::VectorXd& standardErrors, std::optional<double> smoothing);

} // namespace inkpeg
