// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/ContextInPlan.h"

#include "core/checks/PlaneGeometry.h"
#include "core/checks/SheetJoins.h"

namespace inkpeg {

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
            if (const double area = areaM2({&part, 1}); context.empty() || area < leastM2) {
                context = outline.context;
                leastM2 = area;
            }
        }
    }
    return context;
}

} // namespace inkpeg
