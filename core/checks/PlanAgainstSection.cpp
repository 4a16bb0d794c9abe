// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/PlanAgainstSection.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "core/base/Text.h"
#include "core/checks/Evidence.h"
#include "core/checks/PlaneGeometry.h"
#include "core/checks/SectionFace.h"

namespace inkpeg {

namespace {

constexpr double TwoSigma = 2;

/// An edge that runs nearly along the line says little of where it crosses it: below this sine it is left
/// out (common practice, no source).
constexpr double LeastSine = 0.2;

/// Levels are written to the centimetre: the standard deviation of a uniform distribution one wide.
const double WrittenErrorM = 0.01 / std::sqrt(12.0);

std::string millimetres(double metres)
{
    return fixed(metres * 1000, 0) + " mm";
}

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

    double nearestTo(double alongM) const { return std::clamp(alongM, fromM, toM); }
};

/// The side of a ring at a level: the least or greatest distance along; nothing above and below it.
std::optional<double> sideAt(const RingOnGround& ring, double levelM, bool left)
{
    std::optional<double> side;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const GroundM a = ring[i], b = ring[(i + 1) % ring.size()];
        if (std::min(a.north, b.north) > levelM || std::max(a.north, b.north) < levelM)
            continue;
        const double share = a.north == b.north ? 0 : (levelM - a.north) / (b.north - a.north);
        for (const double at : {a.east + share * (b.east - a.east),
                                a.north == b.north ? b.east : a.east + share * (b.east - a.east)})
            side = !side ? at : left ? std::min(*side, at) : std::max(*side, at);
    }
    return side;
}

/// Where a plan's part meets the line, by distance along it.
std::vector<Crossing> crossingsOf(const PartOnGround& part, const Part& drawn, const SectionFrame& frame)
{
    std::vector<Crossing> crossings;
    const auto addRing = [&](const RingOnGround& ring, const std::vector<EdgeKind>& kinds) {
        for (std::size_t leg = 0; leg + 1 < frame.nails().size(); ++leg) {
            const GroundM a = frame.nails()[leg].position, b = frame.nails()[leg + 1].position;
            const double east = b.east - a.east, north = b.north - a.north,
                         length = std::hypot(east, north);
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
    };
    addRing(part.outer, drawn.outer.kinds);
    for (std::size_t h = 0; h < part.holes.size() && h < drawn.holes.size(); ++h)
        addRing(part.holes[h], drawn.holes[h].kinds);
    std::sort(crossings.begin(), crossings.end(),
              [](const Crossing& a, const Crossing& b) { return a.alongM < b.alongM; });
    for (std::size_t i = 0; i < crossings.size(); ++i) {
        const double next = i + 1 < crossings.size() ? crossings[i + 1].alongM : frame.lengthM();
        const SpacePoint middle = frame.toSpace(SectionPoint{(crossings[i].alongM + next) / 2, 0});
        crossings[i].entering = sideOf(GroundM{middle.eastM, middle.northM}, part) == Side::Inside;
    }
    return crossings;
}

/// The two ends of an area along the line; an end at an edge that says nothing of the context is left out.
/// A cut ends where it is widest, for that is the edge a plan shows of it. What fills or covers is shown as
/// it was at some level: the one written beside it on the plan, or else any of its own.
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
        End end{at->east, at->east,
                leaving == EdgeKind::Uncertain || arriving == EdgeKind::Uncertain ? EdgeKind::Uncertain
                                                                                  : EdgeKind::Certain,
                left};
        const auto atLevel = planLevelM ? sideAt(ring, *planLevelM, left) : std::nullopt;
        if (atLevel) {
            end.fromM = end.toM = *atLevel;
        } else if (!area.isCut) {
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

class Comparison {
public:
    Comparison(const ProjectRecords& records, const CompareSettings& settings)
        : m_records(records), m_settings(settings)
    {
        for (const Drawing& drawing : records.drawings)
            if (const auto place = records.places.find(drawing.id);
                drawing.kind == DrawingKind::Plan && place != records.places.end() && fits(place->second))
                m_plans.emplace(drawing.id, &drawing);
    }

    PlanAgainstSection run()
    {
        for (const SectionFace& face : sectionFaces(m_records)) {
            ++m_found.sections;
            compareEdges(face);
            compareLevels(face);
            comparePlaced(face);
        }
        return std::move(m_found);
    }

private:
    void compareEdges(const SectionFace& face)
    {
        for (const OutlineOnGround& ground : m_records.groundOutlines) {
            const Outline& outline = m_records.outlines[ground.outline];
            const auto plan = m_plans.find(outline.drawing);
            if (plan == m_plans.end() || !face.shows(outline.context))
                continue;
            std::vector<Crossing> crossings;
            for (std::size_t p = 0; p < ground.parts.size() && p < outline.parts.size(); ++p)
                for (const Crossing& crossing :
                     crossingsOf(ground.parts[p], outline.parts[p], face.frame()))
                    if (saysWhere(crossing.kind) && crossing.sine >= LeastSine)
                        crossings.push_back(crossing);
            std::vector<End> ends;
            const std::optional<double> levelM = writtenLevel(outline);
            double sectionErrorM = 0;
            for (const FaceArea& area : face.areas())
                if (area.context == outline.context) {
                    const std::vector<End> more = endsOf(area, levelM);
                    ends.insert(ends.end(), more.begin(), more.end());
                    sectionErrorM = std::max(sectionErrorM, area.errorM);
                }
            const double planErrorM = ground.covariance.standardErrorM();
            for (const auto& [end, crossing] : paired(ends, crossings, m_settings.sameEdgeM))
                m_found.edges.push_back(
                    {outline.context, plan->second->number, face.drawing().number, face.drawing().id,
                     crossing->alongM, end->nearestTo(crossing->alongM), planErrorM / crossing->sine,
                     sectionErrorM,
                     end->kind == EdgeKind::Uncertain || crossing->kind == EdgeKind::Uncertain,
                     crossing->ground});
        }
    }

    /// The mean of the levels written on the plan for the outline's context.
    std::optional<double> writtenLevel(const Outline& outline) const
    {
        double sum = 0;
        int count = 0;
        for (const SpotLevel& level : m_records.spotLevels)
            if (level.drawing == outline.drawing && level.context == outline.context) {
                sum += level.levelM;
                ++count;
            }
        return count > 0 ? std::optional(sum / count) : std::nullopt;
    }

    struct GroundBoxArea {
        double west = 1e300, east = -1e300, south = 1e300, north = -1e300;
        void take(GroundM at)
        {
            west = std::min(west, at.east);
            east = std::max(east, at.east);
            south = std::min(south, at.north);
            north = std::max(north, at.north);
        }
        double areaM2() const { return (east - west) * (north - south); }
    };

    /// The smallest outline of the plan that holds the place: what a level without a number belongs to.
    std::string contextInPlan(std::int64_t drawing, GroundM place) const
    {
        std::string context;
        double leastM2 = 0;
        for (const OutlineOnGround& ground : m_records.groundOutlines) {
            const Outline& outline = m_records.outlines[ground.outline];
            if (outline.drawing != drawing)
                continue;
            for (const PartOnGround& part : ground.parts) {
                if (sideOf(place, part) == Side::Outside)
                    continue;
                GroundBoxArea box;
                for (const GroundM vertex : part.outer)
                    box.take(vertex);
                if (context.empty() || box.areaM2() < leastM2) {
                    context = outline.context;
                    leastM2 = box.areaM2();
                }
            }
        }
        return context;
    }

    struct FaceLevel {
        double levelM = 0;
        bool base = false;
        double errorM = 0;
    };

    /// The line of the face that a level of the context belongs to: its top; of a cut its top or base,
    /// whichever lies nearer; of no context the surface.
    static std::optional<FaceLevel> faceLevel(const SectionFace& face, const std::string& context,
                                              double alongM, double writtenM)
    {
        std::optional<FaceLevel> best;
        const auto offer = [&](double levelM, bool base, double errorM) {
            if (!best || std::abs(levelM - writtenM) < std::abs(best->levelM - writtenM))
                best = FaceLevel{levelM, base, errorM};
        };
        for (const FaceArea& area : face.areas()) {
            if (area.context != context)
                continue;
            for (const FaceSpan& span : SectionFace::spans(area, alongM)) {
                offer(span.topM, false, area.errorM);
                if (area.isCut)
                    offer(span.bottomM, true, area.errorM);
            }
        }
        if (!best && context.empty())
            if (const auto surface = face.surfaceM(alongM))
                offer(*surface, false, face.areas().front().errorM);
        return best;
    }

    void compareLevels(const SectionFace& face)
    {
        constexpr double SlopeStepM = 0.05;
        for (const LevelOnGround& level : m_records.groundLevels) {
            const SpotLevel& spot = m_records.spotLevels[level.spotLevel];
            const auto plan = m_plans.find(spot.drawing);
            if (plan == m_plans.end())
                continue;
            const SectionFoot foot = face.frame().footOf(level.position);
            if (std::abs(foot.offsetM) > m_settings.reachM)
                continue;
            const std::string context =
                spot.context.empty() ? contextInPlan(spot.drawing, level.position) : spot.context;
            const auto here = faceLevel(face, context, foot.alongM, spot.levelM);
            if (!here)
                continue;
            // The face may slope: the place's own error, and its distance from the face, become level.
            double slope = 0;
            for (const double step : {-SlopeStepM, SlopeStepM})
                if (const auto beside = faceLevel(face, context, foot.alongM + step, here->levelM))
                    slope = std::max(slope, std::abs(beside->levelM - here->levelM) / SlopeStepM);
            const double placeM =
                std::hypot(level.covariance.standardErrorM(), std::abs(foot.offsetM) / TwoSigma);
            m_found.levels.push_back({context, plan->second->number, face.drawing().number,
                                      face.drawing().id, foot.alongM, foot.offsetM, spot.levelM,
                                      here->levelM, here->base, std::hypot(WrittenErrorM, slope * placeM),
                                      here->errorM, level.position});
        }
    }

    void comparePlaced(const SectionFace& face)
    {
        for (const Placed& placed : placedOf(m_records)) {
            if (!placed.position || !placed.levelM)
                continue;
            const SectionFoot foot = face.frame().footOf(*placed.position);
            if (std::abs(foot.offsetM) > m_settings.reachM || foot.alongM < 0 ||
                foot.alongM > face.frame().lengthM())
                continue;
            PlacedOnFace found;
            found.kind = placed.kind;
            found.number = placed.number;
            found.context = placed.context;
            found.section = face.drawing().number;
            found.sectionId = face.drawing().id;
            found.alongM = foot.alongM;
            found.offsetM = foot.offsetM;
            found.levelM = *placed.levelM;
            found.ground = *placed.position;
            if (const auto surface = face.surfaceM(foot.alongM))
                found.depthM = *surface - *placed.levelM;
            const FaceArea* shown = face.at(foot.alongM, *placed.levelM);
            found.shown = shown ? shown->context : std::string();
            found.errorM =
                std::hypot(placed.standardErrorM, shown ? shown->errorM : face.areas().front().errorM);
            const auto away = face.distanceTo(found.context, foot.alongM, *placed.levelM);
            found.awayM = away.value_or(0);
            // What lies off the face may lie in another context than the face shows: the edge's course
            // between is not known, so the offset counts as one sigma.
            const double allowedM = TwoSigma * std::hypot(found.errorM, std::abs(foot.offsetM));
            found.verdict = !away               ? FaceVerdict::NotShown
                            : *away == 0        ? FaceVerdict::Agrees
                            : *away <= allowedM ? FaceVerdict::NearEdge
                                                : FaceVerdict::Elsewhere;
            m_found.placed.push_back(std::move(found));
        }
    }

    const ProjectRecords& m_records;
    CompareSettings m_settings;
    std::map<std::int64_t, const Drawing*> m_plans;
    PlanAgainstSection m_found;
};

} // namespace

double EdgeMisfit::allowedM() const
{
    return TwoSigma * std::hypot(planErrorM, sectionErrorM);
}

bool EdgeMisfit::beyond() const
{
    return std::abs(misfitM()) > allowedM();
}

std::string EdgeMisfit::inWords() const
{
    return "the edge of context " + context + " lies at " + fixed(planAlongM, 3) + " m along section " +
           section + " on plan " + plan + " and at " + fixed(sectionAlongM, 3) +
           " m on the section: " + millimetres(std::abs(misfitM())) + " apart, two sigma are " +
           millimetres(allowedM()) + " (plan " + millimetres(planErrorM) + ", section " +
           millimetres(sectionErrorM) + ")" + (uncertain ? "; an uncertain edge" : "");
}

double LevelMisfit::allowedM() const
{
    return TwoSigma * std::hypot(writtenErrorM, sectionErrorM);
}

bool LevelMisfit::beyond() const
{
    return std::abs(misfitM()) > allowedM();
}

std::string LevelMisfit::inWords() const
{
    return "level " + fixed(writtenM, 2) + " on plan " + plan + ", " + fixed(alongM, 2) +
           " m along section " + section + ": the " + (base ? "base" : "top") + " of " +
           (context.empty() ? std::string("the face") : "context " + context) + " is drawn at " +
           fixed(faceM, 3) + " there: " + millimetres(std::abs(misfitM())) + " apart, two sigma are " +
           millimetres(allowedM()) + " (plan " + millimetres(writtenErrorM) + ", section " +
           millimetres(sectionErrorM) + ")";
}

std::string faceVerdictName(FaceVerdict verdict)
{
    static constexpr std::array Names{"agrees", "near the edge", "elsewhere", "not shown"};
    return Names[static_cast<std::size_t>(verdict)];
}

std::string PlacedOnFace::inWords() const
{
    std::string words = pointKindName(kind) + " " + number + ", " + fixed(alongM, 2) + " m along section " +
                        section + " at level " + fixed(levelM, 2);
    if (depthM)
        words += ", " + fixed(*depthM, 2) + " m below the surface";
    words += shown.empty() ? ": nothing is drawn there" : ": the face shows context " + shown;
    words += ", the register says " + (context.empty() ? std::string("none") : context);
    if (verdict == FaceVerdict::NearEdge || verdict == FaceVerdict::Elsewhere)
        words +=
            ", whose edge is " + millimetres(awayM) + " away (standard error " + millimetres(errorM) + ")";
    return words;
}

PlanAgainstSection comparePlansAndSections(const ProjectRecords& records, const CompareSettings& settings)
{
    return Comparison(records, settings).run();
}

std::vector<ColumnLayer> columnAt(const ProjectRecords& records, const std::string& section, double alongM)
{
    std::vector<ColumnLayer> layers;
    for (const SectionFace& face : sectionFaces(records)) {
        if (face.drawing().number != section)
            continue;
        const auto surface = face.surfaceM(alongM);
        if (!surface)
            break;
        // Between neighbouring boundaries the face shows one context.
        std::vector<double> bounds;
        for (const FaceArea& area : face.areas())
            for (const FaceSpan& span : SectionFace::spans(area, alongM)) {
                bounds.push_back(span.topM);
                bounds.push_back(span.bottomM);
            }
        std::sort(bounds.rbegin(), bounds.rend());
        for (std::size_t i = 0; i + 1 < bounds.size(); ++i) {
            const FaceArea* shown = face.at(alongM, (bounds[i] + bounds[i + 1]) / 2);
            if (bounds[i] == bounds[i + 1] || shown == nullptr)
                continue;
            if (!layers.empty() && layers.back().context == shown->context &&
                layers.back().bottomM == bounds[i]) {
                layers.back().bottomM = bounds[i + 1];
                layers.back().depthToBottomM = *surface - bounds[i + 1];
                continue;
            }
            layers.push_back(
                {shown->context, bounds[i], bounds[i + 1], *surface - bounds[i], *surface - bounds[i + 1]});
        }
        break;
    }
    return layers;
}

} // namespace inkpeg
