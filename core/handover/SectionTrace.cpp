// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/SectionTrace.h"

#include <algorithm>

namespace inkpeg {

namespace {

std::vector<GroundM> onGround(const SectionFrame& frame, double fromM, double toM)
{
    const std::vector<SectionPoint> level = {{fromM, frame.datumM()}, {toM, frame.datumM()}};
    std::vector<GroundM> line;
    for (const SectionStretch& stretch : frame.stretchesOf(level))
        for (const SpacePoint& place : frame.toSpace(stretch.line, false, stretch.piece))
            line.push_back({place.eastM, place.northM});
    return line;
}

/// The first lane whose spans end before each begins.
void chooseLanes(std::vector<DrawnSpan>& spans)
{
    std::vector<double> endOfLane;
    for (DrawnSpan& span : spans) {
        const auto lane = std::find_if(endOfLane.begin(), endOfLane.end(),
                                       [&](double endM) { return endM <= span.fromM; });
        span.lane = static_cast<int>(lane - endOfLane.begin());
        if (lane == endOfLane.end())
            endOfLane.push_back(span.toM);
        else
            *lane = span.toM;
    }
}

} // namespace

SectionTrace sectionTrace(const Project& project, const Drawing& drawing, const DrawingGround& ground)
{
    const SectionFrame& frame = *ground.section;
    SectionTrace trace{drawing.number, onGround(frame, 0, frame.lengthM()), frame.facingRad(), {}};
    for (const Outline& outline : project.ofDrawing<Outline>(drawing.id))
        for (const Part& part : outline.parts) {
            std::vector<SectionPoint> face;
            for (const ScanPx vertex : part.outer.vertices) {
                const GroundM place = ground.toGround(vertex);
                face.push_back({place.east, place.north});
            }
            const DrawnInterval interval = intervalOf(face);
            trace.spans.push_back({outline.context, interval.fromM, interval.toM,
                                   onGround(frame, interval.fromM, interval.toM), 0});
        }
    std::stable_sort(trace.spans.begin(), trace.spans.end(),
                     [](const DrawnSpan& a, const DrawnSpan& b) { return a.fromM < b.fromM; });
    chooseLanes(trace.spans);
    return trace;
}

} // namespace inkpeg
