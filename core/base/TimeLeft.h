// SPDX-License-Identifier: GPL-3.0-or-later
// How much longer work will take, for whoever waits for it.
#pragma once

#include <optional>
#include <string>

namespace inkpeg {

/// As long again, in proportion, as the share done has taken. Nothing in the first second or the first
/// fiftieth: what such a start promises is no better than a guess.
std::optional<double> secondsLeft(double shareDone, double secondsSoFar);

/// "less than 5 s", "40 s", "3 min", "1 h 20 min": as coarse as such a figure is sure.
std::string durationWords(double seconds);

} // namespace inkpeg
