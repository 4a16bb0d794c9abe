// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/section/SectionFit.h"

#include <algorithm>
#include <cmath>
#include <complex>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

using Plane = std::complex<double>;

/// Best similarity from film to plane in closed form, on centred coordinates: z -> a z + b.
struct Similarity {
    double rmseM = 0;
    double turnRad = 0;
};

Similarity similarityOf(const std::vector<Plane>& film, const std::vector<Plane>& ground)
{
    Plane product = 0;
    double filmSquares = 0;
    for (std::size_t i = 0; i < film.size(); ++i) {
        product += std::conj(film[i]) * ground[i];
        filmSquares += std::norm(film[i]);
    }
    const Plane factor = product / filmSquares;
    double squares = 0;
    for (std::size_t i = 0; i < film.size(); ++i)
        squares += std::norm(factor * film[i] - ground[i]);
    return {std::sqrt(squares / static_cast<double>(film.size())), std::arg(factor)};
}

void centre(std::vector<Plane>& points)
{
    Plane sum = 0;
    for (const Plane& p : points)
        sum += p;
    for (Plane& p : points)
        p -= sum / static_cast<double>(points.size());
}

/// Root mean square distance of centred points from the best line through them.
double spreadAcross(const std::vector<Plane>& points)
{
    Plane squares = 0;
    double norms = 0;
    for (const Plane& p : points) {
        squares += p * p;
        norms += std::norm(p);
    }
    return std::sqrt(std::max(0.0, (norms - std::abs(squares)) / 2 / static_cast<double>(points.size())));
}

HandReport judgeHand(const SectionFrame& frame, std::vector<Plane> film, std::vector<Plane> ground,
                     const SectionFitSettings& settings)
{
    centre(film);
    centre(ground);
    const Similarity asWalked = similarityOf(film, ground);
    for (Plane& p : ground)
        p = {-p.real(), p.imag()};
    const Similarity reversed = similarityOf(film, ground);
    HandReport report;
    report.rmseAsWalkedMm = filmMmFromGroundM(asWalked.rmseM, settings.fit.scaleDenominator);
    report.rmseReversedMm = filmMmFromGroundM(reversed.rmseM, settings.fit.scaleDenominator);
    // Off one line by twice the tolerance, a mirrored fit shows it in residuals of about that size.
    const double spreadMm = std::min(
        spreadAcross(film), filmMmFromGroundM(spreadAcross(ground), settings.fit.scaleDenominator));
    report.fromLevels = spreadMm > 2 * settings.fit.toleranceMm;
    const bool turned = report.fromLevels ? reversed.rmseM < asWalked.rmseM
                                          : std::abs(reversed.turnRad) < std::abs(asWalked.turnRad);
    report.hand = turned ? SectionHand::Reversed : SectionHand::AsWalked;
    report.message = turned ? "section " + frame.name() + ": " + frame.nails().front().name +
                                  " lies on the right; it was drawn from the other side or its film "
                                  "scanned face down. Turn the "
                                  "line to run from " +
                                  frame.nails().back().name + " to " + frame.nails().front().name +
                                  ", or mark the film face down"
                            : "section " + frame.name() + ": reads from " + frame.nails().front().name +
                                  " to " + frame.nails().back().name;
    if (!report.fromLevels)
        report.message += " (told by the film standing upright; its pins lie on one line)";
    return report;
}

} // namespace

Result<std::vector<ControlPoint>> sectionControl(const SectionFrame& frame,
                                                 std::span<const SectionPin> pins,
                                                 const SectionFitSettings& settings)
{
    const auto bad = [&](const std::string& what) {
        return Error{ErrorCode::BadInput, "section " + frame.name() + ": " + what};
    };
    if (!(settings.verticalExaggeration > 0))
        return bad("vertical exaggeration " + exact(settings.verticalExaggeration) + " is not above 0");
    std::vector<ControlPoint> control;
    for (const SectionPin& pin : pins) {
        const double datum = pin.datumM.value_or(frame.datumM());
        if (!pin.nail.levelM && !pin.onDatumLine)
            return bad("nail " + pin.nail.name +
                       " has no level; give it in the peg register, or say that its mark "
                       "lies on the datum line");
        const double level = pin.onDatumLine ? datum : *pin.nail.levelM;
        const SectionFoot foot = frame.footOf(pin.nail.position);
        if (std::abs(foot.offsetM) > settings.farFromLineM)
            return bad("nail " + pin.nail.name + " lies " + fixed(std::abs(foot.offsetM), 2) +
                       " m off the section line; check its E and N");
        ControlPoint point;
        point.peg = pin.nail.name;
        point.film = pin.film;
        point.ground = {foot.alongM,
                        frame.datumM() + (level - frame.datumM()) * settings.verticalExaggeration};
        point.standardErrorEastM = pin.nail.standardErrorM;
        point.standardErrorNorthM =
            pin.nail.standardErrorLevelM.value_or(pin.nail.standardErrorM) * settings.verticalExaggeration;
        point.use = pin.use;
        control.push_back(std::move(point));
    }
    return control;
}

Result<HandReport> checkHand(const SectionFrame& frame, std::span<const SectionPin> pins,
                             const SectionFitSettings& settings)
{
    const auto control = sectionControl(frame, pins, settings);
    if (!control)
        return control.error();
    std::vector<Plane> film, ground;
    for (const ControlPoint& point : *control)
        if (point.use == PinUse::Fit) {
            film.emplace_back(point.film.x, point.film.y);
            ground.emplace_back(point.ground.east, point.ground.north);
        }
    const auto same = [](const std::vector<Plane>& points, double nearest) {
        return std::all_of(points.begin(), points.end(),
                           [&](const Plane& p) { return std::abs(p - points.front()) < nearest; });
    };
    if (film.size() < 2 || same(film, 0.01) || same(ground, 0.001))
        return Error{ErrorCode::Unsolvable,
                     "section " + frame.name() + ": pin two nails in different places at least"};
    return judgeHand(frame, std::move(film), std::move(ground), settings);
}

Result<SectionFit> fitSection(const SectionFrame& frame, std::span<const SectionPin> pins,
                              const SectionFitSettings& settings)
{
    const auto control = sectionControl(frame, pins, settings);
    if (!control)
        return control.error();
    const auto hand = checkHand(frame, pins, settings);
    if (!hand)
        return hand.error();
    if (hand->hand == SectionHand::Reversed)
        return Error{ErrorCode::Conflict, hand->message};
    Result<ControlFit> fit = fitControl(*control, settings.fit);
    if (!fit)
        return Error{fit.error().code, "section " + frame.name() + ": " + fit.error().message};
    FilmMm middle;
    for (const ControlPoint& point : *control) {
        middle.x += point.film.x / static_cast<double>(control->size());
        middle.y += point.film.y / static_cast<double>(control->size());
    }
    const GroundJacobian jacobian = fit->transform.jacobian(middle);
    const double wide = std::hypot(jacobian.eastByX, jacobian.eastByY);
    const double tall = std::hypot(jacobian.northByX, jacobian.northByY);
    return SectionFit{std::move(fit).value(), settings.verticalExaggeration, frame.datumM(),
                      tall > 0 ? settings.verticalExaggeration * wide / tall : 0.0};
}

SectionPoint SectionFit::toSection(FilmMm film) const
{
    const GroundM place = fit.transform.toGround(film);
    return {place.east, datumM + (place.north - datumM) / verticalExaggeration};
}

Result<FilmMm> SectionFit::toFilm(SectionPoint place) const
{
    return fit.transform.toFilm({place.alongM, datumM + (place.levelM - datumM) * verticalExaggeration});
}

GroundCovariance SectionFit::covarianceAt(FilmMm film) const
{
    const GroundCovariance drawn = fit.covarianceAt(film);
    return {drawn.eastEast, drawn.eastNorth / verticalExaggeration,
            drawn.northNorth / (verticalExaggeration * verticalExaggeration)};
}

} // namespace inkpeg
