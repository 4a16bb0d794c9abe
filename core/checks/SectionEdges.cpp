// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/SectionEdges.h"

#include <algorithm>
#include <cmath>

#include "core/checks/ContextInPlan.h"
#include "core/checks/PlaneGeometry.h"

namespace inkpeg {

namespace {

/// An edge that runs nearly along the line says little of where it crosses it: below this sine it is left
/// out (common practice, no source).
constexpr double LeastSine = 0.2;

bool saysWhere(EdgeKind kind)
{
    return kind == EdgeKind::Certain || kind == EdgeKind::Uncertain;
}

struct Crossing {
    double alongM = 0;
    double sine = 1;
    EdgeKind kind = EdgeKind::Certain;
    GroundM ground;
    bool entering = false; ///< the context lies beyond it, seen from A
};

/// Where a side of an area lies along the line: one place, or anywhere between two where it is not known at
/// which level the plan shows it.
struct End {
    double fromM = 0, toM = 0;
    EdgeKind kind = EdgeKind::Certain;
    bool left = false; ///< the context lies beyond it, seen from A
    const RingOnGround* ring = nullptr;

    double nearestTo(double alongM) const { return std::clamp(alongM, fromM, toM); }
};

/// The side of a ring at a level: the least or greatest distance along; nothing above and below it.
std::optional<double> sideAt(const RingOnGround& ring, double levelM, bool left)
{
    std::optional<double> side;
    const auto offer = [&](double at) {
        side = !side ? at : left ? std::min(*side, at) : std::max(*side, at);
    };
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const GroundM a = ring[i], b = ring[(i + 1) % ring.size()];
        if (std::min(a.north, b.north) > levelM || std::max(a.north, b.north) < levelM)
            continue;
        if (a.north == b.north) {
            offer(a.east);
            offer(b.east);
        } else {
            offer(a.east + (levelM - a.north) / (b.north - a.north) * (b.east - a.east));
        }
    }
    return side;
}

/// The highest level at which the side of a ring lies at a distance along the line.
std::optional<double> levelOfSideAt(const RingOnGround& ring, double alongM, bool left)
{
    constexpr double OnTheSideM = 1e-6;
    std::optional<double> highest;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const GroundM a = ring[i], b = ring[(i + 1) % ring.size()];
        if (std::min(a.east, b.east) > alongM || std::max(a.east, b.east) < alongM)
            continue;
        const double level = a.east == b.east
                                 ? std::max(a.north, b.north)
                                 : a.north + (alongM - a.east) / (b.east - a.east) * (b.north - a.north);
        const auto side = sideAt(ring, level, left);
        if (side && std::abs(*side - alongM) < OnTheSideM)
            highest = highest ? std::max(*highest, level) : level;
    }
    return highest;
}

void addCrossings(const RingOnGround& ring, const std::vector<EdgeKind>& kinds, const SectionFrame& frame,
                  std::size_t leg, std::vector<Crossing>& crossings)
{
    const GroundM a = frame.nails()[leg].position, b = frame.nails()[leg + 1].position;
    const double east = b.east - a.east, north = b.north - a.north, length = std::hypot(east, north);
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const GroundM p = ring[i], q = ring[(i + 1) % ring.size()];
        const double edgeEast = q.east - p.east, edgeNorth = q.north - p.north;
        const double across = east * edgeNorth - north * edgeEast;
        const double before = east * (p.north - a.north) - north * (p.east - a.east);
        const double after = east * (q.north - a.north) - north * (q.east - a.east);
        if ((before > 0) == (after > 0) || across == 0)
            continue;
        const double share = before / (before - after);
        const GroundM at{p.east + share * edgeEast, p.north + share * edgeNorth};
        const double along = ((at.east - a.east) * east + (at.north - a.north) * north) / length;
        if (along < 0 || along >= length)
            continue;
        crossings.push_back({frame.alongOfNailM(leg) + along,
                             std::abs(across) / (length * std::hypot(edgeEast, edgeNorth)),
                             i < kinds.size() ? kinds[i] : EdgeKind::Certain, at, false});
    }
}

/// Where a plan's part meets the line, by distance along it.
std::vector<Crossing> crossingsOf(const PartOnGround& part, const Part& drawn, const SectionFrame& frame)
{
    std::vector<Crossing> crossings;
    for (std::size_t leg = 0; leg + 1 < frame.nails().size(); ++leg) {
        if (frame.isStep(leg))
            continue; // nothing was drawn of it
        addCrossings(part.outer, drawn.outer.kinds, frame, leg, crossings);
        for (std::size_t h = 0; h < part.holes.size() && h < drawn.holes.size(); ++h)
            addCrossings(part.holes[h], drawn.holes[h].kinds, frame, leg, crossings);
    }
    std::sort(crossings.begin(), crossings.end(),
              [](const Crossing& a, const Crossing& b) { return a.alongM < b.alongM; });
    for (std::size_t i = 0; i < crossings.size(); ++i) {
        double next = i + 1 < crossings.size() ? crossings[i + 1].alongM : frame.lengthM();
        for (const double step : frame.stepsM())
            if (step > crossings[i].alongM) // beyond it the line lies elsewhere
                next = std::min(next, step);
        const SpacePoint middle = frame.toSpace(SectionPoint{(crossings[i].alongM + next) / 2, 0});
        crossings[i].entering = sideOf(GroundM{middle.eastM, middle.northM}, part) == Side::Inside;
    }
    std::erase_if(crossings, [](const Crossing& crossing) {
        return !saysWhere(crossing.kind) || crossing.sine < LeastSine;
    });
    return crossings;
}

/// The two ends of an area along the line; an end at an edge that says nothing of the context is left out.
/// A cut ends where it is widest, for that is the edge a plan shows of it. What fills or covers is shown as it
/// was at some level: the one written beside it on the plan, or else any of its own.
std::vector<End> endsOf(const FaceArea& area, const std::optional<double>& planLevelM)
{
    const RingOnGround& ring = area.part->outer;
    const std::vector<EdgeKind>& kinds = area.drawn->outer.kinds;
    if (ring.empty() || kinds.size() != ring.size())
        return {};
    const auto less = [](GroundM a, GroundM b) { return a.east < b.east; };
    std::vector<End> ends;
    for (const bool left : {true, false}) {
        const auto at = left ? std::min_element(ring.begin(), ring.end(), less)
                             : std::max_element(ring.begin(), ring.end(), less);
        const auto i = static_cast<std::size_t>(at - ring.begin());
        const EdgeKind leaving = kinds[i], arriving = kinds[(i + kinds.size() - 1) % kinds.size()];
        if (!saysWhere(leaving) || !saysWhere(arriving))
            continue;
        const bool uncertain = leaving == EdgeKind::Uncertain || arriving == EdgeKind::Uncertain;
        End end{at->east, at->east, uncertain ? EdgeKind::Uncertain : EdgeKind::Certain, left, &ring};
        const auto atLevel = planLevelM && !area.isCut ? sideAt(ring, *planLevelM, left) : std::nullopt;
        if (atLevel) {
            end.fromM = end.toM = *atLevel;
        } else if (!area.isCut) { // a level written in a cut is that of its base more often than not
            for (const GroundM vertex : ring)
                if (const auto side = sideAt(ring, vertex.north, left)) {
                    end.fromM = std::min(end.fromM, *side);
                    end.toM = std::max(end.toM, *side);
                }
        }
        ends.push_back(end);
    }
    return ends;
}

/// Pairs ends and crossings of the same sense, nearest first; each is used once.
std::vector<std::pair<const End*, const Crossing*>>
paired(const std::vector<End>& ends, const std::vector<Crossing>& crossings, double furthestM)
{
    struct Pair {
        double apartM;
        const End* end;
        const Crossing* crossing;
    };
    std::vector<Pair> all;
    for (const End& end : ends)
        for (const Crossing& crossing : crossings)
            if (const double apart = std::abs(end.nearestTo(crossing.alongM) - crossing.alongM);
                crossing.entering == end.left && apart <= furthestM)
                all.push_back({apart, &end, &crossing});
    std::sort(all.begin(), all.end(), [](const Pair& a, const Pair& b) { return a.apartM < b.apartM; });
    std::vector<std::pair<const End*, const Crossing*>> pairs;
    for (const Pair& pair : all)
        if (std::none_of(pairs.begin(), pairs.end(), [&](const auto& taken) {
                return taken.first == pair.end || taken.second == pair.crossing;
            }))
            pairs.emplace_back(pair.end, pair.crossing);
    return pairs;
}

/// The mean of the levels written on the plan for the outline's context: those that bear its number, and
/// those without a number that lie in its outline.
std::optional<double> writtenLevel(const ProjectRecords& records, const Outline& outline)
{
    double sum = 0;
    int count = 0;
    const auto take = [&](const SpotLevel& level) {
        sum += level.levelM;
        ++count;
    };
    for (const SpotLevel& level : records.spotLevels)
        if (level.drawing == outline.drawing && level.context == outline.context)
            take(level);
    for (const LevelOnGround& level : records.groundLevels) {
        const SpotLevel& spot = records.spotLevels[level.spotLevel];
        if (spot.drawing == outline.drawing && spot.context.empty() &&
            contextInPlan(records, spot.drawing, level.position) == outline.context)
            take(spot);
    }
    return count > 0 ? std::optional(sum / count) : std::nullopt;
}

} // namespace

void compareEdges(const ProjectRecords& records, const OutlineOnGround& ground, const Drawing& plan,
                  const SectionFace& face, double sameEdgeM, std::vector<EdgeMisfit>& found)
{
    const Outline& outline = records.outlines[ground.outline];
    std::vector<Crossing> crossings;
    for (std::size_t p = 0; p < ground.parts.size() && p < outline.parts.size(); ++p)
        for (const Crossing& crossing : crossingsOf(ground.parts[p], outline.parts[p], face.frame()))
            crossings.push_back(crossing);
    if (crossings.empty())
        return;
    std::vector<End> ends;
    const std::optional<double> levelM = writtenLevel(records, outline);
    double sectionErrorM = 0;
    for (const FaceArea& area : face.areas())
        if (area.context == outline.context) {
            const std::vector<End> more = endsOf(area, levelM);
            ends.insert(ends.end(), more.begin(), more.end());
            sectionErrorM = std::max(sectionErrorM, area.errorM);
        }
    for (const auto& [end, crossing] : paired(ends, crossings, sameEdgeM)) {
        EdgeMisfit edge;
        edge.context = outline.context;
        edge.plan = plan.number;
        edge.section = face.drawing().number;
        edge.sectionId = face.drawing().id;
        edge.planAlongM = crossing->alongM;
        edge.sectionAlongM = end->nearestTo(crossing->alongM);
        edge.sectionFromM = end->fromM;
        edge.sectionToM = end->toM;
        edge.planLevelM = levelM;
        edge.planErrorM = ground.covariance.standardErrorM() / crossing->sine;
        edge.sectionErrorM = sectionErrorM;
        edge.uncertain = end->kind == EdgeKind::Uncertain || crossing->kind == EdgeKind::Uncertain;
        edge.ground = crossing->ground;
        if (edge.verdict() == MisfitVerdict::CannotTell)
            edge.fitsAtM = levelOfSideAt(*end->ring, edge.sectionAlongM, end->left);
        found.push_back(std::move(edge));
    }
}

} // namespace inkpeg
