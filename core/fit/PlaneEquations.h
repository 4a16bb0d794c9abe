// SPDX-License-Identifier: GPL-3.0-or-later
// The models as equations in centred, scaled coordinates: what is estimated, and how the plane follows from
// it.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "core/base/Units.h"
#include "core/fit/GroundTransform.h"

namespace inkpeg {

/// Film and ground moved to their middle and scaled to about 1. Scales are powers of two: they round
/// nothing.
struct PlaneNormal {
    FilmMm filmCentre;
    double filmScale = 1; ///< mm
    GroundM groundCentre;
    double groundScale = 1; ///< metres

    Eigen::Vector2d unit(FilmMm film) const
    {
        return {(film.x - filmCentre.x) / filmScale, (film.y - filmCentre.y) / filmScale};
    }
    Eigen::Vector2d unit(GroundM ground) const
    {
        return {(ground.east - groundCentre.east) / groundScale,
                (ground.north - groundCentre.north) / groundScale};
    }
    FilmMm film(const Eigen::Vector2d& unit) const
    {
        return {filmCentre.x + unit[0] * filmScale, filmCentre.y + unit[1] * filmScale};
    }
    GroundM ground(const Eigen::Vector2d& unit) const
    {
        return {groundCentre.east + unit[0] * groundScale, groundCentre.north + unit[1] * groundScale};
    }
};

/// One model. All coordinates are units of a PlaneNormal.
class PlaneEquations {
public:
    virtual ~PlaneEquations() = default;

    virtual int parameters() const = 0;
    virtual Eigen::Vector2d value(const Eigen::Vector2d& film,
                                  const Eigen::VectorXd& coefficients) const = 0;
    /// Partial derivatives of the value by the film position, rows east and north.
    virtual Eigen::Matrix2d slope(const Eigen::Vector2d& film,
                                  const Eigen::VectorXd& coefficients) const = 0;
    /// Partial derivatives of the value by the coefficients: 2 x parameters, rows east and north.
    virtual Eigen::MatrixXd rows(const Eigen::Vector2d& film,
                                 const Eigen::VectorXd& coefficients) const = 0;
    /// The film position of a value in closed form, where the model has one.
    virtual std::optional<Eigen::Vector2d> inverse(const Eigen::Vector2d&, const Eigen::VectorXd&) const
    {
        return std::nullopt;
    }
};

/// The equations of every model but the spline, whose equations hang on its pins (Spline.h).
std::shared_ptr<const PlaneEquations> planeEquations(Model model);

/// A model with its coefficients: the Form that a fitted GroundTransform holds.
class FittedPlane final : public GroundTransform::Form {
public:
    FittedPlane(const PlaneNormal& normal, std::shared_ptr<const PlaneEquations> equations,
                Eigen::VectorXd coefficients);

    GroundM toGround(FilmMm film) const override;
    GroundJacobian jacobian(FilmMm film) const override;
    Result<FilmMm> toFilm(GroundM ground) const override;

    const PlaneNormal& normal() const { return m_normal; }
    const PlaneEquations& equations() const { return *m_equations; }
    const Eigen::VectorXd& coefficients() const { return m_coefficients; }

private:
    Result<Eigen::Vector2d> newton(const Eigen::Vector2d& ground) const;

    PlaneNormal m_normal;
    std::shared_ptr<const PlaneEquations> m_equations;
    Eigen::VectorXd m_coefficients;
};

} // namespace inkpeg
