// SPDX-License-Identifier: GPL-3.0-or-later
// The place in the scan of a pixel of the laid picture, quickly where many near one another are asked for.
#pragma once

#include <optional>

#include "core/base/Units.h"
#include "core/film/LayGrid.h"
#include "core/fit/GroundTransform.h"

namespace inkpeg {

/// One for each thread: it remembers where it was.
///
/// The bent models (polynomials, spline) have no inverse in closed form. GroundTransform::toFilm solves
/// each place anew, from the middle of the sheet and to 1e-9 mm. Here the Jacobian is taken once for an
/// area, the last place found is carried over by it, and few corrections with that same Jacobian follow
/// (simplified Newton method). They shrink in proportion; the last one made, and so what is still missing,
/// is below `StopPx` times that proportion. Where they do not shrink at least fourfold, toFilm is asked.
/// Source: Ortega & Rheinboldt, Iterative Solution of Nonlinear Equations in Several Variables, 1970, section
///         7.1 (simplified Newton) and 12.3 (its linear rate) (from memory).
class ScanLocator {
public:
    /// A thousandth of a pixel, a twentieth of the exactness asked for when laying.
    static constexpr double StopPx = 1e-3;

    /// All three must outlive the locator.
    ScanLocator(const GroundTransform& transform, const FilmFrame& film, const LayGrid& grid);

    /// What follows is about places in or near the area of the laid picture around (column, row).
    void aim(double column, double row);

    /// Place in the scan of the place (column, row) of the laid picture, in pixels; the first has its
    /// centre at (0.5, 0.5). Nothing where the transform has no answer, or one far off any scan.
    std::optional<ScanPx> operator()(double column, double row);

private:
    std::optional<FilmMm> solve(GroundM ground);
    std::optional<FilmMm> correct(GroundM ground);

    const GroundTransform& m_transform;
    const FilmFrame& m_film;
    const LayGrid& m_grid;
    bool m_closed;
    double m_stopMm;
    int m_side = 0; ///< sign of the Jacobian's determinant at the middle of the sheet
    // The inverse of the Jacobian of the area aimed at, and a pair of places that belong together.
    bool m_aimed = false;
    double m_xByEast = 0, m_xByNorth = 0, m_yByEast = 0, m_yByNorth = 0;
    FilmMm m_lastFilm;
    GroundM m_lastGround;
};

} // namespace inkpeg
