// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/section/Alignment.h"

#include <numbers>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

template<typename Alignment>
std::string fitInWords(const Alignment& fit, const char* always)
{
    std::string words = fit.standardErrorM ? "RMSE " + fixed(fit.rmseM * 1000, 1) + " mm; standard error " +
                                                 fixed(*fit.standardErrorM * 1000, 1) + " mm"
                                           : std::string("nothing was checked: ") + always;
    words += "; spacing " + fixed(fit.meanSpacingM, 3) + " m";
    if (fit.spacingDeviationM)
        words += ", deviation " + fixed(*fit.spacingDeviationM * 1000, 0) + " mm";
    return words;
}

} // namespace

std::string alignmentInWords(const LineAlignment& line)
{
    return "line at " + fixed(line.directionRad * 180 / std::numbers::pi, 2) +
           " degrees from grid north; " + fitInWords(line, "two posts always make a line");
}

std::string alignmentInWords(const CircleAlignment& circle)
{
    return "arc of radius " + fixed(circle.radiusM, 3) + " m about E " + fixed(circle.centre.east, 3) +
           " N " + fixed(circle.centre.north, 3) + ", " +
           fixed(circle.coveredRad * 180 / std::numbers::pi, 0) + " degrees of it; " +
           fitInWords(circle, "three posts always make an arc");
}

} // namespace inkpeg
