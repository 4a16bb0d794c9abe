// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/CheckPoints.h"

#include <algorithm>
#include <cmath>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

constexpr double Factor95 = 2.4477; // as printed in the standard
constexpr double LeastRatio = 0.6;

std::string statementOf(const CheckPointAccuracy& accuracy)
{
    if (accuracy.points == 0)
        return "no check points: the accuracy is that of the fit alone; make a pin a check point to test "
               "it";
    const std::string count =
        std::to_string(accuracy.points) + (accuracy.points == 1 ? " check point" : " check points");
    if (!accuracy.accuracy95M)
        return count + ": errors in east and north differ too much (" + fixed(accuracy.rmseEastM, 3) +
               " and " + fixed(accuracy.rmseNorthM, 3) + " m) for a circular 95 % figure";
    const std::string figure =
        fixed(*accuracy.accuracy95M, 3) + " m horizontal accuracy at 95 % confidence level";
    if (accuracy.enoughPoints)
        return "tested " + figure + " (FGDC-STD-007.3-1998, " + count + ")";
    return count + " give " + figure + "; FGDC-STD-007.3-1998 asks for " + std::to_string(NssdaPoints) +
           ", so this is no statement under it";
}

} // namespace

CheckPointAccuracy accuracyOfCheckPoints(std::span<const PinResidual> residuals)
{
    CheckPointAccuracy accuracy;
    double east = 0, north = 0;
    for (const PinResidual& residual : residuals) {
        if (residual.use != PinUse::Check)
            continue;
        ++accuracy.points;
        east += residual.eastM * residual.eastM;
        north += residual.northM * residual.northM;
    }
    if (accuracy.points > 0) {
        accuracy.rmseEastM = std::sqrt(east / accuracy.points);
        accuracy.rmseNorthM = std::sqrt(north / accuracy.points);
        accuracy.rmseRadialM = std::hypot(accuracy.rmseEastM, accuracy.rmseNorthM);
        const auto [smaller, larger] = std::minmax(accuracy.rmseEastM, accuracy.rmseNorthM);
        if (smaller >= LeastRatio * larger)
            accuracy.accuracy95M = Factor95 * 0.5 * (smaller + larger);
    }
    accuracy.enoughPoints = accuracy.points >= NssdaPoints;
    accuracy.statement = statementOf(accuracy);
    return accuracy;
}

} // namespace inkpeg
