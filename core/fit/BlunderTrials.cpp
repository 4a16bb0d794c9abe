// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/BlunderTrials.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "core/base/Text.h"
#include "core/fit/PinConfiguration.h"

namespace inkpeg {

namespace {

constexpr double Slips[] = {-10, -5, -1, 1, 5, 10};
constexpr double SameLineM = 0.5; ///< pegs of one grid line differ by less than this across it

/// Natural log of the ratio of the largest to the smallest error a coordinate may have without a cause: 1
/// km to 1 cm.
constexpr double UnknownDecades = 11.5;

double square(double value)
{
    return value * value;
}

/// Twice the log of how many equally likely ways there are.
double ways(std::size_t count)
{
    return 2 * std::log(static_cast<double>(std::max<std::size_t>(count, 1)));
}

/// Price of one freely wrong coordinate that is off by so much: an error of any size is as likely as one of
/// ten times the size (a prior flat in its logarithm, either sign), so the larger the error, the dearer the
/// exact place.
double priceOfUnknown(double offM, double standardErrorM)
{
    return 2 * std::log(2 * UnknownDecades * std::max(std::abs(offM), standardErrorM) /
                        (std::sqrt(2 * std::numbers::pi) * standardErrorM));
}

/// Tries remedies against the pins that agree.
class Trials {
public:
    Trials(std::span<const ControlPoint> pins, const DiagnosisSettings& settings,
           const Agreement& agreement)
        : m_pins(pins), m_settings(settings), m_agreement(agreement), m_base(pins.begin(), pins.end())
    {
        for (const std::size_t wrong : agreement.wrong)
            m_base[wrong].use = PinUse::LeftOut;
    }

    std::vector<Hypothesis> all()
    {
        for (std::size_t k = 0; k < m_agreement.wrong.size(); ++k) {
            const std::size_t pin = m_agreement.wrong[k];
            for (std::size_t other = 0; other < m_pins.size(); ++other)
                if (other > pin || !isWrong(other))
                    trySwap(pin, other);
            tryOtherPegs(pin);
            tryCoordinates(pin);
            addUnknown(pin);
        }
        std::stable_sort(m_found.begin(), m_found.end(),
                         [](const Hypothesis& a, const Hypothesis& b) { return a.support > b.support; });
        return std::move(m_found);
    }

private:
    bool isWrong(std::size_t pin) const
    {
        return std::find(m_agreement.wrong.begin(), m_agreement.wrong.end(), pin) !=
               m_agreement.wrong.end();
    }

    double standardErrorEast(const ControlPoint& pin) const
    {
        return combinedStandardErrorM(pin.standardErrorEastM, m_settings.fit);
    }
    double standardErrorNorth(const ControlPoint& pin) const
    {
        return combinedStandardErrorM(pin.standardErrorNorthM, m_settings.fit);
    }
    double priceOfUnknownEast(std::size_t pin) const
    {
        return priceOfUnknown(m_agreement.fit.residuals[pin].eastM, standardErrorEast(m_pins[pin]));
    }
    double priceOfUnknownNorth(std::size_t pin) const
    {
        return priceOfUnknown(m_agreement.fit.residuals[pin].northM, standardErrorNorth(m_pins[pin]));
    }
    double priceOfUnknownPin(std::size_t pin) const
    {
        return priceOfUnknownEast(pin) + priceOfUnknownNorth(pin);
    }

    /// Squared misfit, in standard errors, of a peg at `ground` for this pin's mark against the agreed map.
    double misfit(std::size_t pin, GroundM ground) const
    {
        const GroundM there = m_agreement.fit.transform.toGround(m_pins[pin].film);
        const GroundCovariance covariance = m_agreement.fit.covarianceAt(m_pins[pin].film);
        return square(there.east - ground.east) /
                   (square(standardErrorEast(m_pins[pin])) + covariance.eastEast) +
               square(there.north - ground.north) /
                   (square(standardErrorNorth(m_pins[pin])) + covariance.northNorth);
    }

    /// Not worth a refit: past any doubt for two coordinates.
    bool hopeless(std::size_t pin, GroundM ground) const { return !(misfit(pin, ground) < 40); }

    bool someOtherPegStandsAt(std::size_t pin, GroundM ground) const
    {
        return std::any_of(m_settings.pegs.begin(), m_settings.pegs.end(), [&](const RegisteredPeg& peg) {
            return peg.name != m_pins[pin].peg &&
                   std::abs(peg.ground.east - ground.east) < 4 * standardErrorEast(m_pins[pin]) &&
                   std::abs(peg.ground.north - ground.north) < 4 * standardErrorNorth(m_pins[pin]);
        });
    }

    /// Refits with `changed` pins taken in as given, and keeps the hypothesis when it beats no cause at
    /// all.
    void attempt(BlunderKind kind, const std::vector<std::pair<std::size_t, ControlPoint>>& changed,
                 double price, const std::string& what)
    {
        std::vector<ControlPoint> trial = m_base;
        double priceOfNone = 0;
        Hypothesis hypothesis;
        hypothesis.kind = kind;
        for (const auto& [place, pin] : changed) {
            trial[place] = pin;
            trial[place].use = PinUse::Fit;
            hypothesis.pins.push_back(place);
            hypothesis.misfitBeforeMm =
                std::max(hypothesis.misfitBeforeMm, m_agreement.fit.residuals[place].filmMm);
            priceOfNone += isWrong(place) ? priceOfUnknownPin(place) : 0.0;
        }
        const Result<ControlFit> fit = fitControl(trial, m_agreement.fit.settings);
        if (!fit)
            return;
        for (const std::size_t place : hypothesis.pins)
            hypothesis.misfitAfterMm = std::max(hypothesis.misfitAfterMm, fit->residuals[place].filmMm);
        // Pins that agree cost what their own square sum is; those taken in may add to it.
        const double added = fit->weightedSquareSum - m_agreement.fit.weightedSquareSum;
        hypothesis.support = priceOfNone - price - added;
        if (hypothesis.support <= 0)
            return;
        hypothesis.remedy = {remedied(changed), m_settings.fit.scaleDenominator, false};
        hypothesis.sentence = what + ": off by " + fixed(hypothesis.misfitBeforeMm, 1) +
                              " mm on the film now, by " + fixed(hypothesis.misfitAfterMm, 2) + " mm then";
        m_found.push_back(std::move(hypothesis));
    }

    std::vector<ControlPoint>
    remedied(const std::vector<std::pair<std::size_t, ControlPoint>>& changed) const
    {
        std::vector<ControlPoint> pins(m_pins.begin(), m_pins.end());
        for (const auto& [place, pin] : changed)
            pins[place] = pin;
        return pins;
    }

    ControlPoint tiedTo(std::size_t pin, const RegisteredPeg& peg) const
    {
        ControlPoint tied = m_pins[pin];
        tied.peg = peg.name;
        tied.ground = peg.ground;
        tied.standardErrorEastM = peg.standardErrorEastM;
        tied.standardErrorNorthM = peg.standardErrorNorthM;
        return tied;
    }

    static RegisteredPeg pegOf(const ControlPoint& pin)
    {
        return {pin.peg, pin.ground, pin.standardErrorEastM, pin.standardErrorNorthM};
    }

    void trySwap(std::size_t pin, std::size_t other)
    {
        if (m_pins[other].use != PinUse::Fit || hopeless(pin, m_pins[other].ground) ||
            hopeless(other, m_pins[pin].ground))
            return;
        attempt(BlunderKind::SwappedPins,
                {{pin, tiedTo(pin, pegOf(m_pins[other]))}, {other, tiedTo(other, pegOf(m_pins[pin]))}},
                ways(m_pins.size() * (m_pins.size() - 1) / 2),
                "pins " + m_pins[pin].peg + " and " + m_pins[other].peg +
                    " look swapped; exchange their pegs");
    }

    void tryOtherPegs(std::size_t pin)
    {
        const GroundM tied = m_pins[pin].ground;
        const auto onLine = [&](const RegisteredPeg& peg) {
            return std::abs(peg.ground.east - tied.east) < SameLineM ||
                   std::abs(peg.ground.north - tied.north) < SameLineM;
        };
        const auto inLine =
            static_cast<std::size_t>(std::count_if(m_settings.pegs.begin(), m_settings.pegs.end(), onLine));
        for (const RegisteredPeg& peg : m_settings.pegs) {
            if (peg.name == m_pins[pin].peg || hopeless(pin, peg.ground))
                continue;
            const bool same = onLine(peg);
            attempt(same ? BlunderKind::WrongPegOfLine : BlunderKind::WrongPeg, {{pin, tiedTo(pin, peg)}},
                    ways(same ? inLine : m_settings.pegs.size()),
                    "the mark pinned to " + m_pins[pin].peg + " looks like " + peg.name +
                        (same ? " of the same grid line" : "") + "; tie it to that");
        }
    }

    void tryGround(BlunderKind kind, std::size_t pin, GroundM ground, std::size_t count,
                   const std::string& what)
    {
        // Where a surveyed peg stands, the pin being tied to the wrong one is the plainer cause.
        if (hopeless(pin, ground) || someOtherPegStandsAt(pin, ground))
            return;
        ControlPoint changed = m_pins[pin];
        changed.ground = ground;
        attempt(kind, {{pin, changed}}, ways(count), "peg " + m_pins[pin].peg + ": " + what);
    }

    void tryCoordinates(std::size_t pin)
    {
        const GroundM given = m_pins[pin].ground;
        tryGround(BlunderKind::EastNorthExchanged, pin, {given.north, given.east}, 1,
                  "east and north look exchanged; put E " + fixed(given.north, 3) + ", N " +
                      fixed(given.east, 3));
        for (const double slip : Slips) {
            const std::string by = fixed(std::abs(slip), 0) + " m too " + (slip > 0 ? "small" : "large");
            tryGround(BlunderKind::CoordinateSlip, pin, {given.east + slip, given.north},
                      2 * std::size(Slips), "E looks " + by + "; put E " + fixed(given.east + slip, 3));
            tryGround(BlunderKind::CoordinateSlip, pin, {given.east, given.north + slip},
                      2 * std::size(Slips), "N looks " + by + "; put N " + fixed(given.north + slip, 3));
        }
        const std::vector<double> easts = transposed(given.east), norths = transposed(given.north);
        // Twice as many ways as there are pairs: of 2,000 small errors without a cause 152 were laid to
        // digits at once the number, 137 at twice; at three times true exchanges begin to be missed
        // (docs/blunders.md).
        const std::size_t pairs = 2 * (easts.size() + norths.size());
        for (const double east : easts)
            tryGround(BlunderKind::TransposedDigits, pin, {east, given.north}, pairs,
                      "two digits of E look exchanged; put E " + fixed(east, 3) + " for " +
                          fixed(given.east, 3));
        for (const double north : norths)
            tryGround(BlunderKind::TransposedDigits, pin, {given.east, north}, pairs,
                      "two digits of N look exchanged; put N " + fixed(north, 3) + " for " +
                          fixed(given.north, 3));
    }

    /// `value`, written to the millimetre, with each two neighbouring digits exchanged.
    static std::vector<double> transposed(double value)
    {
        std::vector<double> values;
        const std::string text = fixed(value, 3);
        for (std::size_t i = 0; i + 1 < text.size(); ++i) {
            const std::size_t next = text[i + 1] == '.' ? i + 2 : i + 1;
            if (text[i] == '.' || text[i] == '-' || text[i] == text[next])
                continue;
            std::string changed = text;
            std::swap(changed[i], changed[next]);
            values.push_back(value + parseNumber(changed).value() - parseNumber(text).value());
        }
        return values;
    }

    /// The pin is off and nothing named explains it: one coordinate if that suffices, else both.
    void addUnknown(std::size_t pin)
    {
        const PinResidual& residual = m_agreement.fit.residuals[pin];
        Hypothesis unknown;
        unknown.kind = BlunderKind::GrossError;
        unknown.pins = {pin};
        unknown.misfitBeforeMm = residual.filmMm;
        std::vector<ControlPoint> pins(m_pins.begin(), m_pins.end());
        pins[pin].use = PinUse::LeftOut;
        unknown.remedy = {std::move(pins), m_settings.fit.scaleDenominator, false};
        const GroundM there = m_agreement.fit.transform.toGround(m_pins[pin].film);
        const double eastOnly = misfit(pin, {there.east, m_pins[pin].ground.north});
        const double northOnly = misfit(pin, {m_pins[pin].ground.east, there.north});
        // One coordinate right saves its price, but has to fit.
        unknown.support =
            std::max({0.0, priceOfUnknownNorth(pin) - eastOnly, priceOfUnknownEast(pin) - northOnly});
        unknown.sentence =
            "pin " + m_pins[pin].peg + " is off by " + fixed(-residual.eastM, 3) + " m in E and " +
            fixed(-residual.northM, 3) + " m in N (" + fixed(residual.filmMm, 1) +
            " mm on the film) with no cause that can be named; look at mark and peg again, or leave it "
            "out";
        m_found.push_back(std::move(unknown));
    }

    std::span<const ControlPoint> m_pins;
    const DiagnosisSettings& m_settings;
    const Agreement& m_agreement;
    std::vector<ControlPoint> m_base;
    std::vector<Hypothesis> m_found;
};

} // namespace

std::vector<Hypothesis> pinHypotheses(std::span<const ControlPoint> pins, const DiagnosisSettings& settings,
                                      const Agreement& agreement)
{
    return Trials(pins, settings, agreement).all();
}

} // namespace inkpeg
