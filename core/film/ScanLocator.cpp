// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/ScanLocator.h"

#include <algorithm>
#include <cmath>

namespace inkpeg {
namespace {

constexpr double FarAwayPx = 1e8; // beyond this a place is no place in any scan
constexpr int MostCorrections = 12;

double determinant(const GroundJacobian& j)
{
    return j.eastByX * j.northByY - j.eastByY * j.northByX;
}

} // namespace

ScanLocator::ScanLocator(const GroundTransform& transform, const FilmFrame& film, const LayGrid& grid)
    : m_transform(transform), m_film(film), m_grid(grid),
      m_closed(transform.model() == Model::Similarity || transform.model() == Model::Affine ||
               transform.model() == Model::Projective),
      m_stopMm(StopPx * MillimetresPerInch / std::max(film.dpiX, film.dpiY))
{
    const FilmMm middle = film.toFilm({film.widthPx / 2, film.heightPx / 2});
    m_side = determinant(transform.jacobian(middle)) > 0 ? 1 : -1;
}

void ScanLocator::aim(double column, double row)
{
    m_aimed = false;
    if (m_closed)
        return;
    const GroundM ground = m_grid.groundAt(column, row);
    const Result<FilmMm> film = m_transform.toFilm(ground);
    if (!film)
        return;
    const GroundJacobian j = m_transform.jacobian(*film);
    const double size = determinant(j);
    if (!(size * m_side > 0))
        return;
    m_xByEast = j.northByY / size;
    m_xByNorth = -j.eastByY / size;
    m_yByEast = -j.northByX / size;
    m_yByNorth = j.eastByX / size;
    m_lastFilm = *film;
    m_lastGround = ground;
    m_aimed = true;
}

std::optional<FilmMm> ScanLocator::correct(GroundM ground)
{
    double east = ground.east - m_lastGround.east, north = ground.north - m_lastGround.north;
    FilmMm film = m_lastFilm;
    double before = 0;
    for (int round = 0; round < MostCorrections; ++round) {
        const double x = m_xByEast * east + m_xByNorth * north, y = m_yByEast * east + m_yByNorth * north;
        film.x += x;
        film.y += y;
        const double step = std::hypot(x, y);
        // The first step goes from the last place to this one; from the second on they are corrections.
        if (round >= 2 && !(step <= before / 4))
            return std::nullopt;
        if (round >= 1 && step <= m_stopMm) {
            m_lastFilm = film;
            m_lastGround = ground;
            return film;
        }
        before = step;
        const GroundM reached = m_transform.toGround(film);
        east = ground.east - reached.east;
        north = ground.north - reached.north;
    }
    return std::nullopt;
}

std::optional<FilmMm> ScanLocator::solve(GroundM ground)
{
    if (m_aimed)
        if (const auto film = correct(ground))
            return film;
    const Result<FilmMm> film = m_transform.toFilm(ground);
    if (!film)
        return std::nullopt;
    return *film;
}

std::optional<ScanPx> ScanLocator::operator()(double column, double row)
{
    const auto film = solve(m_grid.groundAt(column, row));
    if (!film)
        return std::nullopt;
    const ScanPx place = m_film.toScan(*film);
    if (!(std::abs(place.column) < FarAwayPx && std::abs(place.row) < FarAwayPx))
        return std::nullopt;
    return place;
}

} // namespace inkpeg
