// SPDX-License-Identifier: GPL-3.0-or-later
// Checks of finds, samples and timbers: their context, their place, their level.
#include <cmath>
#include <unordered_map>

#include "core/base/Text.h"
#include "core/checks/CheckFunctions.h"
#include "core/checks/Evidence.h"
#include "core/checks/Links.h"
#include "core/checks/PlaneGeometry.h"

namespace inkpeg {

namespace {

/// (common practice, no source)
constexpr double LevelToleranceM = 0.05;
constexpr double PlaceToleranceM = 0.10;

std::string named(const Placed& placed)
{
    return pointKindName(placed.kind) + " " + std::string(placed.number);
}

std::string inPercent(double probability)
{
    return fixed(probability * 100, 0) + " %";
}

/// Words for what lies at the place instead.
std::string insteadIn(const Link& link)
{
    if (!link.alternative)
        return {};
    if (link.alternative->probability > 0)
        return "; it lies in " + link.alternative->context + " with " +
               inPercent(link.alternative->probability);
    return "; the nearest other outline is " + link.alternative->context + ", " +
           fixed(link.alternative->distanceM, 2) + " m away";
}

template<typename Tell>
void eachWithVerdict(Evidence& evidence, LinkVerdict verdict, Tell tell)
{
    const std::vector<Link>& links = evidence.links();
    const std::vector<Placed>& placed = evidence.placed();
    for (std::size_t i = 0; i < links.size(); ++i)
        if (links[i].verdict == verdict)
            tell(placed[i], links[i]);
}

} // namespace

void checkPlacedWithoutContext(Evidence& evidence, Report& report)
{
    for (const Placed& placed : evidence.placed()) {
        const std::string context(placed.context);
        if (evidence.context(context))
            continue;
        report.about(placed,
                     context.empty()
                         ? named(placed) + " names no context"
                         : named(placed) + " names context " + context + ", which is not in the register",
                     "Look at its label and correct the register.");
    }
}

void checkPlacedWithoutPlace(Evidence& evidence, Report& report)
{
    eachWithVerdict(evidence, LinkVerdict::NoPlace, [&](const Placed& placed, const Link&) {
        report.about(placed, named(placed) + " has no position, in the register or on a drawing",
                     "Survey it, or mark it on the drawing where it was found.");
    });
}

void checkPlacedOutOfPlace(Evidence& evidence, Report& report)
{
    eachWithVerdict(evidence, LinkVerdict::Disagree, [&](const Placed& placed, const Link& link) {
        if (!evidence.context(std::string(placed.context)))
            return;
        Matter& matter =
            report.about(placed,
                         named(placed) + " is recorded in " + std::string(placed.context) + " but lies " +
                             fixed(link.distanceM, 2) + " m from its outline" + insteadIn(link),
                         "Look at its label and its coordinates; correct the one that is wrong.");
        matter.ground = link.position;
    });
}

void checkPlacedOnTheEdge(Evidence& evidence, Report& report)
{
    eachWithVerdict(evidence, LinkVerdict::OnTheEdge, [&](const Placed& placed, const Link& link) {
        Matter& matter = report.about(placed,
                                      named(placed) + " lies in " + std::string(placed.context) +
                                          " with only " + inPercent(link.probability) + insteadIn(link),
                                      "Nothing has to be done unless the label says otherwise.");
        matter.ground = link.position;
    });
}

void checkPlacedWithoutOutline(Evidence& evidence, Report& report)
{
    eachWithVerdict(evidence, LinkVerdict::NoOutline, [&](const Placed& placed, const Link& link) {
        if (!evidence.context(std::string(placed.context)))
            return;
        Matter& matter =
            report.about(placed,
                         named(placed) + " cannot be held against its context " +
                             std::string(placed.context) + ", which has no outline on a plan that fits",
                         "Trace the context on a pinned plan, or put the pins of its plan right.");
        matter.ground = link.position;
    });
}

void checkPlacedOutsideTrench(Evidence& evidence, Report& report)
{
    const std::vector<Link>& links = evidence.links();
    const std::vector<Placed>& placed = evidence.placed();
    for (std::size_t i = 0; i < links.size(); ++i) {
        const Trench* trench = evidence.trench(std::string(placed[i].trench));
        if (!links[i].position || !trench || trench->limit.size() < 3 ||
            sideOf(*links[i].position, trench->limit) != Side::Outside)
            continue;
        const double beyondM = distanceToEdge(*links[i].position, trench->limit);
        if (beyondM <= std::max(PlaceToleranceM, 3 * placed[i].standardErrorM))
            continue;
        Matter& matter = report.about(placed[i],
                                      named(placed[i]) + " lies " + fixed(beyondM, 2) +
                                          " m outside trench " + trench->name,
                                      "Look at its coordinates: digits may be transposed.");
        matter.ground = links[i].position;
    }
}

void checkPlacedLevels(Evidence& evidence, Report& report)
{
    const std::vector<Link>& links = evidence.links();
    const std::vector<Placed>& placed = evidence.placed();
    for (std::size_t i = 0; i < links.size(); ++i) {
        // A timber's top stands out of its context as a rule.
        if (placed[i].kind == PointKind::Timber || std::abs(links[i].levelDifferenceM) <= LevelToleranceM)
            continue;
        const double differenceM = links[i].levelDifferenceM;
        Matter& matter = report.about(placed[i],
                                      named(placed[i]) + " lies " + fixed(std::abs(differenceM), 2) +
                                          " m " + (differenceM > 0 ? "above the top" : "below the bottom") +
                                          " of its context " + std::string(placed[i].context),
                                      "Look at its level and at those of the context.");
        matter.ground = links[i].position;
    }
}

void checkDrawnPlaces(Evidence& evidence, Report& report)
{
    if (evidence.records.groundPoints.empty())
        return;
    std::unordered_map<std::string, const Placed*> surveyed;
    for (const Placed& placed : evidence.placed())
        if (placed.position)
            surveyed.emplace(named(placed), &placed);
    for (const PointOnGround& point : evidence.records.groundPoints) {
        const DrawnPoint& drawn = evidence.records.drawnPoints[point.drawnPoint];
        const Drawing* drawing = evidence.drawing(drawn.drawing);
        const auto found = surveyed.find(pointKindName(drawn.kind) + " " + drawn.number);
        if (found == surveyed.end() || !drawing || showsLevels(drawing->kind) ||
            !evidence.drawingFits(drawing->id))
            continue;
        const Placed& placed = *found->second;
        const double drawnErrorM =
            std::sqrt(0.5 * (point.covariance.eastEast + point.covariance.northNorth));
        const double apartM = distance(point.position, *placed.position);
        if (apartM <= std::max(PlaceToleranceM, 3 * std::hypot(drawnErrorM, placed.standardErrorM)))
            continue;
        Matter& matter = report.about(placed,
                                      named(placed) + " is drawn on " + drawing->number + " " +
                                          fixed(apartM, 2) + " m from where it was surveyed",
                                      "Look at the coordinates and at the number on the film.");
        matter.drawing = drawing->number;
        matter.scan = drawn.mark;
    }
}

void checkDrawnPointsWithoutRecord(Evidence& evidence, Report& report)
{
    std::unordered_map<std::string, bool> registered;
    for (const Placed& placed : evidence.placed())
        registered.emplace(named(placed), true);
    for (const DrawnPoint& drawn : evidence.records.drawnPoints) {
        const std::string name = pointKindName(drawn.kind) + " " + drawn.number;
        const Drawing* drawing = evidence.drawing(drawn.drawing);
        if (drawn.kind == PointKind::Note || !drawing || registered.contains(name))
            continue;
        Matter& matter =
            report.add(pointKindName(drawn.kind), drawn.number,
                       name + " is marked on drawing " + drawing->number + " but is not in the register",
                       "Find its record, or correct the number on the drawing.");
        matter.trench = drawing->trench;
        matter.drawing = drawing->number;
        matter.scan = drawn.mark;
    }
}

} // namespace inkpeg
