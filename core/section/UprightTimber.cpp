// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/section/UprightTimber.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

constexpr double RadPerDegree = std::numbers::pi / 180;

Error badTimber(const std::string& name, const std::string& what)
{
    return {ErrorCode::BadInput, "timber " + name + ": " + what};
}

} // namespace

Result<UprightTimber> uprightTimber(const TimberAsRecorded& recorded)
{
    const auto bad = [&](const std::string& what) { return badTimber(recorded.name, what); };
    const double leanDegrees = recorded.leanDegrees.value_or(0);
    if (!recorded.topM)
        return bad("no level of its top; level it, or give it in the register");
    if (!recorded.bottomM && !recorded.lengthM)
        return bad("neither a level of its bottom nor a length; give one of them");
    if (!(leanDegrees >= 0 && leanDegrees < 90))
        return bad("a lean of " + exact(leanDegrees) + " degrees from the vertical does not stand");
    if (leanDegrees > 0 && !recorded.leanBearingDegrees)
        return bad("a lean without its bearing; give which way the top leans");
    UprightTimber timber;
    timber.name = recorded.name;
    timber.leanRad = leanDegrees * RadPerDegree;
    timber.leanBearingRad = recorded.leanBearingDegrees.value_or(0) * RadPerDegree;
    timber.diameterM = recorded.diameterM.value_or(0);
    const double dropM = recorded.bottomM ? *recorded.topM - *recorded.bottomM
                                          : *recorded.lengthM * std::cos(timber.leanRad);
    if (!(dropM > 0))
        return bad("its bottom " + fixed(*recorded.topM - dropM, 2) + " does not lie below its top " +
                   fixed(*recorded.topM, 2) + "; check both levels");
    timber.lengthM = dropM / std::cos(timber.leanRad);
    if (recorded.bottomM && recorded.lengthM)
        timber.lengthMisfitM = *recorded.lengthM - timber.lengthM;
    const double outM = dropM * std::tan(timber.leanRad);
    timber.top = {recorded.top.east, recorded.top.north, *recorded.topM};
    timber.bottom = {recorded.top.east - outM * std::sin(timber.leanBearingRad),
                     recorded.top.north - outM * std::cos(timber.leanBearingRad), *recorded.topM - dropM};
    return timber;
}

std::vector<GroundM> planOutline(const UprightTimber& timber, int corners)
{
    std::vector<GroundM> outline;
    if (!(timber.diameterM > 0) || corners < 3)
        return outline;
    // Half the corners about the end that an outward direction points away from: together their hull.
    const double outEast = timber.top.eastM - timber.bottom.eastM;
    const double outNorth = timber.top.northM - timber.bottom.northM;
    const double start = std::atan2(outNorth, outEast);
    for (int i = 0; i < corners; ++i) {
        const double angle = start + 2 * std::numbers::pi * i / corners;
        const double east = std::cos(angle), north = std::sin(angle);
        const bool atTop = east * outEast + north * outNorth >= 0;
        const SpacePoint& middle = atTop ? timber.top : timber.bottom;
        outline.push_back(
            {middle.eastM + timber.diameterM / 2 * east, middle.northM + timber.diameterM / 2 * north});
    }
    return outline;
}

std::vector<SectionPoint> elevationOutline(const UprightTimber& timber, const SectionFrame& frame)
{
    const SectionPoint top = frame.toSection(timber.top), bottom = frame.toSection(timber.bottom);
    if (!(timber.diameterM > 0))
        return {bottom, top};
    const double along = top.alongM - bottom.alongM, up = top.levelM - bottom.levelM;
    const double length = std::hypot(along, up);
    // Square to the axis as it is seen, half the diameter to either side.
    const double half = timber.diameterM / 2, rightAlong = half * up / length,
                 rightUp = -half * along / length;
    return {{bottom.alongM - rightAlong, bottom.levelM - rightUp},
            {bottom.alongM + rightAlong, bottom.levelM + rightUp},
            {top.alongM + rightAlong, top.levelM + rightUp},
            {top.alongM - rightAlong, top.levelM - rightUp}};
}

} // namespace inkpeg
