// SPDX-License-Identifier: GPL-3.0-or-later
// Accuracy from check points: pins left out of the fit that judge it.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "core/fit/ControlFit.h"

namespace inkpeg {

struct CheckPointAccuracy {
    int points = 0;
    double rmseEastM = 0;
    double rmseNorthM = 0;
    double rmseRadialM = 0; ///< root of the sum of the squares of the two
    /// Horizontal, 95 % confidence; nothing where the formula does not hold.
    std::optional<double> accuracy95M;
    bool enoughPoints = false; ///< the standard asks for 20
    std::string statement;     ///< one sentence for reports, with what is amiss
};

/// The fewest check points the standard accepts.
inline constexpr int NssdaPoints = 20;

/// From the residuals of the pins whose use is Check. With none, `points` is 0 and the statement says so.
/// Source: FGDC-STD-007.3-1998, National Standard for Spatial Data Accuracy, 3.2.2 (number of points), appendix
///         3-A: 2.4477 * 0.5 * (RMSE east + RMSE north), which is 1.7308 * RMSE radial where both are equal;
///         holds where the smaller is at least 0.6 of the larger.
CheckPointAccuracy accuracyOfCheckPoints(std::span<const PinResidual> residuals);

} // namespace inkpeg
