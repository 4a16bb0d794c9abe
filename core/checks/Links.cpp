// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/Links.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>
#include <thread>

#include "core/base/Text.h"
#include "core/checks/BoxIndex.h"
#include "core/checks/PlaneGeometry.h"

namespace inkpeg {

namespace {

/// Beyond this many standard errors from an edge the side is certain to 1e-9.
constexpr double CertainAfter = 6.2;

/// Links are made in runs of this many, between which progress is told.
constexpr std::size_t RunLength = 2048;

double largestStandardError(const GroundCovariance& covariance)
{
    const double mean = 0.5 * (covariance.eastEast + covariance.northNorth);
    const double half = 0.5 * (covariance.eastEast - covariance.northNorth);
    return std::sqrt(std::max(0.0, mean + std::hypot(half, covariance.eastNorth)));
}

GroundCovariance sum(const GroundCovariance& a, const GroundCovariance& b)
{
    return {a.eastEast + b.eastEast, a.eastNorth + b.eastNorth, a.northNorth + b.northNorth};
}

bool drawingFits(const ProjectRecords& records, std::int64_t drawing)
{
    const auto place = records.places.find(drawing);
    return place != records.places.end() && fits(place->second);
}

/// A plan outline ready for asking.
struct Area {
    const OutlineOnGround* ground = nullptr;
    const std::string* context = nullptr;
    std::size_t unit = 0;
    bool isCut = false;
    double boxAreaM2 = 0;
};

/// Where a placed thing is, and how well that is known.
struct Where {
    GroundM position;
    GroundCovariance covariance;
    bool asDrawn = false;
};

struct Answer {
    bool inside = false;
    double probability = 0;
    double distanceM = 0; ///< to the edge; 0 inside
};

Answer ask(const Area& area, const Where& where)
{
    Answer answer;
    double edgeM = std::numeric_limits<double>::infinity();
    for (const PartOnGround& part : area.ground->parts) {
        answer.inside = answer.inside || sideOf(where.position, part) != Side::Outside;
        edgeM = std::min(edgeM, distanceToEdge(where.position, part));
    }
    answer.distanceM = answer.inside ? 0 : edgeM;
    const GroundCovariance both = sum(where.covariance, area.ground->covariance);
    if (edgeM > CertainAfter * largestStandardError(both))
        answer.probability = answer.inside ? 1 : 0;
    else
        answer.probability = probabilityWithin(area.ground->parts, where.position, both);
    return answer;
}

class Linking {
public:
    explicit Linking(const ProjectRecords& records);
    Link link(const Placed& placed) const;

private:
    struct Drawn {
        GroundM position;
        GroundCovariance covariance;
    };
    void readAreas(const ProjectRecords& records);
    void readDrawnPlaces(const ProjectRecords& records);
    std::optional<Where> whereIs(const Placed& placed) const;
    void judge(const Where& where, std::size_t unit, Link& link) const;
    std::optional<Alternative> nearest(const Where& where, std::size_t unit) const;
    bool isCandidate(const Area& area, std::size_t unit) const { return area.unit != unit && !area.isCut; }

    Stratigraphy m_sequence;
    std::unordered_map<std::string, const Context*> m_contexts;
    std::vector<Area> m_areas;
    BoxIndex m_index;
    std::unordered_map<std::size_t, std::vector<std::size_t>> m_areasOfUnit;
    std::unordered_map<std::string, Drawn> m_drawn; ///< by kind and number
    double m_largestOutlineErrorM = 0;
};

Linking::Linking(const ProjectRecords& records)
    : m_sequence(readStratigraphy(records.contexts, records.relations))
{
    for (const Context& context : records.contexts)
        m_contexts.emplace(context.number, &context);
    readAreas(records);
    readDrawnPlaces(records);
}

void Linking::readAreas(const ProjectRecords& records)
{
    std::unordered_map<std::int64_t, const Drawing*> drawings; // plans that fit
    for (const Drawing& drawing : records.drawings)
        if (!showsLevels(drawing.kind) && drawingFits(records, drawing.id))
            drawings.emplace(drawing.id, &drawing);
    std::vector<GroundBox> boxes;
    std::unordered_map<std::string, std::size_t> strangers; // outlined, but in no register
    for (const OutlineOnGround& ground : records.groundOutlines) {
        const Outline& outline = records.outlines[ground.outline];
        const auto drawing = drawings.find(outline.drawing);
        if (drawing == drawings.end())
            continue;
        GroundBox box;
        for (const PartOnGround& part : ground.parts)
            for (const GroundM vertex : part.outer)
                box.take(vertex);
        Area area{&ground, &outline.context, 0, false, (box.east - box.west) * (box.north - box.south)};
        const std::optional<std::size_t> unit = m_sequence.unitOf(outline.context);
        area.unit = unit ? *unit
                         : m_sequence.units.size() +
                               strangers.try_emplace(outline.context, strangers.size()).first->second;
        const auto context = m_contexts.find(outline.context);
        area.isCut = context != m_contexts.end() && lowerAscii(context->second->kind) == "cut";
        m_areasOfUnit[area.unit].push_back(m_areas.size());
        m_largestOutlineErrorM = std::max(m_largestOutlineErrorM, largestStandardError(ground.covariance));
        m_areas.push_back(area);
        boxes.push_back(box);
    }
    m_index = BoxIndex(boxes);
}

void Linking::readDrawnPlaces(const ProjectRecords& records)
{
    for (const PointOnGround& point : records.groundPoints) {
        const DrawnPoint& drawn = records.drawnPoints[point.drawnPoint];
        if (drawn.kind != PointKind::Note && drawingFits(records, drawn.drawing))
            m_drawn.try_emplace(pointKindName(drawn.kind) + " " + drawn.number,
                                Drawn{point.position, point.covariance});
    }
}

std::optional<Where> Linking::whereIs(const Placed& placed) const
{
    if (placed.position) {
        const double variance = placed.standardErrorM * placed.standardErrorM;
        return Where{*placed.position, {variance, 0, variance}, false};
    }
    if (m_drawn.empty())
        return std::nullopt;
    const auto drawn = m_drawn.find(pointKindName(placed.kind) + " " + std::string(placed.number));
    if (drawn == m_drawn.end())
        return std::nullopt;
    return Where{drawn->second.position, drawn->second.covariance, true};
}

std::optional<Alternative> Linking::nearest(const Where& where, std::size_t unit) const
{
    const Area* best = nullptr;
    double bestM = std::numeric_limits<double>::infinity();
    m_index.eachByDistance(where.position, [&](std::size_t item, double boxM) {
        if (boxM >= bestM)
            return false;
        if (!isCandidate(m_areas[item], unit))
            return true;
        const double edgeM = ask(m_areas[item], where).distanceM;
        if (edgeM < bestM) {
            bestM = edgeM;
            best = &m_areas[item];
        }
        return true;
    });
    return best ? std::optional(Alternative{*best->context, 0, bestM}) : std::nullopt;
}

void Linking::judge(const Where& where, std::size_t unit, Link& link) const
{
    const auto own = m_areasOfUnit.find(unit);
    link.distanceM = std::numeric_limits<double>::infinity();
    const double reachM = CertainAfter * (largestStandardError(where.covariance) + m_largestOutlineErrorM);
    const Area* best = nullptr;
    Answer bestAnswer;
    GroundBox box;
    box.take(where.position);
    m_index.eachMeeting(box.grownBy(reachM), [&](std::size_t item) {
        const Area& area = m_areas[item];
        const Answer answer = ask(area, where);
        if (answer.inside)
            link.inside.push_back(*area.context);
        if (area.unit == unit) {
            link.probability = std::max(link.probability, answer.probability);
            link.distanceM = std::min(link.distanceM, answer.distanceM);
        } else if (isCandidate(area, unit) && answer.probability > 0 &&
                   (!best || answer.probability > bestAnswer.probability ||
                    (answer.probability == bestAnswer.probability && area.boxAreaM2 < best->boxAreaM2))) {
            best = &area;
            bestAnswer = answer;
        }
    });
    std::sort(link.inside.begin(), link.inside.end());
    link.inside.erase(std::unique(link.inside.begin(), link.inside.end()), link.inside.end());
    const bool hasOutline = own != m_areasOfUnit.end();
    link.verdict = !hasOutline                         ? LinkVerdict::NoOutline
                   : link.probability >= SurelyWithin  ? LinkVerdict::Agree
                   : link.probability <= SurelyOutside ? LinkVerdict::Disagree
                                                       : LinkVerdict::OnTheEdge;
    if (link.verdict == LinkVerdict::Agree)
        return;
    if (hasOutline && std::isinf(link.distanceM))
        for (const std::size_t item : own->second)
            link.distanceM = std::min(link.distanceM, ask(m_areas[item], where).distanceM);
    if (!hasOutline)
        link.distanceM = 0;
    link.alternative =
        best ? std::optional(Alternative{*best->context, bestAnswer.probability, bestAnswer.distanceM})
             : nearest(where, unit);
}

double levelDifference(const Context& context, double levelM)
{
    if (context.topM && levelM > *context.topM)
        return levelM - *context.topM;
    if (context.bottomM && levelM < *context.bottomM)
        return levelM - *context.bottomM;
    return 0;
}

Link Linking::link(const Placed& placed) const
{
    Link link;
    const std::string number(placed.context);
    const auto context = m_contexts.find(number);
    if (placed.levelM && context != m_contexts.end())
        link.levelDifferenceM = levelDifference(*context->second, *placed.levelM);
    const std::optional<Where> where = whereIs(placed);
    if (!where)
        return link;
    link.position = where->position;
    link.asDrawn = where->asDrawn;
    const std::optional<std::size_t> unit = m_sequence.unitOf(number);
    judge(*where, unit ? *unit : static_cast<std::size_t>(-1), link);
    return link;
}

} // namespace

std::string verdictName(LinkVerdict verdict)
{
    switch (verdict) {
    case LinkVerdict::Agree:
        return "agree";
    case LinkVerdict::OnTheEdge:
        return "on the edge";
    case LinkVerdict::Disagree:
        return "disagree";
    case LinkVerdict::NoOutline:
        return "no outline";
    case LinkVerdict::NoPlace:
        return "no place";
    }
    return {};
}

Result<std::vector<Link>> linkToOutlines(const ProjectRecords& records, std::span<const Placed> placed,
                                         const Progress& progress)
{
    const Linking linking(records);
    std::vector<Link> links(placed.size());
    std::atomic<std::size_t> next = 0;
    std::atomic<bool> stop = false;
    const auto work = [&](bool tells) {
        while (!stop) {
            const std::size_t begin = next.fetch_add(RunLength);
            if (begin >= placed.size())
                return;
            const std::size_t end = std::min(begin + RunLength, placed.size());
            for (std::size_t i = begin; i < end; ++i)
                links[i] = linking.link(placed[i]);
            // Only the calling thread talks to the watcher.
            if (tells && !report(progress, static_cast<double>(end) / static_cast<double>(placed.size())))
                stop = true;
        }
    };
    std::vector<std::thread> helpers;
    const std::size_t useful = placed.size() / RunLength;
    const std::size_t wanted =
        std::min<std::size_t>(std::max(1U, std::thread::hardware_concurrency()) - 1, useful);
    for (std::size_t i = 0; i < wanted; ++i)
        helpers.emplace_back(work, false);
    work(true);
    for (std::thread& helper : helpers)
        helper.join();
    if (stop)
        return Error{ErrorCode::Cancelled, "linking finds to outlines was stopped"};
    return links;
}

std::vector<Link> linkToOutlines(const ProjectRecords& records, std::span<const Placed> placed)
{
    return linkToOutlines(records, placed, Progress()).value();
}

std::map<std::string, CountByMaterial> countByContext(std::span<const Placed> placed)
{
    std::map<std::string, CountByMaterial> counts;
    for (const Placed& one : placed) {
        const std::string material = one.material.empty() ? "not stated" : std::string(one.material);
        ++counts[std::string(one.context)][pointKindName(one.kind) + ": " + material];
    }
    return counts;
}

} // namespace inkpeg
