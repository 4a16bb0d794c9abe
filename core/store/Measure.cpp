// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/Measure.h"

#include <algorithm>
#include <cmath>

#include "core/fit/PlaneEquations.h"
#include "core/outline/Area.h"
#include "core/outline/RingVisits.h"

namespace inkpeg {
namespace {

/// A place and the derivative of the measured figure by it.
struct Term {
    ScanPx at;
    double byEast = 0, byNorth = 0;
};

double standardErrorOf(const DrawingGround& ground, std::span<const Term> terms, double tracingErrorMm)
{
    const PlaneNormal& normal = ground.fit.plane->normal();
    const double pixelMm =
        0.5 * (MillimetresPerInch / ground.film.dpiX + MillimetresPerInch / ground.film.dpiY);
    const double pointing = tracingErrorMm * tracingErrorMm + pixelMm * pixelMm / 12;
    Eigen::VectorXd byCoefficients = Eigen::VectorXd::Zero(ground.fit.covariance.rows());
    double variance = 0;
    for (const Term& term : terms) {
        const double byNorth =
            term.byNorth / ground.verticalExaggeration; // the fit leads to levels as drawn
        const FilmMm film = ground.film.toFilm(term.at);
        const Eigen::MatrixXd rows =
            ground.fit.plane->equations().rows(normal.unit(film), ground.fit.coefficients);
        byCoefficients +=
            normal.groundScale * (rows.row(0) * term.byEast + rows.row(1) * byNorth).transpose();
        const GroundJacobian slope = ground.fit.transform.jacobian(film);
        const double byX = term.byEast * slope.eastByX + byNorth * slope.northByX;
        const double byY = term.byEast * slope.eastByY + byNorth * slope.northByY;
        variance += (byX * byX + byY * byY) * pointing;
    }
    const double inflation = std::max(1.0, ground.fit.standardErrorOfUnitWeight);
    variance += byCoefficients.dot(ground.fit.covariance * byCoefficients) * inflation * inflation;
    return std::sqrt(std::max(variance, 0.0));
}

std::vector<GroundM> onGround(const DrawingGround& ground, std::span<const ScanPx> vertices)
{
    std::vector<GroundM> places;
    for (const ScanPx& vertex : vertices)
        places.push_back(ground.toGround(vertex));
    return places;
}

/// Adds the derivative of a length along places to their terms.
double addLength(std::span<const GroundM> places, bool closed, std::span<Term> terms)
{
    double sum = 0;
    const std::size_t count = places.size();
    for (std::size_t i = 0; i + (closed ? 0 : 1) < count; ++i) {
        const std::size_t k = (i + 1) % count;
        const double length = distance(places[i], places[k]);
        if (length == 0)
            continue;
        const double east = (places[k].east - places[i].east) / length;
        const double north = (places[k].north - places[i].north) / length;
        terms[i].byEast -= east;
        terms[i].byNorth -= north;
        terms[k].byEast += east;
        terms[k].byNorth += north;
        sum += length;
    }
    return sum;
}

/// The same for the area of a ring, counted with `sign` whichever way it runs.
double addArea(std::span<const GroundM> places, double sign, std::span<Term> terms)
{
    const double area = signedAreaM2(places);
    const double way = area < 0 ? -sign : sign;
    const std::size_t count = places.size();
    for (std::size_t i = 0; i < count; ++i) {
        const GroundM before = places[(i + count - 1) % count], after = places[(i + 1) % count];
        terms[i].byEast += way * (after.north - before.north) / 2;
        terms[i].byNorth += way * (before.east - after.east) / 2;
    }
    return sign * std::abs(area);
}

std::vector<Term> termsAt(std::span<const ScanPx> vertices)
{
    std::vector<Term> terms;
    for (const ScanPx& vertex : vertices)
        terms.push_back({vertex, 0, 0});
    return terms;
}

/// First moments of a ring about an origin, by its signed area. Source: centroid of a polygon by its
/// edges, Bourke 1988.
struct Moments {
    double area = 0, east = 0, north = 0;
    void add(std::span<const GroundM> ring, GroundM origin, double sign)
    {
        double ringArea = 0, ringEast = 0, ringNorth = 0;
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const GroundM a{ring[i].east - origin.east, ring[i].north - origin.north};
            const GroundM& next = ring[(i + 1) % ring.size()];
            const GroundM b{next.east - origin.east, next.north - origin.north};
            const double twice = a.east * b.north - b.east * a.north;
            ringArea += twice / 2;
            ringEast += (a.east + b.east) * twice / 6;
            ringNorth += (a.north + b.north) * twice / 6;
        }
        const double way = ringArea < 0 ? -sign : sign;
        area += way * ringArea;
        east += way * ringEast;
        north += way * ringNorth;
    }
};

} // namespace

Measured measuredLength(const DrawingGround& ground, std::span<const ScanPx> line, double tracingErrorMm)
{
    if (line.size() < 2)
        return {};
    std::vector<Term> terms = termsAt(line);
    const double length = addLength(onGround(ground, line), false, terms);
    return {length, standardErrorOf(ground, terms, tracingErrorMm)};
}

Measured measuredArea(const DrawingGround& ground, std::span<const ScanPx> ring, double tracingErrorMm)
{
    if (ring.size() < 3)
        return {};
    std::vector<Term> terms = termsAt(ring);
    const double area = addArea(onGround(ground, ring), 1, terms);
    return {area, standardErrorOf(ground, terms, tracingErrorMm)};
}

std::optional<Measured> measuredRise(const DrawingGround& ground, ScanPx from, ScanPx to,
                                     double tracingErrorMm)
{
    if (!ground.section)
        return std::nullopt;
    const Term terms[] = {{from, 0, -1}, {to, 0, 1}};
    return Measured{ground.toGround(to).north - ground.toGround(from).north,
                    standardErrorOf(ground, terms, tracingErrorMm)};
}

Measured riseBetweenLevels(double fromM, double toM)
{
    return {toM - fromM, SpotLevelErrorM * std::sqrt(2.0)};
}

OutlineFigures outlineFigures(const DrawingGround& ground, std::span<const Part> parts,
                              double tracingErrorMm)
{
    OutlineFigures figures;
    Moments moments;
    const GroundM origin = ground.toGround(parts.empty() ? ScanPx() : parts.front().outer.vertices.front());
    std::vector<Term> areaTerms, lengthTerms;
    const auto add = [&](const Ring& ring, double sign) {
        const std::vector<GroundM> places = onGround(ground, ring.vertices);
        std::vector<Term> area = termsAt(ring.vertices), length = area;
        figures.areaM2.value += addArea(places, sign, area);
        figures.perimeterM.value += addLength(places, true, length);
        areaTerms.insert(areaTerms.end(), area.begin(), area.end());
        lengthTerms.insert(lengthTerms.end(), length.begin(), length.end());
        moments.add(places, origin, sign);
    };
    for (const Part& part : parts) {
        add(part.outer, 1);
        for (const Ring& hole : part.holes)
            add(hole, -1);
    }
    figures.areaM2.standardError = standardErrorOf(ground, areaTerms, tracingErrorMm);
    figures.perimeterM.standardError = standardErrorOf(ground, lengthTerms, tracingErrorMm);
    if (moments.area > 0)
        figures.centroid = {origin.east + moments.east / moments.area,
                            origin.north + moments.north / moments.area};
    return figures;
}

} // namespace inkpeg
