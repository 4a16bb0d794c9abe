// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/Spline.h"

#include <cmath>
#include <utility>

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <Eigen/LU>
#include <Eigen/QR>

namespace inkpeg {

namespace {

/// r^2 log r of the squared distance, and its derivative by r^2.
double kernel(double square)
{
    return square > 0 ? 0.5 * square * std::log(square) : 0.0;
}
double kernelSlope(double square)
{
    return square > 0 ? 0.5 * (std::log(square) + 1) : 0.0;
}

class Spline final : public PlaneEquations {
public:
    explicit Spline(std::vector<Eigen::Vector2d> centres) : m_centres(std::move(centres)) {}

    int parameters() const override { return 2 * half(); }

    Eigen::Vector2d value(const Eigen::Vector2d& film, const Eigen::VectorXd& c) const override
    {
        const Eigen::Index n = count();
        Eigen::Vector2d sum = Eigen::Vector2d::Zero();
        for (Eigen::Index i = 0; i < n; ++i)
            sum += kernel((film - centre(i)).squaredNorm()) * both(c, i);
        return sum + both(c, n) + film[0] * both(c, n + 1) + film[1] * both(c, n + 2);
    }

    Eigen::Matrix2d slope(const Eigen::Vector2d& film, const Eigen::VectorXd& c) const override
    {
        const Eigen::Index n = count();
        Eigen::Matrix2d slope;
        slope << both(c, n + 1), both(c, n + 2);
        for (Eigen::Index i = 0; i < n; ++i) {
            const Eigen::Vector2d away = film - centre(i);
            slope += both(c, i) * (2 * kernelSlope(away.squaredNorm()) * away).transpose();
        }
        return slope;
    }

    Eigen::MatrixXd rows(const Eigen::Vector2d& film, const Eigen::VectorXd&) const override
    {
        const Eigen::Index n = count();
        Eigen::MatrixXd rows = Eigen::MatrixXd::Zero(2, parameters());
        for (Eigen::Index i = 0; i < n; ++i)
            rows(0, i) = kernel((film - centre(i)).squaredNorm());
        rows(0, n) = 1;
        rows(0, n + 1) = film[0];
        rows(0, n + 2) = film[1];
        rows.block(1, half(), 1, half()) = rows.block(0, 0, 1, half());
        return rows;
    }

private:
    Eigen::Index count() const { return static_cast<Eigen::Index>(m_centres.size()); }
    int half() const { return static_cast<int>(m_centres.size()) + 3; }
    const Eigen::Vector2d& centre(Eigen::Index i) const { return m_centres[static_cast<std::size_t>(i)]; }
    Eigen::Vector2d both(const Eigen::VectorXd& c, Eigen::Index i) const { return {c[i], c[half() + i]}; }

    std::vector<Eigen::Vector2d> m_centres;
};

/// What does not depend on the coordinate: kernel matrix, affine part, and a basis of what the affine part
/// leaves.
struct Shape {
    Eigen::MatrixXd kernels;
    Eigen::MatrixXd affine;
    Eigen::MatrixXd null;

    explicit Shape(const std::vector<Eigen::Vector2d>& film)
    {
        const auto n = static_cast<Eigen::Index>(film.size());
        kernels.resize(n, n);
        affine.resize(n, 3);
        for (Eigen::Index i = 0; i < n; ++i) {
            const Eigen::Vector2d& p = film[static_cast<std::size_t>(i)];
            affine.row(i) << 1, p[0], p[1];
            for (Eigen::Index j = 0; j < n; ++j)
                kernels(i, j) = kernel((p - film[static_cast<std::size_t>(j)]).squaredNorm());
        }
        const Eigen::HouseholderQR<Eigen::MatrixXd> qr(affine);
        const Eigen::MatrixXd q = qr.householderQ();
        null = q.rightCols(n - 3);
    }
};

/// One coordinate: its bending in independent directions, from which redundancy and square sum follow for
/// any smoothing without solving again.
struct Coordinate {
    Eigen::VectorXd observed;
    Eigen::VectorXd variance;
    Eigen::VectorXd stiffness; ///< how strongly each direction of bending is penalised (inverse)
    Eigen::VectorXd bending;   ///< the observations' part in each direction, in standard errors

    Coordinate(const Shape& shape, Eigen::VectorXd observations, const Eigen::VectorXd& standardErrors)
        : observed(std::move(observations)), variance(standardErrors.cwiseAbs2())
    {
        const Eigen::LLT<Eigen::MatrixXd> noise(shape.null.transpose() * variance.asDiagonal() *
                                                shape.null);
        const Eigen::MatrixXd half =
            noise.matrixL().solve(shape.null.transpose() * shape.kernels * shape.null);
        const Eigen::MatrixXd both = noise.matrixL().solve(half.transpose());
        const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> directions(0.5 * (both + both.transpose()));
        stiffness = directions.eigenvalues().cwiseMax(0.0);
        bending = directions.eigenvectors().transpose() *
                  noise.matrixL().solve(shape.null.transpose() * observed);
    }

    double redundancy(double smoothing) const
    {
        return (smoothing / (stiffness.array() + smoothing)).sum();
    }
    double squareSum(double smoothing) const
    {
        return (smoothing / (stiffness.array() + smoothing) * bending.array()).square().sum();
    }
};

double chooseSmoothing(const Coordinate& east, const Coordinate& north)
{
    const auto tooSmooth = [&](double smoothing) {
        return east.squareSum(smoothing) + north.squareSum(smoothing) >
               east.redundancy(smoothing) + north.redundancy(smoothing);
    };
    const double stiffest = std::max(east.stiffness.maxCoeff(), north.stiffness.maxCoeff());
    double high = 1e8 * stiffest; // as good as an affine map
    if (!tooSmooth(high))
        return high;
    double low = high;
    // The square sum falls with the square of the smoothing, the redundancy only in proportion: this ends.
    for (int halving = 0; halving < 400 && tooSmooth(low); ++halving) {
        high = low;
        low *= 0.5;
    }
    for (int halving = 0; halving < 50; ++halving) {
        const double middle = std::sqrt(low * high);
        (tooSmooth(middle) ? high : low) = middle;
    }
    return low;
}

struct Solved {
    Eigen::VectorXd coefficients;
    Eigen::MatrixXd covariance;
    Eigen::VectorXd residuals;
    Eigen::VectorXd redundancyNumbers;
};

Solved solve(const Shape& shape, const Coordinate& coordinate, double smoothing)
{
    const Eigen::Index n = shape.kernels.rows();
    const Eigen::MatrixXd loaded =
        shape.kernels + Eigen::MatrixXd(smoothing * coordinate.variance.asDiagonal().toDenseMatrix());
    const Eigen::MatrixXd inner = shape.null.transpose() * loaded * shape.null;
    const Eigen::LDLT<Eigen::MatrixXd> ldlt(inner);
    const Eigen::VectorXd bend = shape.null * ldlt.solve(shape.null.transpose() * coordinate.observed);
    const Eigen::VectorXd plane =
        shape.affine.colPivHouseholderQr().solve(coordinate.observed - loaded * bend);

    Solved solved;
    solved.coefficients.resize(n + 3);
    solved.coefficients << bend, plane;
    const Eigen::VectorXd pull = smoothing * coordinate.variance;
    solved.residuals = -pull.cwiseProduct(bend);
    const Eigen::MatrixXd kept = shape.null * ldlt.solve(shape.null.transpose());
    solved.redundancyNumbers = pull.cwiseProduct(kept.diagonal()).cwiseMax(0.0).cwiseMin(1.0);

    Eigen::MatrixXd system = Eigen::MatrixXd::Zero(n + 3, n + 3);
    system.topRightCorner(n, 3) = shape.affine;
    system.bottomLeftCorner(3, n) = shape.affine.transpose();
    Eigen::VectorXd side = Eigen::VectorXd::Ones(n + 3);
    if (smoothing > 0) {
        side.head(n).setConstant(1 / smoothing);
        system.topLeftCorner(n, n) = shape.kernels / smoothing;
        system.topLeftCorner(n, n).diagonal() += coordinate.variance;
        solved.covariance = -(side.asDiagonal() * system.fullPivLu().inverse() * side.asDiagonal());
    } else {
        system.topLeftCorner(n, n) = shape.kernels;
        const Eigen::MatrixXd through = system.fullPivLu().inverse().leftCols(n);
        solved.covariance = through * coordinate.variance.asDiagonal() * through.transpose();
    }
    return solved;
}

} // namespace

Result<SplineFit> fitSpline(const std::vector<Eigen::Vector2d>& film, const Eigen::VectorXd& observed,
                            const Eigen::VectorXd& standardErrors, std::optional<double> smoothing)
{
    const auto n = static_cast<Eigen::Index>(film.size());
    if (n < 4)
        return Error{ErrorCode::Unsolvable, "a spline needs 4 places"};
    const Shape shape(film);
    const auto each = [&](const Eigen::VectorXd& all, Eigen::Index first) {
        return Eigen::VectorXd(all(Eigen::seqN(first, n, 2)));
    };
    const Coordinate east(shape, each(observed, 0), each(standardErrors, 0));
    const Coordinate north(shape, each(observed, 1), each(standardErrors, 1));

    SplineFit fit;
    fit.smoothing = smoothing ? *smoothing : chooseSmoothing(east, north);
    fit.equations = std::make_shared<Spline>(film);
    const Solved solved[] = {solve(shape, east, fit.smoothing), solve(shape, north, fit.smoothing)};
    if (!solved[0].coefficients.allFinite() || !solved[1].coefficients.allFinite())
        return Error{ErrorCode::Unsolvable, "the spline through these places is not determined"};
    fit.coefficients.resize(2 * (n + 3));
    fit.covariance = Eigen::MatrixXd::Zero(2 * (n + 3), 2 * (n + 3));
    fit.residuals.resize(2 * n);
    fit.redundancyNumbers.resize(2 * n);
    for (Eigen::Index k = 0; k < 2; ++k) {
        fit.coefficients.segment(k * (n + 3), n + 3) = solved[k].coefficients;
        fit.covariance.block(k * (n + 3), k * (n + 3), n + 3, n + 3) = solved[k].covariance;
        fit.residuals(Eigen::seqN(k, n, 2)) = solved[k].residuals;
        fit.redundancyNumbers(Eigen::seqN(k, n, 2)) = solved[k].redundancyNumbers;
    }
    fit.weightedSquareSum = fit.residuals.cwiseQuotient(standardErrors).squaredNorm();
    fit.effectiveRedundancy = fit.smoothing > 0 ? fit.redundancyNumbers.sum() : 0.0;
    return fit;
}

} // namespace inkpeg
