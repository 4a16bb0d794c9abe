// SPDX-License-Identifier: GPL-3.0-or-later
// Checks of where contexts lie in plan: trenches, each other, their cuts, other sheets.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "core/base/Text.h"
#include "core/checks/BoxIndex.h"
#include "core/checks/CheckFunctions.h"
#include "core/checks/Evidence.h"
#include "core/checks/PlanAreas.h"
#include "core/checks/PlaneGeometry.h"

namespace inkpeg {

namespace {

/// The edge of a trench crumbles (common practice, no source).
constexpr double TrenchToleranceM = 0.10;

/// Two people draw the same edge this far apart (common practice, no source).
constexpr double RedrawnToleranceM = 0.05;

std::string inCm2(double areaM2)
{
    return areaM2 < 1 ? fixed(areaM2 * 1e4, 0) + " cm2" : fixed(areaM2, 2) + " m2";
}

/// Pairs of contexts recorded as abutting, the lesser number first.
std::set<std::pair<std::string, std::string>> abutting(const ProjectRecords& records)
{
    std::set<std::pair<std::string, std::string>> pairs;
    for (const Relation& relation : records.relations)
        if (relation.kind == RelationKind::Abuts)
            pairs.insert(std::minmax(relation.context, relation.other));
    return pairs;
}

/// Which outlines of the cut a fill's outline is held against: those on its own drawing, else all that are
/// whole.
std::vector<std::size_t> cutOutlinesFor(const Evidence& evidence, const std::set<std::size_t>& inPlan,
                                        std::size_t fillOutline, const std::string& cut)
{
    std::vector<std::size_t> sameDrawing, whole;
    for (const std::size_t i : evidence.outlinesOf(cut)) {
        if (!inPlan.contains(i))
            continue;
        const Outline& outline = evidence.records.outlines[i];
        if (outline.drawing == evidence.records.outlines[fillOutline].drawing)
            sameDrawing.push_back(i);
        const auto isWhole = [](const Part& part) {
            return std::none_of(part.outer.kinds.begin(), part.outer.kinds.end(), [](EdgeKind kind) {
                return kind == EdgeKind::BeyondTheSheet || kind == EdgeKind::LimitOfExcavation;
            });
        };
        if (std::all_of(outline.parts.begin(), outline.parts.end(), isWhole))
            whole.push_back(i);
    }
    return sameDrawing.empty() ? whole : sameDrawing;
}

struct Furthest {
    double apartM = 0;
    GroundM at;
};

/// Of the vertices between certain edges of one outline that another drawing shows ground for, the furthest
/// from that drawing's outline of the same context.
Furthest furthestApart(const Evidence& evidence, std::size_t outlineIndex, std::size_t otherIndex,
                       double toleranceM)
{
    const Outline& outline = evidence.records.outlines[outlineIndex];
    const OutlineOnGround& ground = *evidence.onGround(outlineIndex);
    const OutlineOnGround& other = *evidence.onGround(otherIndex);
    const DrawingPlace* place = evidence.place(evidence.records.outlines[otherIndex].drawing);
    if (!place || place->footprint.size() < 3)
        return {};
    const RingOnGround& otherFootprint = place->footprint;
    Furthest furthest;
    for (std::size_t p = 0; p < outline.parts.size() && p < ground.parts.size(); ++p) {
        const std::vector<EdgeKind>& kinds = outline.parts[p].outer.kinds;
        const RingOnGround& ring = ground.parts[p].outer;
        for (std::size_t i = 0; i < ring.size() && i < kinds.size(); ++i) {
            const EdgeKind before = kinds[(i + kinds.size() - 1) % kinds.size()];
            if (kinds[i] != EdgeKind::Certain || before != EdgeKind::Certain ||
                sideOf(ring[i], otherFootprint) != Side::Inside ||
                distanceToEdge(ring[i], otherFootprint) < toleranceM)
                continue;
            double apartM = std::numeric_limits<double>::infinity();
            for (const PartOnGround& part : other.parts)
                apartM = std::min(apartM, distanceToEdge(ring[i], part));
            if (std::isfinite(apartM) && apartM > furthest.apartM)
                furthest = {apartM, ring[i]};
        }
    }
    return furthest;
}

} // namespace

void checkOutsideTrench(Evidence& evidence, Report& report)
{
    const PlanAreas& areas = evidence.areas();
    std::map<std::string, std::vector<std::size_t>> byTrench; // each limit is prepared once
    for (const std::size_t i : areas.outlines()) {
        const Outline& outline = evidence.records.outlines[i];
        const Context* context = evidence.context(outline.context);
        byTrench[context && evidence.trench(context->trench) ? context->trench
                                                             : evidence.drawing(outline.drawing)->trench]
            .push_back(i);
    }
    for (const auto& [name, outlines] : byTrench) {
        const Trench* trench = evidence.trench(name);
        if (!trench || trench->limit.size() < 3)
            continue;
        for (const std::size_t i : outlines) {
            const Outline& outline = evidence.records.outlines[i];
            const double toleranceM = std::max(TrenchToleranceM, 3 * areas.standardErrorM(i));
            const std::optional<Excess> excess = areas.outside(i, trench->limit, toleranceM);
            if (!excess)
                continue;
            const std::string& drawing = evidence.drawing(outline.drawing)->number;
            Matter& matter = report.add(
                "outline", drawing + " / " + outline.context,
                "context " + outline.context + " is drawn on " + drawing + " with " +
                    inCm2(excess->areaM2) + " outside the limit of trench " + name,
                "Look at the pins of the drawing, the trench of the context and the limit of excavation.");
            evidence.showOutline(i, matter);
            matter.trench = name;
            matter.person = outline.tracedBy;
            matter.ground = excess->at;
        }
    }
}

void checkOverlapsWithoutRelation(Evidence& evidence, Report& report)
{
    const ProjectRecords& records = evidence.records;
    const Stratigraphy& sequence = evidence.sequence();
    Reach& reach = evidence.reach();
    const auto explained = [&](std::size_t a, std::size_t b) {
        const std::optional<std::size_t> one = sequence.unitOf(records.outlines[a].context);
        const std::optional<std::size_t> other = sequence.unitOf(records.outlines[b].context);
        return !one || !other || *one == *other || reach.reaches(*one, *other) ||
               reach.reaches(*other, *one);
    };
    const std::set<std::pair<std::string, std::string>> abuts = abutting(records);
    std::map<std::pair<std::string, std::string>, Overlap> worst;
    for (const Overlap& overlap : evidence.areas().overlaps(explained)) {
        const auto [place, isNew] = worst.try_emplace(
            std::minmax(records.outlines[overlap.a].context, records.outlines[overlap.b].context), overlap);
        if (!isNew && overlap.excess.areaM2 > place->second.excess.areaM2)
            place->second = overlap;
    }
    for (const auto& [pair, overlap] : worst) {
        const auto& [one, other] = pair;
        Matter& matter = report.add(
            "contexts", one + " / " + other,
            "contexts " + one + " and " + other + " overlap in plan by " + inCm2(overlap.excess.areaM2) +
                (abuts.contains(pair) ? ", but are recorded as abutting"
                                      : ", but no relation says which is later"),
            "Look at the edge between them and record which is later, or correct an outline.");
        evidence.showOutline(overlap.a, matter);
        matter.ground = overlap.excess.at;
    }
}

void checkFillsOutsideCut(Evidence& evidence, Report& report)
{
    const PlanAreas& areas = evidence.areas();
    const std::set<std::size_t> inPlan(areas.outlines().begin(), areas.outlines().end());
    std::set<std::pair<std::size_t, std::string>> done;
    for (const Relation& relation : evidence.records.relations) {
        if (relation.kind != RelationKind::Fills && relation.kind != RelationKind::FilledBy)
            continue;
        const bool fills = relation.kind == RelationKind::Fills;
        const std::string& fill = fills ? relation.context : relation.other;
        const std::string& cut = fills ? relation.other : relation.context;
        for (const std::size_t i : evidence.outlinesOf(fill)) {
            if (!inPlan.contains(i) || !done.emplace(i, cut).second)
                continue;
            const std::vector<std::size_t> cuts = cutOutlinesFor(evidence, inPlan, i, cut);
            double toleranceM = RedrawnToleranceM;
            for (const std::size_t other : cuts)
                toleranceM = std::max(toleranceM, areas.toleranceM(i, other));
            const std::optional<Excess> excess = areas.outside(i, cuts, toleranceM);
            if (!excess)
                continue;
            Matter& matter = report.add("contexts", fill + " / " + cut,
                                        "\"" + fill + " fills " + cut + "\", but " + inCm2(excess->areaM2) +
                                            " of " + fill + " lies outside " + cut,
                                        "Correct the relation or the outlines.");
            evidence.showOutline(i, matter);
            matter.ground = excess->at;
        }
    }
}

void checkOutlinesDisagree(Evidence& evidence, Report& report)
{
    const ProjectRecords& records = evidence.records;
    const PlanAreas& areas = evidence.areas();
    std::map<std::string, std::vector<std::size_t>> byContext;
    for (const std::size_t i : areas.outlines())
        byContext[records.outlines[i].context].push_back(i);
    for (const auto& [context, outlines] : byContext)
        for (std::size_t i = 0; i < outlines.size(); ++i)
            for (std::size_t k = i + 1; k < outlines.size(); ++k) {
                const Outline& one = records.outlines[outlines[i]];
                const Outline& other = records.outlines[outlines[k]];
                if (one.drawing == other.drawing)
                    continue;
                const double toleranceM =
                    std::max(RedrawnToleranceM, areas.toleranceM(outlines[i], outlines[k]));
                const Furthest there = furthestApart(evidence, outlines[i], outlines[k], toleranceM);
                const Furthest back = furthestApart(evidence, outlines[k], outlines[i], toleranceM);
                const Furthest& furthest = there.apartM >= back.apartM ? there : back;
                if (furthest.apartM <= toleranceM)
                    continue;
                const std::string& first = evidence.drawing(one.drawing)->number;
                const std::string& second = evidence.drawing(other.drawing)->number;
                Matter& matter =
                    report.add("outline", first + " / " + second + " / " + context,
                               "the outlines of context " + context + " on drawings " + first + " and " +
                                   second + " lie up to " + fixed(furthest.apartM, 2) + " m apart",
                               "Look at the pins of both drawings, then at both outlines.");
                evidence.showOutline(outlines[i], matter);
                matter.ground = furthest.at;
            }
}

} // namespace inkpeg
