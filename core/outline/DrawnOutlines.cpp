// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/DrawnOutlines.h"

#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include "core/outline/RingVisits.h"
#include "core/outline/Validity.h"

namespace inkpeg {
namespace {

using Position = std::pair<double, double>;

Position positionOf(ScanPx at)
{
    return {at.column, at.row};
}

std::pair<Position, Position> edgeKey(ScanPx a, ScanPx b)
{
    return std::minmax(positionOf(a), positionOf(b));
}

/// The positions that lie within an edge, from its first vertex to its second.
std::vector<ScanPx> lyingOn(ScanPx a, ScanPx b, const std::vector<ScanPx>& positions)
{
    const ScanPx ends[] = {a, b};
    const ScanBox box = boxOf(ends).grownBy(KnitReachPx);
    std::vector<std::pair<double, ScanPx>> on;
    for (const ScanPx& position : positions) {
        if (!box.meets(boxAbout(position, 0)) || position == a || position == b)
            continue;
        const FootOnEdge foot = footOnEdge(position, a, b);
        if (foot.distancePx <= KnitReachPx && foot.along > 0 && foot.along < 1)
            on.emplace_back(foot.along, position);
    }
    std::ranges::sort(on, {}, &std::pair<double, ScanPx>::first);
    std::vector<ScanPx> ordered;
    for (const auto& [along, position] : on)
        if (ordered.empty() || !(ordered.back() == position))
            ordered.push_back(position);
    return ordered;
}

/// Puts the positions that lie upon its edges into a ring. True if there were any.
bool takeVertices(Ring& ring, const std::vector<ScanPx>& positions)
{
    Ring knitted;
    for (std::size_t i = 0; i < ring.vertices.size(); ++i) {
        const ScanPx from = ring.vertices[i], to = ring.vertices[(i + 1) % ring.vertices.size()];
        knitted.vertices.push_back(from);
        knitted.kinds.push_back(ring.kinds[i]);
        for (const ScanPx& position : lyingOn(from, to, positions)) {
            // A ring that holds the position already would touch itself there.
            if (std::ranges::find(ring.vertices, position) != ring.vertices.end())
                continue;
            knitted.vertices.push_back(position);
            knitted.kinds.push_back(ring.kinds[i]);
        }
    }
    if (knitted.vertices.size() == ring.vertices.size())
        return false;
    ring = std::move(knitted);
    return true;
}

bool takeVerticesOf(std::vector<Part>& parts, std::span<const Part> others)
{
    const ScanBox box = boxOf(parts).grownBy(KnitReachPx);
    std::vector<ScanPx> near;
    forEachRing(others, [&](const Ring& ring) {
        for (const ScanPx& vertex : ring.vertices)
            if (box.meets(boxAbout(vertex, 0)))
                near.push_back(vertex);
    });
    bool any = false;
    if (!near.empty())
        forEachRing(parts, [&](Ring& ring) { any = takeVertices(ring, near) || any; });
    return any;
}

bool knitOnce(DrawnOutlines& outlines, const std::vector<bool>& changed, const std::vector<ScanBox>& boxes)
{
    bool any = false;
    for (std::size_t i = 0; i < outlines.size(); ++i) {
        if (!changed[i])
            continue;
        for (std::size_t k = 0; k < outlines.size(); ++k) {
            if (k == i || !boxes[i].meets(boxes[k]))
                continue;
            any = takeVerticesOf(outlines[k].parts, outlines[i].parts) || any;
            any = takeVerticesOf(outlines[i].parts, outlines[k].parts) || any;
        }
    }
    return any;
}

/// Which outlines differ from those of the same id before; new ones do.
std::vector<bool> changedSince(const DrawnOutlines& before, const DrawnOutlines& now)
{
    std::map<std::int64_t, const DrawnOutline*> known;
    for (const DrawnOutline& outline : before)
        if (outline.id != 0)
            known[outline.id] = &outline;
    std::vector<bool> changed;
    for (const DrawnOutline& outline : now) {
        const auto there = known.find(outline.id);
        changed.push_back(there == known.end() || !(there->second->parts == outline.parts));
    }
    return changed;
}

Error about(const DrawnOutline& outline, const Error& error)
{
    return {error.code, "context " + outline.context + ": " + error.message};
}

Result<Mendings> mendChanged(DrawnOutlines& outlines, const std::vector<bool>& changed)
{
    Mendings mendings;
    for (std::size_t i = 0; i < outlines.size(); ++i) {
        if (!changed[i] || checkParts(outlines[i].parts))
            continue;
        Result<Mended> mended = mendParts(outlines[i].parts);
        if (!mended)
            return about(outlines[i], mended.error());
        outlines[i].parts = mended->parts;
        mendings.push_back({outlines[i].id, outlines[i].context, std::move(*mended)});
    }
    return mendings;
}

} // namespace

void knit(DrawnOutlines& outlines, const std::vector<bool>& changed)
{
    std::vector<ScanBox> boxes;
    for (const DrawnOutline& outline : outlines)
        boxes.push_back(boxOf(outline.parts).grownBy(KnitReachPx));
    // A vertex put into an edge bends it by less than a step of the lattice; what comes to lie on the bent
    // edge is found the next time round.
    constexpr int rounds = 4;
    for (int round = 0; round < rounds && knitOnce(outlines, changed, boxes); ++round)
        ;
}

Result<void> editOutlines(DrawnOutlines& outlines,
                          const std::function<Result<void>(DrawnOutlines&)>& change, Mendings* mendings)
{
    DrawnOutlines edited = outlines;
    if (const Result<void> done = change(edited); !done)
        return done;
    std::erase_if(edited, [](const DrawnOutline& outline) { return outline.parts.empty(); });
    knit(edited, changedSince(outlines, edited));
    Mendings mended;
    if (mendings) {
        Result<Mendings> made = mendChanged(edited, changedSince(outlines, edited));
        if (!made)
            return made.error();
        mended = std::move(*made);
        if (!mended.empty())
            knit(edited, changedSince(outlines, edited));
    }
    const std::vector<bool> changed = changedSince(outlines, edited);
    for (std::size_t i = 0; i < edited.size(); ++i)
        if (changed[i])
            if (const Result<void> sound = checkParts(edited[i].parts); !sound)
                return about(edited[i], sound.error());
    outlines = std::move(edited);
    if (mendings)
        *mendings = std::move(mended);
    return {};
}

std::vector<SharedEdge> sharedEdges(std::span<const DrawnOutline> outlines)
{
    std::map<std::pair<Position, Position>, std::vector<std::size_t>> holders;
    for (std::size_t i = 0; i < outlines.size(); ++i)
        forEachEdge(outlines[i].parts, [&](ScanPx a, ScanPx b, EdgeKind) {
            std::vector<std::size_t>& held = holders[edgeKey(a, b)];
            if (held.empty() || held.back() != i)
                held.push_back(i);
        });
    std::vector<SharedEdge> shared;
    for (auto& [key, held] : holders)
        if (held.size() > 1)
            shared.push_back({{key.first.first, key.first.second},
                              {key.second.first, key.second.second},
                              std::move(held)});
    return shared;
}

std::vector<ScanPx> junctions(std::span<const DrawnOutline> outlines)
{
    std::map<Position, std::set<Position>> neighbours;
    for (const DrawnOutline& outline : outlines)
        forEachEdge(outline.parts, [&](ScanPx a, ScanPx b, EdgeKind) {
            neighbours[positionOf(a)].insert(positionOf(b));
            neighbours[positionOf(b)].insert(positionOf(a));
        });
    std::vector<ScanPx> found;
    for (const auto& [at, from] : neighbours)
        if (from.size() > 2)
            found.push_back({at.first, at.second});
    return found;
}

} // namespace inkpeg
