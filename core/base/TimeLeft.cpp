// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/TimeLeft.h"

#include <cmath>

namespace inkpeg {

std::optional<double> secondsLeft(double shareDone, double secondsSoFar)
{
    if (!(shareDone >= 0.02) || !(secondsSoFar >= 1))
        return std::nullopt;
    return shareDone >= 1 ? 0.0 : secondsSoFar * (1 - shareDone) / shareDone;
}

std::string durationWords(double seconds)
{
    if (!(seconds >= 5))
        return "less than 5 s";
    if (seconds < 90)
        return std::to_string(static_cast<long>(std::lround(seconds / 5)) * 5) + " s";
    const long minutes = std::lround(seconds / 60);
    if (minutes < 60)
        return std::to_string(minutes) + " min";
    return std::to_string(minutes / 60) + " h " + std::to_string(minutes % 60) + " min";
}

} // namespace inkpeg
