// SPDX-License-Identifier: GPL-3.0-or-later
// Causes that lie in the whole sheet: read off the map that its pins agree on.
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "core/base/Text.h"
#include "core/fit/BlunderTrials.h"

namespace inkpeg {

namespace {

/// Film stretches by parts of a per cent; a scale further off than this is another scale.
constexpr double ScaleSlack = 0.03;

/// Middle of the pins that take part.
FilmMm middleOf(std::span<const ControlPoint> pins)
{
    FilmMm sum;
    double count = 0;
    for (const ControlPoint& pin : pins)
        if (pin.use == PinUse::Fit) {
            sum = {sum.x + pin.film.x, sum.y + pin.film.y};
            ++count;
        }
    return count > 0 ? FilmMm{sum.x / count, sum.y / count} : FilmMm{};
}

std::optional<Hypothesis> scaleHypothesis(std::span<const ControlPoint> pins,
                                          const DiagnosisSettings& settings, const ControlFit& fit)
{
    const std::optional<ScaleReading> other = otherScale(pins, settings.fit.scaleDenominator, fit);
    if (!other)
        return std::nullopt;
    Hypothesis hypothesis;
    hypothesis.kind = BlunderKind::WrongScale;
    hypothesis.support = std::numeric_limits<double>::infinity(); // read off, not guessed
    hypothesis.remedy = {{pins.begin(), pins.end()}, other->meant, false};
    hypothesis.sentence = "the pins give a scale of 1:" + fixed(other->fitted, other->usual ? 2 : 1) +
                          ", the drawing states 1:" + fixed(settings.fit.scaleDenominator, 0) +
                          (other->usual ? "; put 1:" + fixed(other->meant, 0)
                                        : "; no usual scale is near, look at resolution and scale");
    return hypothesis;
}

/// The pins with their pegs dealt out anew, as they lie when all are turned back about their middle;
/// nothing when the pegs do not fall on each other's places.
std::optional<std::vector<ControlPoint>> dealtOut(std::span<const ControlPoint> pins, double turnRad)
{
    std::vector<std::size_t> used;
    GroundM middle;
    for (std::size_t i = 0; i < pins.size(); ++i)
        if (pins[i].use == PinUse::Fit) {
            used.push_back(i);
            middle = {middle.east + pins[i].ground.east - pins[used[0]].ground.east,
                      middle.north + pins[i].ground.north - pins[used[0]].ground.north};
        }
    const auto n = static_cast<double>(used.size());
    middle = {pins[used[0]].ground.east + middle.east / n, pins[used[0]].ground.north + middle.north / n};
    double closest = std::numeric_limits<double>::max();
    for (const std::size_t a : used)
        for (const std::size_t b : used)
            if (a < b)
                closest = std::min(closest, distance(pins[a].ground, pins[b].ground));
    std::vector<ControlPoint> dealt(pins.begin(), pins.end());
    std::vector<bool> taken(pins.size(), false);
    for (const std::size_t i : used) {
        const double east = pins[i].ground.east - middle.east, north = pins[i].ground.north - middle.north;
        const GroundM back{middle.east + std::cos(turnRad) * east - std::sin(turnRad) * north,
                           middle.north + std::sin(turnRad) * east + std::cos(turnRad) * north};
        const std::size_t nearest =
            *std::min_element(used.begin(), used.end(), [&](std::size_t a, std::size_t b) {
                return distance(pins[a].ground, back) < distance(pins[b].ground, back);
            });
        if (taken[nearest] || distance(pins[nearest].ground, back) > closest / 3)
            return std::nullopt;
        taken[nearest] = true;
        const FilmMm mark = pins[i].film;
        dealt[i] = pins[nearest];
        dealt[i].film = mark;
    }
    return dealt;
}

std::optional<Hypothesis> turnHypothesis(std::span<const ControlPoint> pins,
                                         const DiagnosisSettings& settings, const ControlFit& fit)
{
    if (!settings.expectedTurnRad)
        return std::nullopt;
    const GroundJacobian slope = fit.transform.jacobian(middleOf(pins));
    const double turn = std::atan2(slope.northByX, slope.eastByX) - *settings.expectedTurnRad;
    const double quarters = turn / (std::numbers::pi / 2);
    const double whole = std::round(quarters);
    const int quarter = ((static_cast<int>(whole) % 4) + 4) % 4;
    constexpr double Slack = 0.2; // quarters, that is 18 degrees: film is laid along the grid by eye
    if (quarter == 0 || std::abs(quarters - whole) > Slack)
        return std::nullopt;
    Hypothesis hypothesis;
    hypothesis.kind = BlunderKind::TurnedSheet;
    hypothesis.support = std::numeric_limits<double>::infinity();
    const std::string degrees = std::to_string(90 * quarter) + " degrees";
    const std::optional<std::vector<ControlPoint>> dealt = dealtOut(pins, -whole * std::numbers::pi / 2);
    hypothesis.remedy = {dealt ? *dealt : std::vector<ControlPoint>(pins.begin(), pins.end()),
                         settings.fit.scaleDenominator, false};
    hypothesis.sentence =
        "the sheet comes to lie turned by " + degrees + " against the grid; " +
        (dealt ? "unless it was scanned so, the pegs are tied in turned order: deal them out anew"
               : "unless it was scanned so, look at the names of the pegs again");
    return hypothesis;
}

} // namespace

std::optional<ScaleReading> otherScale(std::span<const ControlPoint> pins, double statedDenominator,
                                       const ControlFit& fit)
{
    const GroundJacobian slope = fit.transform.jacobian(middleOf(pins));
    const double fitted =
        1000 * std::sqrt(std::abs(slope.eastByX * slope.northByY - slope.eastByY * slope.northByX));
    if (std::abs(fitted / statedDenominator - 1) <= ScaleSlack)
        return std::nullopt;
    ScaleReading reading{fitted, fitted, false};
    for (const double usual : UsualScales)
        if (std::abs(fitted / usual - 1) <= ScaleSlack)
            reading = {fitted, usual, true};
    return reading;
}

std::optional<Hypothesis> dealtOutHypothesis(std::span<const ControlPoint> pins,
                                             const DiagnosisSettings& settings, std::size_t agreeing)
{
    std::optional<Hypothesis> best;
    for (const int quarter : {1, 2, 3}) {
        const std::optional<std::vector<ControlPoint>> dealt =
            dealtOut(pins, -quarter * std::numbers::pi / 2);
        if (!dealt)
            continue;
        const std::optional<Agreement> agreement = findAgreement(*dealt, settings.fit);
        if (!agreement || agreement->agreeing.size() <= agreeing)
            continue;
        agreeing = agreement->agreeing.size();
        best = Hypothesis{};
        best->kind = BlunderKind::TurnedSheet;
        best->support = std::numeric_limits<double>::infinity();
        best->remedy = {*dealt, settings.fit.scaleDenominator, false};
        best->sentence = "the pegs are tied as if the sheet lay turned by " + std::to_string(90 * quarter) +
                         " degrees: dealt out anew, " + std::to_string(agreeing) + " pins agree";
    }
    return best;
}

bool isMirrored(std::span<const ControlPoint> pins, const ControlFit& fit)
{
    const GroundJacobian slope = fit.transform.jacobian(middleOf(pins));
    return slope.eastByX * slope.northByY - slope.eastByY * slope.northByX < 0;
}

std::vector<ControlPoint> turnedOver(std::span<const ControlPoint> pins)
{
    std::vector<ControlPoint> over(pins.begin(), pins.end());
    const double twiceMiddle = 2 * middleOf(pins).x;
    for (ControlPoint& pin : over)
        pin.film.x = twiceMiddle - pin.film.x;
    return over;
}

std::vector<Hypothesis> sheetHypotheses(std::span<const ControlPoint> pins,
                                        const DiagnosisSettings& settings, const ControlFit& fit)
{
    std::vector<Hypothesis> found;
    if (auto scale = scaleHypothesis(pins, settings, fit))
        found.push_back(std::move(*scale));
    if (auto turn = turnHypothesis(pins, settings, fit))
        found.push_back(std::move(*turn));
    return found;
}

} // namespace inkpeg
