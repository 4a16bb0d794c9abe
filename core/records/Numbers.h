// SPDX-License-Identifier: GPL-3.0-or-later
// Record numbers as sites write them: brackets, letters, ranges. The brackets are for the eye; a number is
// kept plain.
//
//   plainNumber("[1032]")                       // "1032"
//   contextNumberShown(cut)                     // "[1032]"
//   numbersNamed("1030-1033, 1040a")            // 1030, 1031, 1032, 1033, 1040a
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/records/Records.h"

namespace inkpeg {

/// `text` without blanks at its ends and without one pair of brackets around it: [ ] ( ) < >.
std::string plainNumber(std::string_view text);

/// Square brackets for cuts, round ones for everything else (common practice, no source).
std::string contextNumberShown(const Context& context);

/// Pointed brackets (common practice, no source).
std::string sampleNumberShown(const Sample& sample);

/// The plain numbers named in `text`, with blanks, commas or semicolons between. "1030-1033" (also with an
/// en dash) names each from the first to the last where both ends have the same count of digits, three or
/// more, and lie no more than 200 apart; anything else with a dash is one number, as sites that write
/// trench-number have it.
std::vector<std::string> numbersNamed(std::string_view text);

/// Order for people: runs of digits by their value, all else letter by letter: 9, 10, 10a, 10b, SF2, SF10.
bool numberBefore(std::string_view a, std::string_view b);

} // namespace inkpeg
