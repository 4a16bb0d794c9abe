// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/SheetJoins.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "core/base/Text.h"
#include "core/checks/CheckFunctions.h"
#include "core/checks/Evidence.h"
#include "core/checks/PlanAreas.h"
#include "core/checks/PlaneGeometry.h"
#include "core/outline/Area.h"
#include "core/outline/Overlay.h"

namespace inkpeg {
namespace {

/// Another sheet is looked at where it shows the place, or nearly.
constexpr double besideSheetM = 0.25;

/// Two people draw the same edge this far apart (common practice, no source).
constexpr double redrawnToleranceM = 0.05;

/// The vertices at which an outline runs off its sheet or comes back onto it.
std::vector<GroundM> seamPlaces(const SheetOutline& outline)
{
    std::vector<GroundM> places;
    for (std::size_t p = 0; p < outline.parts.size() && p < outline.kinds.size(); ++p) {
        const std::vector<EdgeKind>& kinds = outline.kinds[p];
        const RingOnGround& ring = outline.parts[p].outer;
        for (std::size_t i = 0; i < ring.size() && i < kinds.size(); ++i) {
            const EdgeKind before = kinds[(i + kinds.size() - 1) % kinds.size()];
            if ((before == EdgeKind::BeyondTheSheet) != (kinds[i] == EdgeKind::BeyondTheSheet))
                places.push_back(ring[i]);
        }
    }
    return places;
}

double distanceToStretch(GroundM from, GroundM a, GroundM b)
{
    const double east = b.east - a.east, north = b.north - a.north;
    const double squared = east * east + north * north;
    const double along =
        squared > 0
            ? std::clamp(((from.east - a.east) * east + (from.north - a.north) * north) / squared, 0.0, 1.0)
            : 0.0;
    return distance(from, {a.east + along * east, a.north + along * north});
}

/// To the nearest edge of the outline that was drawn, not run off the sheet.
double distanceToDrawn(GroundM from, const SheetOutline& outline)
{
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t p = 0; p < outline.parts.size() && p < outline.kinds.size(); ++p) {
        const RingOnGround& ring = outline.parts[p].outer;
        for (std::size_t i = 0; i < ring.size() && i < outline.kinds[p].size(); ++i)
            if (outline.kinds[p][i] != EdgeKind::BeyondTheSheet)
                least = std::min(least, distanceToStretch(from, ring[i], ring[(i + 1) % ring.size()]));
    }
    return least;
}

bool shows(const SheetOutline& sheet, GroundM place)
{
    return sheet.footprint.size() >= 3 && (sideOf(place, sheet.footprint) != Side::Outside ||
                                           distanceToEdge(place, sheet.footprint) <= besideSheetM);
}

void addPlaces(const SheetOutline& from, const SheetOutline& to, SheetJoin& join)
{
    for (const GroundM& place : seamPlaces(from)) {
        const double away = shows(to, place) ? distanceToDrawn(place, to) : -1;
        if (away < 0 || !std::isfinite(away))
            continue;
        ++join.places;
        join.meanM += away;
        if (away >= join.worstM) {
            join.worstM = away;
            join.at = place;
        }
    }
}

/// The plane of the ground about an origin, as the overlay wants it: its unit is then a metre.
std::vector<Part> inPlane(const SheetOutline& outline, GroundM origin)
{
    const auto ringOf = [&](const RingOnGround& ground, const std::vector<EdgeKind>* kinds) {
        Ring ring;
        for (const GroundM& at : ground)
            ring.vertices.push_back({at.east - origin.east, origin.north - at.north});
        ring.kinds = kinds ? *kinds : std::vector<EdgeKind>(ground.size(), EdgeKind::Certain);
        return ring;
    };
    std::vector<Part> parts;
    for (std::size_t p = 0; p < outline.parts.size(); ++p) {
        parts.push_back(
            {ringOf(outline.parts[p].outer, p < outline.kinds.size() ? &outline.kinds[p] : nullptr), {}});
        for (const RingOnGround& hole : outline.parts[p].holes)
            parts.back().holes.push_back(ringOf(hole, nullptr));
    }
    return parts;
}

} // namespace

std::vector<SheetJoin> sheetJoins(std::span<const SheetOutline> outlines)
{
    std::vector<SheetJoin> joins;
    for (std::size_t i = 0; i < outlines.size(); ++i)
        for (std::size_t k = i + 1; k < outlines.size(); ++k) {
            if (outlines[i].drawing == outlines[k].drawing)
                continue;
            SheetJoin join;
            join.one = outlines[i].drawing;
            join.other = outlines[k].drawing;
            addPlaces(outlines[i], outlines[k], join);
            addPlaces(outlines[k], outlines[i], join);
            if (join.places == 0)
                continue;
            join.meanM /= join.places;
            join.standardErrorM = std::hypot(outlines[i].standardErrorM, outlines[k].standardErrorM);
            joins.push_back(join);
        }
    return joins;
}

Result<std::vector<PartOnGround>> joinedOnGround(std::span<const SheetOutline> outlines)
{
    constexpr double gridM = 0.001;
    std::vector<PartOnGround> joined;
    if (outlines.empty() || outlines.front().parts.empty())
        return joined;
    const GroundM first = outlines.front().parts.front().outer.front();
    const GroundM origin{std::round(first.east), std::round(first.north)};
    std::vector<Part> all = inPlane(outlines.front(), origin);
    for (const SheetOutline& outline : outlines.subspan(1)) {
        Result<std::vector<Part>> both = overlay(all, inPlane(outline, origin), Overlay::Union, gridM);
        if (!both)
            return both.error();
        all = std::move(*both);
    }
    const auto onGround = [&](const Ring& ring) {
        RingOnGround ground;
        for (const ScanPx& at : ring.vertices)
            ground.push_back({origin.east + at.column, origin.north - at.row});
        return ground;
    };
    for (const Part& part : all) {
        joined.push_back({onGround(part.outer), {}});
        for (const Ring& hole : part.holes)
            joined.back().holes.push_back(onGround(hole));
    }
    return joined;
}

double areaM2(std::span<const PartOnGround> parts)
{
    double sum = 0;
    for (const PartOnGround& part : parts) {
        sum += std::abs(signedAreaM2(part.outer));
        for (const RingOnGround& hole : part.holes)
            sum -= std::abs(signedAreaM2(hole));
    }
    return sum;
}

void checkSheetJoins(Evidence& evidence, Report& report)
{
    const ProjectRecords& records = evidence.records;
    std::map<std::string, std::vector<std::size_t>> byContext;
    for (const std::size_t i : evidence.areas().outlines())
        byContext[records.outlines[i].context].push_back(i);
    for (const auto& [context, indices] : byContext) {
        if (indices.size() < 2)
            continue;
        std::vector<SheetOutline> sheets;
        for (const std::size_t i : indices) {
            const Outline& outline = records.outlines[i];
            SheetOutline sheet{evidence.drawing(outline.drawing)->number,
                               evidence.onGround(i)->parts,
                               {},
                               {},
                               evidence.areas().standardErrorM(i)};
            for (const Part& part : outline.parts)
                sheet.kinds.push_back(part.outer.kinds);
            if (const DrawingPlace* place = evidence.place(outline.drawing))
                sheet.footprint = place->footprint;
            sheets.push_back(std::move(sheet));
        }
        for (const SheetJoin& join : sheetJoins(sheets)) {
            if (join.worstM <= std::max(redrawnToleranceM, 3 * join.standardErrorM))
                continue;
            Matter& matter = report.add(
                "outline", join.one + " / " + join.other + " / " + context,
                "context " + context + " runs over drawings " + join.one + " and " + join.other +
                    ", but its edges miss each other there by up to " + fixed(join.worstM, 2) + " m",
                "Look at the pins of both drawings, then at the outline where the sheets meet.");
            evidence.showOutline(indices.front(), matter);
            matter.ground = join.at;
        }
    }
}

} // namespace inkpeg
