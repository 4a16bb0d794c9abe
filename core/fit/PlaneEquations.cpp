// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/PlaneEquations.h"

#include <array>
#include <cmath>
#include <utility>

#include <Eigen/LU>

namespace inkpeg {

namespace {

/// east = a x - b y + c; north = b x + a y + d. Coefficients a, b, c, d.
class Similarity final : public PlaneEquations {
public:
    int parameters() const override { return 4; }
    Eigen::Vector2d value(const Eigen::Vector2d& film, const Eigen::VectorXd& c) const override
    {
        return {c[0] * film[0] - c[1] * film[1] + c[2], c[1] * film[0] + c[0] * film[1] + c[3]};
    }
    Eigen::Matrix2d slope(const Eigen::Vector2d&, const Eigen::VectorXd& c) const override
    {
        return (Eigen::Matrix2d() << c[0], -c[1], c[1], c[0]).finished();
    }
    Eigen::MatrixXd rows(const Eigen::Vector2d& film, const Eigen::VectorXd&) const override
    {
        Eigen::MatrixXd rows(2, 4);
        rows << film[0], -film[1], 1, 0, film[1], film[0], 0, 1;
        return rows;
    }
    std::optional<Eigen::Vector2d> inverse(const Eigen::Vector2d& ground,
                                           const Eigen::VectorXd& c) const override
    {
        const double square = c[0] * c[0] + c[1] * c[1];
        const double east = ground[0] - c[2];
        const double north = ground[1] - c[3];
        return Eigen::Vector2d{(c[0] * east + c[1] * north) / square,
                               (c[0] * north - c[1] * east) / square};
    }
};

/// Full polynomial in x and y up to a degree (1 = affine): east's coefficients, then north's, each in the
/// order 1, x, y, x^2, xy, y^2, x^3, x^2 y, x y^2, y^3.
class Polynomial final : public PlaneEquations {
public:
    explicit Polynomial(int degree) : m_degree(degree), m_terms((degree + 1) * (degree + 2) / 2) {}

    int parameters() const override { return 2 * m_terms; }

    Eigen::Vector2d value(const Eigen::Vector2d& film, const Eigen::VectorXd& c) const override
    {
        const Terms terms = monomials(film);
        Eigen::Vector2d sum = Eigen::Vector2d::Zero();
        for (int k = 0; k < m_terms; ++k)
            sum += terms[static_cast<std::size_t>(k)] * Eigen::Vector2d(c[k], c[m_terms + k]);
        return sum;
    }

    Eigen::Matrix2d slope(const Eigen::Vector2d& film, const Eigen::VectorXd& c) const override
    {
        const Terms terms = monomials(film);
        Eigen::Matrix2d slope = Eigen::Matrix2d::Zero();
        // d(x^i y^j)/dx = i x^(i-1) y^j, and x^(i-1) y^j stands one degree lower at place j.
        for (int degree = 1, k = 1; degree <= m_degree; ++degree)
            for (int j = 0; j <= degree; ++j, ++k) {
                const int i = degree - j;
                const int lower = (degree - 1) * degree / 2;
                const Eigen::Vector2d both(c[k], c[m_terms + k]);
                if (i > 0)
                    slope.col(0) += i * terms[static_cast<std::size_t>(lower + j)] * both;
                if (j > 0)
                    slope.col(1) += j * terms[static_cast<std::size_t>(lower + j - 1)] * both;
            }
        return slope;
    }

    Eigen::MatrixXd rows(const Eigen::Vector2d& film, const Eigen::VectorXd&) const override
    {
        const Terms terms = monomials(film);
        Eigen::MatrixXd rows = Eigen::MatrixXd::Zero(2, 2 * m_terms);
        for (int k = 0; k < m_terms; ++k)
            rows(0, k) = rows(1, m_terms + k) = terms[static_cast<std::size_t>(k)];
        return rows;
    }

    std::optional<Eigen::Vector2d> inverse(const Eigen::Vector2d& ground,
                                           const Eigen::VectorXd& c) const override
    {
        if (m_degree > 1)
            return std::nullopt;
        const Eigen::Matrix2d linear = slope(Eigen::Vector2d::Zero(), c);
        return linear.inverse() * (ground - Eigen::Vector2d(c[0], c[3]));
    }

private:
    using Terms = std::array<double, 10>;

    Terms monomials(const Eigen::Vector2d& film) const
    {
        Terms terms{1};
        for (int degree = 1, k = 1; degree <= m_degree; ++degree) {
            const int lower = (degree - 1) * degree / 2;
            for (int j = 0; j < degree; ++j, ++k)
                terms[static_cast<std::size_t>(k)] = film[0] * terms[static_cast<std::size_t>(lower + j)];
            terms[static_cast<std::size_t>(k++)] =
                film[1] * terms[static_cast<std::size_t>(lower + degree - 1)];
        }
        return terms;
    }

    int m_degree;
    int m_terms;
};

/// east = (c0 x + c1 y + c2) / w, north = (c3 x + c4 y + c5) / w, w = c6 x + c7 y + 1.
class Projective final : public PlaneEquations {
public:
    int parameters() const override { return 8; }
    Eigen::Vector2d value(const Eigen::Vector2d& film, const Eigen::VectorXd& c) const override
    {
        return Eigen::Vector2d(c[0] * film[0] + c[1] * film[1] + c[2],
                               c[3] * film[0] + c[4] * film[1] + c[5]) /
               weight(film, c);
    }
    Eigen::Matrix2d slope(const Eigen::Vector2d& film, const Eigen::VectorXd& c) const override
    {
        const Eigen::Vector2d at = value(film, c);
        const Eigen::Matrix2d numerator = (Eigen::Matrix2d() << c[0], c[1], c[3], c[4]).finished();
        return (numerator - at * Eigen::RowVector2d(c[6], c[7])) / weight(film, c);
    }
    Eigen::MatrixXd rows(const Eigen::Vector2d& film, const Eigen::VectorXd& c) const override
    {
        const Eigen::Vector2d at = value(film, c);
        Eigen::MatrixXd rows(2, 8);
        rows << film[0], film[1], 1, 0, 0, 0, -at[0] * film[0], -at[0] * film[1], //
            0, 0, 0, film[0], film[1], 1, -at[1] * film[0], -at[1] * film[1];
        return rows / weight(film, c);
    }
    std::optional<Eigen::Vector2d> inverse(const Eigen::Vector2d& ground,
                                           const Eigen::VectorXd& c) const override
    {
        Eigen::Matrix2d system;
        system << c[0] - ground[0] * c[6], c[1] - ground[0] * c[7], //
            c[3] - ground[1] * c[6], c[4] - ground[1] * c[7];
        return system.inverse() * Eigen::Vector2d(ground[0] - c[2], ground[1] - c[5]);
    }

private:
    static double weight(const Eigen::Vector2d& film, const Eigen::VectorXd& c)
    {
        return c[6] * film[0] + c[7] * film[1] + 1;
    }
};

} // namespace

std::shared_ptr<const PlaneEquations> planeEquations(Model model)
{
    switch (model) {
    case Model::Similarity:
        return std::make_shared<Similarity>();
    case Model::Projective:
        return std::make_shared<Projective>();
    case Model::Polynomial2:
        return std::make_shared<Polynomial>(2);
    case Model::Polynomial3:
        return std::make_shared<Polynomial>(3);
    case Model::Affine:
    case Model::ThinPlateSpline:
        break;
    }
    return std::make_shared<Polynomial>(1);
}

FittedPlane::FittedPlane(const PlaneNormal& normal, std::shared_ptr<const PlaneEquations> equations,
                         Eigen::VectorXd coefficients)
    : m_normal(normal), m_equations(std::move(equations)), m_coefficients(std::move(coefficients))
{
}

GroundM FittedPlane::toGround(FilmMm film) const
{
    return m_normal.ground(m_equations->value(m_normal.unit(film), m_coefficients));
}

GroundJacobian FittedPlane::jacobian(FilmMm film) const
{
    const Eigen::Matrix2d slope = m_equations->slope(m_normal.unit(film), m_coefficients) *
                                  (m_normal.groundScale / m_normal.filmScale);
    return {slope(0, 0), slope(0, 1), slope(1, 0), slope(1, 1)};
}

Result<FilmMm> FittedPlane::toFilm(GroundM ground) const
{
    const Eigen::Vector2d unit = m_normal.unit(ground);
    if (const auto closed = m_equations->inverse(unit, m_coefficients)) {
        if (!closed->allFinite())
            return Error{ErrorCode::Unsolvable, "that place on the ground has no place on the film"};
        return m_normal.film(*closed);
    }
    const Result<Eigen::Vector2d> found = newton(unit);
    if (!found)
        return found.error();
    return m_normal.film(*found);
}

Result<Eigen::Vector2d> FittedPlane::newton(const Eigen::Vector2d& ground) const
{
    constexpr double ToleranceMm = 1e-9;
    constexpr double FarAway = 8; // pins lie within 1 of the middle; eight times that is off any sheet
    const double side = m_equations->slope(Eigen::Vector2d::Zero(), m_coefficients).determinant();
    Eigen::Vector2d film = Eigen::Vector2d::Zero();
    // Rounding of the film coordinate itself bounds what a step can still mean.
    const double tolerance = std::max(ToleranceMm / m_normal.filmScale, 4e-16);
    for (int round = 0; round < 60; ++round) {
        const Eigen::Matrix2d slope = m_equations->slope(film, m_coefficients);
        if (!(slope.determinant() * side > 0))
            return Error{ErrorCode::Unsolvable,
                         "the fitted film folds over itself there; a simpler model or more "
                         "pins would keep it flat"};
        Eigen::Vector2d step = slope.inverse() * (ground - m_equations->value(film, m_coefficients));
        const bool done = step.norm() <= tolerance;
        // A long step overshoots a curved map: walk half the sheet at most.
        if (step.norm() > 1.0)
            step *= 1.0 / step.norm();
        film += step;
        if (!film.allFinite() || film.norm() > FarAway)
            return Error{ErrorCode::Unsolvable, "that place on the ground lies far off the sheet"};
        if (done)
            return film;
    }
    return Error{ErrorCode::Unsolvable, "no place on the film leads to that place on the ground"};
}

} // namespace inkpeg
