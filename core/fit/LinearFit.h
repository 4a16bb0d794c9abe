// SPDX-License-Identifier: GPL-3.0-or-later
// Weighted linear least squares by orthogonal decomposition: the one solver behind every fit of this
// folder.
//
//   Result<LinearFit> line = fitLinear(design, observed, standardErrors);
//   line->coefficients, line->residuals, line->standardErrorOfUnitWeight()
#pragma once

#include <span>

#include <Eigen/Core>

#include "core/base/Result.h"

namespace inkpeg {

/// Shape: m observations, p coefficients. Residual = fitted - observed, in the unit of the observations.
struct LinearFit {
    Eigen::VectorXd coefficients;
    Eigen::MatrixXd cofactor; ///< covariance of the coefficients for a unit variance factor of 1
    Eigen::VectorXd residuals;
    Eigen::VectorXd
        redundancyNumbers;        ///< share of each observation's error that shows in its residual, 0 to 1
    double weightedSquareSum = 0; ///< sum of (residual / standard error)^2
    int redundancy = 0;           ///< m - p

    /// 0 when the redundancy is 0.
    double standardErrorOfUnitWeight() const;
};

/// Minimises the sum of squares of (design * coefficients - observed) / standardErrors.
///
/// Shape:  design m x p with m >= p; observed and standardErrors m; standard errors > 0.
/// Errors: Unsolvable when the columns, each scaled to length 1, are dependent: a pivot of the decomposition is
///         below `rankTolerance` times the first.
/// Source: Golub & Van Loan, Matrix Computations, 4th ed., 5.4 (QR with column pivoting); Bjorck, Numerical
///         Methods for Least Squares Problems, SIAM 1996, 2.9 (refinement of the augmented system).
Result<LinearFit> fitLinear(const Eigen::MatrixXd& design, const Eigen::VectorXd& observed,
                            const Eigen::VectorXd& standardErrors, double rankTolerance = 1e-12);

/// A regression in the variables as given; computed in centred and scaled ones by fitLinear.
struct Regression {
    Eigen::VectorXd coefficients; ///< constant first
    Eigen::VectorXd standardErrors;
    double residualStandardDeviation = 0;
    int redundancy = 0;
};

/// y = b0 + b1 x + ... + b_degree x^degree, unit weights.
/// Errors: Unsolvable (fewer than degree + 1 different x).
Result<Regression> fitPolynomial(std::span<const double> x, std::span<const double> y, int degree);

/// y = b0 + b1 x1 + ... + bk xk, unit weights; `columns` is m x k.
/// Without a constant the columns are scaled but not centred, and b0 is left out of the coefficients.
Result<Regression> fitRegression(const Eigen::MatrixXd& columns, const Eigen::VectorXd& y,
                                 bool withConstant = true);

/// The power of two at or above `value`: scaling by it rounds nothing. 1 for 0.
double powerOfTwoAbove(double value);

} // namespace inkpeg
