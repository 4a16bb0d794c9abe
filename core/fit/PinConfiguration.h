// SPDX-License-Identifier: GPL-3.0-or-later
// Whether pins lie so that they determine a model, said with their names.
#pragma once

#include <span>
#include <string>

#include "core/base/Result.h"
#include "core/fit/ControlFit.h"

namespace inkpeg {

/// `pins` are those that take part in the fit.
/// Errors: BadInput (a position or standard error that is no number, no standard error at all);
///         Unsolvable: too few pins, two at one place, or all on one line (nearer to it than a pin can be
///         pointed, on the film or on the ground) for a model that needs more. The message names them and
///         what would help.
Result<void> checkConfiguration(std::span<const ControlPoint> pins, const FitSettings& settings);

/// What to say when the equations turn out dependent in spite of that (three of four pins on a line for a
/// projective fit, two rows of pins for a polynomial of degree 2, and so on).
Error configurationUndetermined(std::span<const ControlPoint> pins, Model model);

/// "A1, B1 and C1"; of more than eight the first seven "and n more".
std::string pinNames(std::span<const ControlPoint> pins);

/// "an affine", "a similarity", ... as the subject of a sentence.
std::string modelWithArticle(Model model);

/// One sigma of one coordinate in metres: peg and pointing together.
double combinedStandardErrorM(double pegStandardErrorM, const FitSettings& settings);

} // namespace inkpeg
