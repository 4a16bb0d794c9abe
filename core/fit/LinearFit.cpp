// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/LinearFit.h"

#include <cmath>
#include <string>

#include <Eigen/QR>

namespace inkpeg {

namespace {

using LongMatrix = Eigen::Matrix<long double, Eigen::Dynamic, Eigen::Dynamic>;
using LongVector = Eigen::Matrix<long double, Eigen::Dynamic, 1>;
using Decomposition = Eigen::ColPivHouseholderQR<Eigen::MatrixXd>;

/// The weighted system with columns of about length 1.
struct Scaled {
    Eigen::MatrixXd design;
    Eigen::VectorXd observed;
    Eigen::VectorXd columnScale;
};

Scaled scaled(const Eigen::MatrixXd& design, const Eigen::VectorXd& observed,
              const Eigen::VectorXd& standardErrors)
{
    Scaled system;
    system.design = standardErrors.cwiseInverse().asDiagonal() * design;
    system.observed = observed.cwiseQuotient(standardErrors);
    system.columnScale.resize(design.cols());
    for (Eigen::Index k = 0; k < design.cols(); ++k)
        system.columnScale[k] = powerOfTwoAbove(system.design.col(k).norm());
    system.design = system.design * system.columnScale.cwiseInverse().asDiagonal();
    return system;
}

/// One round of refinement of residuals and coefficients together; what is left over is formed in extended
/// precision. A plain re-solve for the residual was tried and stalls where residuals are large (NIST
/// Wampler5).
void refine(const Scaled& system, const Decomposition& qr, LongVector& residual, LongVector& solution)
{
    const Eigen::Index p = system.design.cols();
    const LongMatrix design = system.design.cast<long double>();
    const Eigen::VectorXd f =
        (system.observed.cast<long double>() - residual - design * solution).cast<double>();
    const Eigen::VectorXd g = (-(design.transpose() * residual)).cast<double>();
    const auto upper = qr.matrixR().topLeftCorner(p, p).triangularView<Eigen::Upper>();
    const Eigen::VectorXd permuted = qr.colsPermutation().transpose() * g;
    const Eigen::VectorXd h = upper.transpose().solve(permuted);
    Eigen::VectorXd rotated = f;
    rotated.applyOnTheLeft(qr.householderQ().adjoint());
    const Eigen::VectorXd head = rotated.head(p) - h;
    const Eigen::VectorXd unpermuted = upper.solve(head);
    rotated.head(p) = h;
    rotated.applyOnTheLeft(qr.householderQ());
    residual += rotated.cast<long double>();
    solution += (qr.colsPermutation() * unpermuted).cast<long double>();
}

} // namespace

double LinearFit::standardErrorOfUnitWeight() const
{
    return redundancy > 0 ? std::sqrt(weightedSquareSum / redundancy) : 0.0;
}

double powerOfTwoAbove(double value)
{
    return value > 0 && std::isfinite(value) ? std::exp2(std::ceil(std::log2(value))) : 1.0;
}

Result<LinearFit> fitLinear(const Eigen::MatrixXd& design, const Eigen::VectorXd& observed,
                            const Eigen::VectorXd& standardErrors, double rankTolerance)
{
    const Eigen::Index m = design.rows();
    const Eigen::Index p = design.cols();
    const Scaled system = scaled(design, observed, standardErrors);
    Decomposition qr;
    qr.setThreshold(rankTolerance);
    qr.compute(system.design);
    if (m < p || qr.rank() < p)
        return Error{ErrorCode::Unsolvable, std::to_string(m) + " observations determine only " +
                                                std::to_string(std::min(m, qr.rank())) + " of " +
                                                std::to_string(p) + " coefficients"};

    LongVector solution = LongVector::Zero(p);
    LongVector residual = LongVector::Zero(m);
    // The first round is the solution itself, the others remove its rounding errors.
    for (int round = 0; round < 3; ++round)
        refine(system, qr, residual, solution);

    LinearFit fit;
    fit.redundancy = static_cast<int>(m - p);
    fit.coefficients = solution.cast<double>().cwiseQuotient(system.columnScale);
    fit.weightedSquareSum = static_cast<double>(residual.squaredNorm());
    fit.residuals = -residual.cast<double>().cwiseProduct(standardErrors);

    const Eigen::MatrixXd inverse = qr.matrixR().topLeftCorner(p, p).triangularView<Eigen::Upper>().solve(
        Eigen::MatrixXd::Identity(p, p));
    const Eigen::MatrixXd spread =
        system.columnScale.cwiseInverse().asDiagonal() * (qr.colsPermutation() * inverse);
    fit.cofactor = spread * spread.transpose();
    Eigen::MatrixXd thinQ = Eigen::MatrixXd::Identity(m, p);
    thinQ.applyOnTheLeft(qr.householderQ());
    fit.redundancyNumbers = (1.0 - thinQ.rowwise().squaredNorm().array()).max(0.0);
    return fit;
}

Result<Regression> fitPolynomial(std::span<const double> x, std::span<const double> y, int degree)
{
    const auto m = static_cast<Eigen::Index>(x.size());
    const Eigen::VectorXd abscissa = Eigen::Map<const Eigen::VectorXd>(x.data(), m);
    const Eigen::VectorXd observed = Eigen::Map<const Eigen::VectorXd>(y.data(), m);
    const double centre = abscissa.mean();
    const double scale = powerOfTwoAbove((abscissa.array() - centre).abs().maxCoeff());
    Eigen::MatrixXd design(m, degree + 1);
    design.col(0).setOnes();
    for (int power = 1; power <= degree; ++power)
        design.col(power) = design.col(power - 1).array() * ((abscissa.array() - centre) / scale);
    const Result<LinearFit> fit = fitLinear(design, observed, Eigen::VectorXd::Ones(m));
    if (!fit)
        return fit.error();

    // Row j, column k: share of ((x - centre) / scale)^k in x^j, by the binomial theorem.
    LongMatrix expansion = LongMatrix::Zero(degree + 1, degree + 1);
    for (int k = 0; k <= degree; ++k) {
        long double term = 1.0L / std::pow(static_cast<long double>(scale), k);
        for (int j = k; j >= 0; --j) {
            expansion(j, k) = term;
            term *= -static_cast<long double>(centre) * j / (k - j + 1);
        }
    }
    Regression regression;
    regression.redundancy = fit->redundancy;
    regression.residualStandardDeviation = fit->standardErrorOfUnitWeight();
    regression.coefficients = (expansion * fit->coefficients.cast<long double>()).cast<double>();
    const LongMatrix cofactor = expansion * fit->cofactor.cast<long double>() * expansion.transpose();
    regression.standardErrors =
        regression.residualStandardDeviation * cofactor.diagonal().cwiseSqrt().cast<double>();
    return regression;
}

Result<Regression> fitRegression(const Eigen::MatrixXd& columns, const Eigen::VectorXd& y,
                                 bool withConstant)
{
    const Eigen::Index m = columns.rows();
    const Eigen::Index k = columns.cols();
    const Eigen::Index first = withConstant ? 1 : 0;
    Eigen::MatrixXd design = Eigen::MatrixXd::Ones(m, k + first);
    // Back from centred to given variables: only the constant changes.
    Eigen::MatrixXd expansion = Eigen::MatrixXd::Identity(k + first, k + first);
    for (Eigen::Index i = 0; i < k; ++i) {
        const double centre = withConstant ? columns.col(i).mean() : 0.0;
        design.col(first + i) = columns.col(i).array() - centre;
        if (withConstant)
            expansion(0, 1 + i) = -centre;
    }
    const Result<LinearFit> fit = fitLinear(design, y, Eigen::VectorXd::Ones(m));
    if (!fit)
        return fit.error();
    Regression regression;
    regression.redundancy = fit->redundancy;
    regression.residualStandardDeviation = fit->standardErrorOfUnitWeight();
    regression.coefficients = expansion * fit->coefficients;
    const Eigen::MatrixXd cofactor = expansion * fit->cofactor * expansion.transpose();
    regression.standardErrors = regression.residualStandardDeviation * cofactor.diagonal().cwiseSqrt();
    return regression;
}

} // namespace inkpeg
