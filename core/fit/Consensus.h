// SPDX-License-Identifier: GPL-3.0-or-later
// A start that wrong pins cannot spoil: the pins that agree with each other.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "core/fit/ControlFit.h"

namespace inkpeg {

struct Agreement {
    std::vector<std::size_t> agreeing; ///< places in the list of pins, ascending
    std::vector<std::size_t> wrong;    ///< the other pins whose use is Fit
    ControlFit fit;                    ///< of the agreeing pins; all others left out
};

/// Largest |residual / its standard error| that `tests` coordinates may show together before a pin is taken
/// for wrong: never below 3.29 (Baarda's alpha 0.001 for one test), higher where many tests together would
/// exceed 1.5 % false alarms (Bonferroni).
double snoopingLimit(int tests);

/// Scales that field drawings are made at (common practice, no source).
inline constexpr double UsualScales[] = {1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000};

/// Standard error of unit weight that a wrong minority of pins cannot spoil, for standard errors that are
/// only relative; 1 where there are too few pins. Of the affine or, for a similarity, that map. Source:
/// Rousseeuw, Least median of squares regression, Journal of the American Statistical Association 79, 1984;
///         the small-sample factor from Rousseeuw & Leroy, Robust Regression and Outlier Detection, 1987,
///         ch. 5.
double robustUnitWeight(std::span<const ControlPoint> pins, const FitSettings& settings);

/// Searches minimal sets of pins for the map that most pins agree with, refits it to those, then takes pins
/// in and out by data snooping until nothing changes. Survives 40 % of wrong pins where enough right ones
/// remain. All sets are tried where they are few, otherwise 600 random ones, always the same.
///
/// Nothing when no map is agreed on by at least one pin more than it needs, or by less than half of the
/// pins.
/// Source: Fischler & Bolles, Random sample consensus, Communications of the ACM 24, 1981; Baarda, A testing
///         procedure for use in geodetic networks, Netherlands Geodetic Commission, 1968.
std::optional<Agreement> findAgreement(std::span<const ControlPoint> pins, const FitSettings& settings);

} // namespace inkpeg
