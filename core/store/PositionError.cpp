// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/PositionError.h"

#include <cmath>

namespace inkpeg {

double PositionError::totalM() const
{
    return std::sqrt(controlM * controlM + pegM * pegM + tracingM * tracingM + pixelM * pixelM);
}

PositionErrors::PositionErrors(const DrawingGround& ground, const std::vector<ControlPoint>& pins,
                               double tracingErrorMm)
    : m_ground(ground), m_tracingErrorMm(tracingErrorMm)
{
    double eastEast = 0, northNorth = 0;
    int used = 0;
    for (const ControlPoint& pin : pins) {
        if (pin.use != PinUse::Fit)
            continue;
        eastEast += pin.standardErrorEastM * pin.standardErrorEastM;
        northNorth += pin.standardErrorNorthM * pin.standardErrorNorthM;
        ++used;
    }
    if (used > 0) {
        m_pegM = std::sqrt(0.5 * (eastEast + northNorth) / used);
        m_pegEastM = std::sqrt(eastEast / used);
        m_pegNorthM = std::sqrt(northNorth / used);
    }
    m_pixelMm = 0.5 * (MillimetresPerInch / ground.film.dpiX + MillimetresPerInch / ground.film.dpiY);
}

SpaceError PositionErrors::inSpace(ScanPx position) const
{
    const FilmMm film = m_ground.film.toFilm(position);
    const GroundJacobian slope = m_ground.fit.transform.jacobian(film);
    const GroundCovariance control = m_ground.fit.covarianceAt(film);
    const double filmMm2 = m_tracingErrorMm * m_tracingErrorMm + m_pixelMm * m_pixelMm / 12;
    const double alongM =
        std::sqrt(control.eastEast + m_pegEastM * m_pegEastM +
                  filmMm2 * (slope.eastByX * slope.eastByX + slope.eastByY * slope.eastByY));
    const double levelM =
        std::sqrt(control.northNorth + m_pegNorthM * m_pegNorthM +
                  filmMm2 * (slope.northByX * slope.northByX + slope.northByY * slope.northByY)) /
        m_ground.verticalExaggeration;
    const SectionFrame& frame = *m_ground.section;
    const SpacePoint place = m_ground.toSpace(position);
    const std::size_t leg = frame.footOf({place.eastM, place.northM}).leg;
    const GroundM a = frame.nails()[leg].position, b = frame.nails()[leg + 1].position;
    const double lengthM = distance(a, b);
    const double eastPerM = (b.east - a.east) / lengthM, northPerM = (b.north - a.north) / lengthM;
    return {std::hypot(eastPerM * alongM, northPerM * m_pegEastM),
            std::hypot(northPerM * alongM, eastPerM * m_pegEastM), levelM};
}

PositionError PositionErrors::at(ScanPx position) const
{
    const FilmMm film = m_ground.film.toFilm(position);
    const GroundJacobian slope = m_ground.fit.transform.jacobian(film);
    // Root mean square scale of the two axes, so that a stretched film does not hide its longer axis.
    const double metresPerMm =
        std::sqrt(0.5 * (slope.eastByX * slope.eastByX + slope.eastByY * slope.eastByY +
                         slope.northByX * slope.northByX + slope.northByY * slope.northByY));
    return {.controlM = m_ground.fit.covarianceAt(film).standardErrorM(),
            .pegM = m_pegM,
            .tracingM = m_tracingErrorMm * metresPerMm,
            .pixelM = m_pixelMm * metresPerMm / std::sqrt(12.0)};
}

} // namespace inkpeg
