// SPDX-License-Identifier: GPL-3.0-or-later
// The hypotheses that Blunders.cpp asks for: each tried by refitting with its remedy.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "core/fit/Blunders.h"
#include "core/fit/Consensus.h"

namespace inkpeg {

/// Causes in the pins that do not agree, each kept if it explains them better than no cause; for each such
/// pin also the gross error without a cause. Most supported first.
std::vector<Hypothesis> pinHypotheses(std::span<const ControlPoint> pins, const DiagnosisSettings& settings,
                                      const Agreement& agreement);

/// A scale that the map gives and the drawing does not state.
struct ScaleReading {
    double fitted = 0; ///< denominator
    double meant = 0;  ///< the usual scale near it, else `fitted`
    bool usual = false;
};

/// Nothing where the fitted scale is the stated one but for stretched film.
std::optional<ScaleReading> otherScale(std::span<const ControlPoint> pins, double statedDenominator,
                                       const ControlFit& fit);

/// Causes in the sheet as a whole, read off the map that the pins agree on: scale and turn.
std::vector<Hypothesis> sheetHypotheses(std::span<const ControlPoint> pins,
                                        const DiagnosisSettings& settings, const ControlFit& fit);

/// Pegs tied in an order turned by quarters of the circle: pegs are never driven so evenly that this fits,
/// so it is tried where pins contradict each other. Nothing unless more than `agreeing` pins agree then.
std::optional<Hypothesis> dealtOutHypothesis(std::span<const ControlPoint> pins,
                                             const DiagnosisSettings& settings, std::size_t agreeing);

/// True if the fitted map turns the film over; a similarity never does.
bool isMirrored(std::span<const ControlPoint> pins, const ControlFit& fit);

/// The pins with the film turned over.
std::vector<ControlPoint> turnedOver(std::span<const ControlPoint> pins);

} // namespace inkpeg
