// SPDX-License-Identifier: GPL-3.0-or-later
// Plain draughtsman's letters as strokes: capitals, figures and the signs that stand on field drawings.
#pragma once

#include <vector>

namespace inkpeg::demo {

struct LetterPoint {
    double x = 0, y = 0;
};
using LetterStroke = std::vector<LetterPoint>;

inline constexpr double LetterHeight = 6; ///< of a capital, in the units of the strokes

/// Small letters are written as capitals; a sign that is not known is left blank.
std::vector<LetterStroke> strokesOf(char letter);
double letterAdvance(char letter);

} // namespace inkpeg::demo
