// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/Blunders.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/base/Text.h"
#include "core/fit/BlunderTrials.h"
#include "core/fit/Consensus.h"
#include "core/fit/PinConfiguration.h"
#include "core/fit/Quantiles.h"

namespace inkpeg {

namespace {

Model diagnosedWith(Model model, int pins)
{
    if (model != Model::ThinPlateSpline)
        return model;
    return pins >= 9 ? Model::Polynomial2 : Model::Affine;
}

/// Fills in the tests of the plain fit; true if any pin is past the limit.
bool testPins(Diagnosis& diagnosis, const ControlFit& fit, bool varianceKnown)
{
    constexpr double PopeAlpha = 0.015; // of the whole sheet, as the limit of w
    const int tests = 2 * fit.pinsUsed;
    diagnosis.limit = varianceKnown ? snoopingLimit(tests) : tauQuantile(PopeAlpha / tests, fit.redundancy);
    bool any = false;
    for (std::size_t i = 0; i < fit.residuals.size(); ++i) {
        const PinResidual& residual = fit.residuals[i];
        if (residual.use != PinUse::Fit)
            continue;
        PinTest test{.pin = i};
        test.w = std::max(std::abs(residual.testEast), std::abs(residual.testNorth));
        test.tau = fit.standardErrorOfUnitWeight > 0 ? test.w / fit.standardErrorOfUnitWeight : 0.0;
        // With one redundant observation tau is 1 for all of them: it can tell nothing.
        test.suspect =
            varianceKnown ? test.w > diagnosis.limit : fit.redundancy > 1 && test.tau > diagnosis.limit;
        any = any || test.suspect;
        diagnosis.tests.push_back(test);
    }
    return any;
}

/// Standard errors that are only relative are brought to the size the agreeing pins show, so that the rest
/// of the diagnosis can go on as if the variance were known.
std::vector<ControlPoint> withScaledErrors(std::span<const ControlPoint> pins, double factor)
{
    std::vector<ControlPoint> scaled(pins.begin(), pins.end());
    for (ControlPoint& pin : scaled) {
        pin.standardErrorEastM *= factor;
        pin.standardErrorNorthM *= factor;
    }
    return scaled;
}

Hypothesis mirroredHypothesis(std::span<const ControlPoint> pins, const DiagnosisSettings& settings,
                              std::size_t agreeing)
{
    Hypothesis hypothesis;
    hypothesis.kind = BlunderKind::MirroredFilm;
    hypothesis.support = std::numeric_limits<double>::infinity();
    hypothesis.remedy = {turnedOver(pins), settings.fit.scaleDenominator, true};
    hypothesis.sentence = "the film looks scanned face down: turned over, " + std::to_string(agreeing) +
                          " pins agree; mark the sheet as face down, or as face up if it is marked so";
    return hypothesis;
}

void conclude(Diagnosis& diagnosis, std::size_t used)
{
    diagnosis.alarm = diagnosis.alarm || !diagnosis.hypotheses.empty();
    if (!diagnosis.hypotheses.empty())
        diagnosis.summary = diagnosis.hypotheses.front().sentence;
    else if (diagnosis.alarm)
        diagnosis.summary =
            "the pins contradict each other and too few agree to tell which are wrong; pin more pegs";
    else
        diagnosis.summary = std::to_string(used) + " pins, none of them suspect";
}

class Examination {
public:
    Examination(std::span<const ControlPoint> pins, const DiagnosisSettings& settings)
        : m_pins(pins.begin(), pins.end()), m_settings(settings)
    {
        m_used = static_cast<std::size_t>(std::count_if(
            pins.begin(), pins.end(), [](const ControlPoint& p) { return p.use == PinUse::Fit; }));
        m_settings.fit.model = diagnosedWith(settings.fit.model, static_cast<int>(m_used));
    }

    Diagnosis run()
    {
        const Result<ControlFit> plain = fitControl(m_pins, m_settings.fit);
        if (!plain) {
            m_diagnosis.summary = plain.error().message;
            return m_diagnosis;
        }
        m_diagnosis.alarm = testPins(m_diagnosis, *plain, m_settings.varianceKnown);
        if (!m_settings.varianceKnown)
            searchWithoutVariance(*plain);
        else if (m_diagnosis.alarm)
            searchCausesWith(errorsGrownByScale(*plain));
        else
            judgeSheet(m_pins, *plain, m_used);
        conclude(m_diagnosis, m_used);
        return std::move(m_diagnosis);
    }

private:
    void judgeSheet(std::span<const ControlPoint> pins, const ControlFit& fit, std::size_t agreeing)
    {
        if (isMirrored(pins, fit)) {
            const std::vector<ControlPoint> over = turnedOver(pins);
            m_diagnosis.hypotheses.push_back(mirroredHypothesis(pins, m_settings, agreeing));
            if (const Result<ControlFit> righted = fitControl(over, fit.settings))
                append(sheetHypotheses(over, m_settings, *righted));
            return;
        }
        append(sheetHypotheses(pins, m_settings, fit));
    }

    /// Tau alone is blind to two wrong pins, which raise the estimated variance together; the least median
    /// of squares is not, but wavers with few pins: it has to be passed threefold, with seven pins at
    /// least.
    void searchWithoutVariance(const ControlFit& plain)
    {
        constexpr std::size_t EnoughPins = 7;
        const double unit = std::max(robustUnitWeight(m_pins, m_settings.fit), 1e-6);
        if (!m_diagnosis.alarm && m_used >= EnoughPins) {
            const std::vector<ControlPoint> wide = withScaledErrors(m_pins, 3 * unit);
            const std::optional<Agreement> agreement = findAgreement(wide, m_settings.fit);
            m_diagnosis.alarm = agreement && !agreement->wrong.empty();
        }
        if (!m_diagnosis.alarm) {
            judgeSheet(m_pins, plain, m_used);
            return;
        }
        searchCausesWith(unit);
    }

    /// A scale stated too large (1:10 for 1:20) makes the errors of pointing, as they come here, too small by
    /// as much; then right pins would contradict each other, and any other order of the pegs would agree as
    /// well by chance. Only a usual scale is believed, as a wild peg also changes what all pins give.
    double errorsGrownByScale(const ControlFit& plain) const
    {
        const double stated = m_settings.fit.scaleDenominator;
        const std::optional<ScaleReading> other = otherScale(m_pins, stated, plain);
        return other && other->usual ? std::max(1.0, other->meant / stated) : 1;
    }

    void searchCausesWith(double errorFactor)
    {
        m_pins = withScaledErrors(m_pins, errorFactor);
        searchCauses();
        for (Hypothesis& hypothesis : m_diagnosis.hypotheses)
            hypothesis.remedy.pins = withScaledErrors(hypothesis.remedy.pins, 1 / errorFactor);
    }

    void searchCauses()
    {
        const std::optional<Agreement> agreement = findAgreement(m_pins, m_settings.fit);
        std::optional<Agreement> mirrored;
        // Only a similarity cannot mirror by itself.
        if (m_settings.fit.model == Model::Similarity)
            mirrored = findAgreement(turnedOver(m_pins), m_settings.fit);
        if (mirrored && (!agreement || mirrored->agreeing.size() > agreement->agreeing.size())) {
            m_diagnosis.hypotheses.push_back(
                mirroredHypothesis(m_pins, m_settings, mirrored->agreeing.size()));
            const std::vector<ControlPoint> over = turnedOver(m_pins);
            append(sheetHypotheses(over, m_settings, mirrored->fit));
            m_diagnosis.wrong = mirrored->wrong;
            return;
        }
        const std::size_t count = agreement ? agreement->agreeing.size() : 0;
        if (std::optional<Hypothesis> turned = dealtOutHypothesis(m_pins, m_settings, count)) {
            m_diagnosis.hypotheses.push_back(std::move(*turned));
            return;
        }
        if (!agreement)
            return;
        m_diagnosis.wrong = agreement->wrong;
        std::vector<ControlPoint> agreeing = m_pins;
        for (const std::size_t wrong : agreement->wrong)
            agreeing[wrong].use = PinUse::LeftOut;
        judgeSheet(agreeing, agreement->fit, agreement->agreeing.size());
        append(pinHypotheses(m_pins, m_settings, *agreement));
    }

    void append(std::vector<Hypothesis> found)
    {
        for (Hypothesis& hypothesis : found)
            m_diagnosis.hypotheses.push_back(std::move(hypothesis));
    }

    std::vector<ControlPoint> m_pins;
    DiagnosisSettings m_settings;
    std::size_t m_used = 0;
    Diagnosis m_diagnosis;
};

} // namespace

std::string blunderName(BlunderKind kind)
{
    switch (kind) {
    case BlunderKind::SwappedPins:
        return "swapped pins";
    case BlunderKind::EastNorthExchanged:
        return "east and north exchanged";
    case BlunderKind::TransposedDigits:
        return "transposed digits";
    case BlunderKind::CoordinateSlip:
        return "slip of 1, 5 or 10 m";
    case BlunderKind::WrongPegOfLine:
        return "wrong peg of the same grid line";
    case BlunderKind::WrongPeg:
        return "wrong peg";
    case BlunderKind::MirroredFilm:
        return "mirrored film";
    case BlunderKind::WrongScale:
        return "stated scale is not the fitted one";
    case BlunderKind::TurnedSheet:
        return "sheet turned";
    case BlunderKind::GrossError:
        break;
    }
    return "gross error without a named cause";
}

Diagnosis diagnosePins(std::span<const ControlPoint> pins, const DiagnosisSettings& settings)
{
    return Examination(pins, settings).run();
}

} // namespace inkpeg
