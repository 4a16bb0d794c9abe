// SPDX-License-Identifier: GPL-3.0-or-later
// Sheets with known pegs, known errors and at most one planted blunder.
#pragma once

#include <optional>
#include <random>
#include <vector>

#include "core/fit/Blunders.h"

namespace inkpeg {

struct SimulatedSheet {
    std::vector<ControlPoint> pins;   ///< as a person would hand them in, blunder included
    DiagnosisSettings settings;       ///< stated scale, register (blunder included), expected turn
    std::vector<std::size_t> planted; ///< pins the blunder is in; empty for the sheet as a whole
    std::vector<ControlPoint> right;  ///< the pins without it
    double rightScaleDenominator = 20;
};

/// A sheet of 1:10, 1:20 or 1:50 over a peg grid of 1, 2 or 5 m, with at least three spare pins, pegs
/// surveyed to 5 to 10 mm, marks pointed to 0.1 mm. `kind` nothing = clean.
SimulatedSheet simulateSheet(std::optional<BlunderKind> kind, Model model, std::mt19937& random);

} // namespace inkpeg
