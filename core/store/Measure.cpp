// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/Measure.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/base/Text.h"
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

/// First moments of rings about an origin, by their signed areas, and their derivatives by the vertices.
/// Source: centroid of a polygon by its edges, Bourke 1988.
struct Moments {
    GroundM origin;
    double area = 0, east = 0, north = 0;
    std::vector<Term> areaTerms{}, eastTerms{}, northTerms{};

    /// `terms`: those of the ring's area, as addArea made them; `sign`: -1 for a hole.
    void add(std::span<const GroundM> ring, std::span<const Term> terms, double sign)
    {
        const double way = signedAreaM2(ring) < 0 ? -sign : sign;
        const std::size_t first = areaTerms.size(), count = ring.size();
        for (std::vector<Term>* each : {&areaTerms, &eastTerms, &northTerms})
            each->insert(each->end(), terms.begin(), terms.end());
        for (std::size_t i = 0; i < count; ++i)
            eastTerms[first + i] = northTerms[first + i] = {terms[i].at, 0, 0};
        for (std::size_t i = 0; i < count; ++i) {
            const std::size_t k = (i + 1) % count;
            const GroundM a{ring[i].east - origin.east, ring[i].north - origin.north};
            const GroundM b{ring[k].east - origin.east, ring[k].north - origin.north};
            const double twice = way * (a.east * b.north - b.east * a.north);
            area += twice / 2;
            east += (a.east + b.east) * twice / 6;
            north += (a.north + b.north) * twice / 6;
            const double sumEast = way * (a.east + b.east), sumNorth = way * (a.north + b.north);
            Term &eastA = eastTerms[first + i], &eastB = eastTerms[first + k];
            eastA.byEast += (twice + sumEast * b.north) / 6;
            eastA.byNorth -= sumEast * b.east / 6;
            eastB.byEast += (twice - sumEast * a.north) / 6;
            eastB.byNorth += sumEast * a.east / 6;
            Term &northA = northTerms[first + i], &northB = northTerms[first + k];
            northA.byEast += sumNorth * b.north / 6;
            northA.byNorth += (twice - sumNorth * b.east) / 6;
            northB.byEast -= sumNorth * a.north / 6;
            northB.byNorth += (twice + sumNorth * a.east) / 6;
        }
    }

    /// Derivatives of moment / area, from those of the moment.
    std::vector<Term> centroidTerms(std::vector<Term> momentTerms, double moment) const
    {
        for (std::size_t i = 0; i < momentTerms.size(); ++i) {
            Term& term = momentTerms[i];
            term.byEast = (term.byEast - moment / area * areaTerms[i].byEast) / area;
            term.byNorth = (term.byNorth - moment / area * areaTerms[i].byNorth) / area;
        }
        return momentTerms;
    }
};

} // namespace

std::string Measured::inWords() const
{
    const int digits = standardError >= 0.1 ? 2 : standardError >= 0.002 ? 3 : 4;
    return fixed(value, digits) + " ± " + fixed(standardError, digits);
}

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
                              double tracingErrorMm, double pegErrorM)
{
    OutlineFigures figures;
    Moments moments{ground.toGround(parts.empty() ? ScanPx() : parts.front().outer.vertices.front())};
    std::vector<Term> lengthTerms;
    const auto add = [&](const Ring& ring, double sign) {
        const std::vector<GroundM> places = onGround(ground, ring.vertices);
        std::vector<Term> area = termsAt(ring.vertices), length = area;
        figures.areaM2.value += addArea(places, sign, area);
        figures.perimeterM.value += addLength(places, true, length);
        lengthTerms.insert(lengthTerms.end(), length.begin(), length.end());
        moments.add(places, area, sign);
    };
    for (const Part& part : parts) {
        add(part.outer, 1);
        for (const Ring& hole : part.holes)
            add(hole, -1);
    }
    const auto errorOf = [&](std::span<const Term> terms) {
        return standardErrorOf(ground, terms, tracingErrorMm);
    };
    figures.areaM2.standardError = errorOf(moments.areaTerms);
    figures.perimeterM.standardError = errorOf(lengthTerms);
    if (moments.area > 0) {
        const auto placeOf = [&](double origin, std::vector<Term> terms, double moment) {
            terms = moments.centroidTerms(std::move(terms), moment);
            return Measured{origin + moment / moments.area, std::hypot(errorOf(terms), pegErrorM)};
        };
        figures.centroidEast = placeOf(moments.origin.east, moments.eastTerms, moments.east);
        figures.centroidNorth = placeOf(moments.origin.north, moments.northTerms, moments.north);
    }
    return figures;
}

} // namespace inkpeg
