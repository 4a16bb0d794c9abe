// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/ContextInPlan.h"

#include <algorithm>

#include "core/checks/PlaneGeometry.h"

namespace inkpeg {

namespace {

double areaOfBoxM2(const RingOnGround& ring)
{
    double west = 1e300, east = -1e300, south = 1e300, north = -1e300;
    for (const GroundM vertex : ring) {
        west = std::min(west, vertex.east);
        east = std::max(east, vertex.east);
        south = std::min(south, vertex.north);
        north = std::max(north, vertex.north);
    }
    return (east - west) * (north - south);
}

} // namespace

std::string contextInPlan(const ProjectRecords& records, std::int64_t drawing, GroundM place)
{
    std::string context;
    double leastM2 = 0;
    for (const OutlineOnGround& ground : records.groundOutlines) {
        const Outline& outline = records.outlines[ground.outline];
        if (outline.drawing != drawing)
            continue;
        for (const PartOnGround& part : ground.parts) {
            if (sideOf(place, part) == Side::Outside)
                continue;
            if (const double area = areaOfBoxM2(part.outer); context.empty() || area < leastM2) {
                context = outline.context;
                leastM2 = area;
            }
        }
    }
    return context;
}

} // namespace inkpeg
