// SPDX-License-Identifier: GPL-3.0-or-later
// findLattice: from two known crosses to all of them.
#include <algorithm>
#include <cmath>
#include <optional>

#include <Eigen/Dense>

#include "core/base/Text.h"
#include "core/film/Crosses.h"

namespace inkpeg {
namespace {

constexpr double ClickRadiusMm = 2.5; // how far from its mark a known cross may be
constexpr double SearchMm = 1.6;      // around a predicted place
constexpr double SearchFarMm = 3.0;   // where the prediction reaches far
constexpr double OffPlaceMm = 0.8;    // a drawn cross this far from its place is doubtful
constexpr double DarknessShare = 0.4; // of the known crosses
constexpr int MostPlaces = 4000;

struct Found {
    int column, row;
    ScanPx centre;
};

struct Predicted {
    ScanPx place;
    double directionRad = 0;
    double stepsAway = 0; ///< to the nearest cross found
};

/// Where the cross (column, row) should be: an affine map fitted to the crosses found, those near counting
/// most; a similarity while there are only two or all lie on one line.
class Prediction {
public:
    Prediction(const FilmFrame& film, std::vector<Found> found) : m_film(film), m_found(std::move(found)) {}

    void add(const Found& found) { m_found.push_back(found); }

    Predicted at(int column, int row) const
    {
        const auto n = static_cast<Eigen::Index>(m_found.size());
        Eigen::MatrixXd design(n, 3);
        Eigen::MatrixXd places(n, 2);
        double nearest = 1e9;
        for (Eigen::Index i = 0; i < n; ++i) {
            const Found& known = m_found[static_cast<std::size_t>(i)];
            const double dx = known.column - column, dy = known.row - row;
            const double steps = std::hypot(dx, dy);
            nearest = std::min(nearest, steps);
            const double weight = 1 / (1 + steps * steps / 4);
            const FilmMm place = m_film.toFilm(known.centre);
            design.row(i) << weight, weight * dx, weight * dy;
            places.row(i) << weight * place.x, weight * place.y;
        }
        const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> solver(design);
        Eigen::Matrix<double, 3, 2> map;
        if (n < 3 || std::abs(solver.matrixR()(2, 2)) < 0.1 * std::abs(solver.matrixR()(0, 0)) / double(n))
            map = similarity(column, row);
        else
            map = solver.solve(places);
        const FilmMm place{map(0, 0), map(0, 1)};
        const ScanPx here = m_film.toScan(place);
        const ScanPx next = m_film.toScan({place.x + map(1, 0), place.y + map(1, 1)});
        return {here, std::atan2(next.row - here.row, next.column - here.column), nearest};
    }

private:
    /// From the two crosses furthest from each other: complex division gives turn and scale.
    Eigen::Matrix<double, 3, 2> similarity(int column, int row) const
    {
        const Found& a = m_found.front();
        const Found& b =
            *std::max_element(m_found.begin(), m_found.end(), [&](const Found& p, const Found& q) {
                return std::hypot(p.column - a.column, p.row - a.row) <
                       std::hypot(q.column - a.column, q.row - a.row);
            });
        const FilmMm pa = m_film.toFilm(a.centre), pb = m_film.toFilm(b.centre);
        const double dx = b.column - a.column, dy = b.row - a.row, square = dx * dx + dy * dy;
        const double c = ((pb.x - pa.x) * dx + (pb.y - pa.y) * dy) / square;
        const double s = ((pb.y - pa.y) * dx - (pb.x - pa.x) * dy) / square;
        const double x = column - a.column, y = row - a.row;
        Eigen::Matrix<double, 3, 2> map;
        map << pa.x + c * x - s * y, pa.y + s * x + c * y, c, s, -s, c;
        return map;
    }

    const FilmFrame& m_film;
    std::vector<Found> m_found;
};

struct Place {
    int column, row;
};

/// Lattice places that can lie on the scan, nearest to the known pair first.
std::vector<Place> placesAround(const Prediction& prediction, const ScanFacts& facts, int stepsApart)
{
    std::vector<Place> places;
    const Predicted origin = prediction.at(0, 0), right = prediction.at(1, 0);
    const double stepPx = std::max(distance(origin.place, right.place), 1.0);
    const int most =
        std::min(static_cast<int>(std::hypot(facts.widthPx, facts.heightPx) / stepPx) + 1, 400);
    for (int row = -most; row <= most; ++row)
        for (int column = -most; column <= most; ++column) {
            const ScanPx place = prediction.at(column, row).place;
            if (place.column < -0.5 * stepPx || place.row < -0.5 * stepPx ||
                place.column > facts.widthPx + 0.5 * stepPx || place.row > facts.heightPx + 0.5 * stepPx)
                continue;
            if (row == 0 && (column == 0 || column == stepsApart))
                continue;
            places.push_back({column, row});
        }
    const double middle = stepsApart / 2.0;
    std::sort(places.begin(), places.end(), [&](const Place& a, const Place& b) {
        return std::hypot(a.column - middle, a.row) < std::hypot(b.column - middle, b.row);
    });
    return places;
}

Result<std::optional<CrossMark>> crossAt(const Scan& scan, const Predicted& predicted, double radiusPx,
                                         double dpi)
{
    const double reach = radiusPx + crossReachPx(dpi);
    const ScanFacts& facts = scan.facts();
    const double inner = 2.2 * dpi / MillimetresPerInch; // an arm's length: less cannot show a cross
    if (predicted.place.column < inner || predicted.place.row < inner ||
        predicted.place.column > facts.widthPx - inner || predicted.place.row > facts.heightPx - inner)
        return std::optional<CrossMark>{};
    PxRect part;
    part.column = std::max(0, static_cast<int>(predicted.place.column - reach));
    part.row = std::max(0, static_cast<int>(predicted.place.row - reach));
    part.width = std::min(facts.widthPx, static_cast<int>(predicted.place.column + reach)) - part.column;
    part.height = std::min(facts.heightPx, static_cast<int>(predicted.place.row + reach)) - part.row;
    const Result<GreyImage> window = scan.readGrey(part, part.width, part.height);
    if (!window)
        return window.error();
    const auto mark =
        centreOnTurnedCross(*window, part, predicted.place, radiusPx, dpi, predicted.directionRad);
    return mark ? std::optional<CrossMark>(*mark) : std::nullopt;
}

} // namespace

Result<std::vector<LatticeCross>> findLattice(const Scan& scan, const FilmFrame& film,
                                              const KnownCross& first, const KnownCross& second,
                                              int stepsApart, const Progress& progress)
{
    const double dpi = std::sqrt(film.dpiX * film.dpiY), pixelsPerMm = dpi / MillimetresPerInch;
    if (stepsApart < 1 || distance(first.ground, second.ground) <= 0 ||
        distance(first.mark, second.mark) < ClickRadiusMm * pixelsPerMm)
        return Error{ErrorCode::BadInput,
                     "the two crosses lie at one place; choose two neighbours of the grid"};
    const auto a = centreOnCross(scan, first.mark, ClickRadiusMm * pixelsPerMm, dpi);
    if (!a)
        return a.error();
    const auto b = centreOnCross(scan, second.mark, ClickRadiusMm * pixelsPerMm, dpi);
    if (!b)
        return b.error();
    Prediction prediction(film, {{0, 0, a->centre}, {stepsApart, 0, b->centre}});
    const std::vector<Place> places = placesAround(prediction, scan.facts(), stepsApart);
    if (places.size() > MostPlaces)
        return Error{ErrorCode::BadInput,
                     "the grid would have " + std::to_string(places.size()) +
                         " crosses on this sheet; choose two crosses that are neighbours"};
    const GroundM step{(second.ground.east - first.ground.east) / stepsApart,
                       (second.ground.north - first.ground.north) / stepsApart};
    std::vector<LatticeCross> crosses;
    for (std::size_t i = 0; i < places.size(); ++i) {
        if (!report(progress, double(i) / double(places.size())))
            return Error{ErrorCode::Cancelled, "looking for the grid was stopped"};
        const auto [column, row] = places[i];
        const Predicted predicted = prediction.at(column, row);
        const double searchMm = predicted.stepsAway > 1.5 ? SearchFarMm : SearchMm;
        const auto found = crossAt(scan, predicted, searchMm * pixelsPerMm, dpi);
        if (!found)
            return found.error();
        if (!*found || (*found)->darkness < DarknessShare * std::min(a->darkness, b->darkness))
            continue;
        CrossMark mark = **found;
        const double offMm = distance(mark.centre, predicted.place) / pixelsPerMm;
        if (!mark.doubtful && offMm > OffPlaceMm) {
            mark.doubtful = true;
            mark.doubt = "it lies " + fixed(offMm, 1) + " mm from its place in the grid";
        }
        if (!mark.doubtful)
            prediction.add({column, row, mark.centre});
        crosses.push_back({column,
                           row,
                           {first.ground.east + column * step.east - row * step.north,
                            first.ground.north + column * step.north + row * step.east},
                           mark});
    }
    return crosses;
}

} // namespace inkpeg
