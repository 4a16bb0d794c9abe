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
    double sum = 0;
    int used = 0;
    for (const ControlPoint& pin : pins) {
        if (pin.use != PinUse::Fit)
            continue;
        sum += 0.5 * (pin.standardErrorEastM * pin.standardErrorEastM +
                      pin.standardErrorNorthM * pin.standardErrorNorthM);
        ++used;
    }
    m_pegM = used > 0 ? std::sqrt(sum / used) : 0.0;
    m_pixelMm = 0.5 * (MillimetresPerInch / ground.film.dpiX + MillimetresPerInch / ground.film.dpiY);
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
