// SPDX-License-Identifier: GPL-3.0-or-later
// Film-to-ground maps with known parameters, for tests that must not depend on a fit.
#pragma once

#include <array>
#include <cmath>
#include <memory>

#include "core/fit/GroundTransform.h"

namespace inkpeg::test {

constexpr double Pi = 3.14159265358979323846;

/// east = e0 + a x + b y, north = n0 + c x + d y.
class AffineForm : public GroundTransform::Form {
public:
    AffineForm(double e0, double a, double b, double n0, double c, double d) : m{e0, a, b, n0, c, d} {}

    GroundM toGround(FilmMm p) const override
    {
        return {m[0] + m[1] * p.x + m[2] * p.y, m[3] + m[4] * p.x + m[5] * p.y};
    }
    GroundJacobian jacobian(FilmMm) const override { return {m[1], m[2], m[4], m[5]}; }
    Result<FilmMm> toFilm(GroundM g) const override
    {
        const double east = g.east - m[0], north = g.north - m[3];
        const double determinant = m[1] * m[5] - m[2] * m[4];
        return FilmMm{(m[5] * east - m[2] * north) / determinant,
                      (m[1] * north - m[4] * east) / determinant};
    }

    std::array<double, 6> m;
};

/// A film that lies in waves: the affine map of a film place moved by `amplitudeMm` sin(2 pi x / waveMm) in
/// y.
class WavyForm final : public AffineForm {
public:
    WavyForm(const AffineForm& affine, double amplitudeMm, double waveMm)
        : AffineForm(affine), m_amplitude(amplitudeMm), m_wave(waveMm)
    {
    }

    GroundM toGround(FilmMm p) const override { return AffineForm::toGround({p.x, p.y + shift(p.x)}); }
    GroundJacobian jacobian(FilmMm p) const override
    {
        const double slope = m_amplitude * 2 * Pi / m_wave * std::cos(2 * Pi * p.x / m_wave);
        return {m[1] + m[2] * slope, m[2], m[4] + m[5] * slope, m[5]};
    }
    Result<FilmMm> toFilm(GroundM g) const override
    {
        const FilmMm flat = *AffineForm::toFilm(g);
        return FilmMm{flat.x, flat.y - shift(flat.x)};
    }

private:
    double shift(double x) const { return m_amplitude * std::sin(2 * Pi * x / m_wave); }
    double m_amplitude, m_wave;
};

/// A drawing at 1 : scaleDenominator turned by `angleDegrees`, with a lower left corner at (east, north).
inline AffineForm turned(double east, double north, double scaleDenominator, double angleDegrees)
{
    const double metres = scaleDenominator / 1000.0;
    const double c = metres * std::cos(angleDegrees * Pi / 180),
                 s = metres * std::sin(angleDegrees * Pi / 180);
    return {east, c, -s, north, s, c};
}

inline GroundTransform transformOf(const AffineForm& form)
{
    return {Model::Affine, std::make_shared<AffineForm>(form)};
}

} // namespace inkpeg::test
