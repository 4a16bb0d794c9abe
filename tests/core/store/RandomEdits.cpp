// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/core/store/RandomEdits.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "core/base/Text.h"
#include "core/outline/OutlineActs.h"
#include "core/outline/RingVisits.h"
#include "core/outline/RunEdit.h"
#include "core/outline/Validity.h"

namespace inkpeg {
namespace {

double within(std::mt19937& random, double low, double high)
{
    return std::uniform_real_distribution<double>(low, high)(random);
}

std::size_t below(std::mt19937& random, std::size_t count)
{
    return std::uniform_int_distribution<std::size_t>(0, count - 1)(random);
}

Ring star(std::mt19937& random, ScanPx middle, double size)
{
    const int count = static_cast<int>(within(random, 3, 9));
    Ring ring;
    for (int i = 0; i < count; ++i) {
        const double turn = 6.283185307179586 * i / count, far = size * within(random, 0.5, 1);
        ring.vertices.push_back(
            onLattice({middle.column + far * std::cos(turn), middle.row + far * std::sin(turn)}));
        ring.kinds.push_back(static_cast<EdgeKind>(below(random, 5)));
    }
    return ring;
}

const Ring& randomRing(const DrawnOutlines& outlines, std::size_t outline, std::mt19937& random)
{
    const Part& part = outlines[outline].parts[below(random, outlines[outline].parts.size())];
    return !part.holes.empty() && random() % 3 == 0 ? part.holes[below(random, part.holes.size())]
                                                    : part.outer;
}

struct RingPlace {
    ScanPx vertex, next, onEdge;
};

RingPlace randomPlace(const DrawnOutlines& outlines, std::size_t outline, std::mt19937& random)
{
    const Ring& ring = randomRing(outlines, outline, random);
    const std::size_t i = below(random, ring.vertices.size());
    const ScanPx a = ring.vertices[i], b = ring.vertices[(i + 1) % ring.vertices.size()];
    const double share = within(random, 0.2, 0.8);
    return {a, b, onLattice({a.column + share * (b.column - a.column), a.row + share * (b.row - a.row)})};
}

Run randomRun(const DrawnOutlines& outlines, std::size_t outline, std::mt19937& random)
{
    const Ring& ring = randomRing(outlines, outline, random);
    const ScanPx a = ring.vertices[below(random, ring.vertices.size())],
                 b = ring.vertices[below(random, ring.vertices.size())];
    return runBetween(outlines, a, b).value_or(Run{a});
}

ScanPx shifted(ScanPx at, double far, std::mt19937& random)
{
    return onLattice({at.column + within(random, -far, far), at.row + within(random, -far, far)});
}

TriedEdit editVertices(DrawnOutlines& all, std::size_t one, std::mt19937& random)
{
    const RingPlace place = randomPlace(all, one, random);
    const Run run = randomRun(all, one, random);
    // Half of the edits that would not be valid are taken as they are mended.
    Mendings mended;
    Mendings* const mendings = random() % 2 ? &mended : nullptr;
    const auto tried = [&](const std::string& what, const Result<void>& done) {
        return TriedEdit{mended.empty() ? what : what + ", mended", mended.empty(), done};
    };
    switch (random() % 7) {
    case 0: {
        const ScanPx to = shifted(place.vertex, mendings ? 150 : 40, random);
        const Result<void> done = moveVertexOf(all, place.vertex, to, mendings);
        return tried("move a vertex", done);
    }
    case 1: // onto where another vertex is, or its neighbour
        return {
            "move onto a vertex", true,
            moveVertexOf(all, place.vertex, randomPlace(all, below(random, all.size()), random).vertex)};
    case 2:
        return {"insert a vertex", true, insertVertexInto(all, place.vertex, place.next, place.onEdge)};
    case 3: {
        const double columns = within(random, -30, 30), rows = within(random, -30, 30);
        const Result<void> done = moveRun(all, run, columns, rows, mendings);
        return tried("move a run", done);
    }
    case 4: {
        const Result<void> done = removeRun(all, run, mendings);
        return tried("remove a run", done);
    }
    case 5:
        return {"kind of a run", true, setKindOfRun(all, run, static_cast<EdgeKind>(below(random, 5)))};
    default: {
        std::vector<ScanPx> line{place.onEdge};
        for (std::size_t i = below(random, 4); i > 0; --i)
            line.push_back(shifted(line.back(), 40, random));
        line.push_back(run.back());
        const std::vector<EdgeKind> kinds(line.size() - 1, EdgeKind::Uncertain);
        const Result<void> done = redrawRun(all, line, kinds, mendings);
        return tried("redraw a run", done);
    }
    }
}

TriedEdit editAreas(DrawnOutlines& all, std::size_t one, std::size_t other, std::mt19937& random)
{
    const RingPlace place = randomPlace(all, one, random), far = randomPlace(all, one, random);
    const std::string number = std::to_string(2000 + random() % 1000);
    switch (random() % 8) {
    case 0: {
        const std::vector<ScanPx> line{place.onEdge, shifted(place.onEdge, 60, random), far.onEdge};
        return {"split", false, splitOutline(all, one, line, number)};
    }
    case 1:
        return {"merge", false, mergeOutlines(all, one, other)};
    case 2:
    case 3:
        return {"cut out", false, cutOut(all, one, other)};
    case 4:
        return {"hole", false,
                addHole(all, one, star(random, shifted(place.onEdge, 60, random), within(random, 4, 25)))};
    case 5:
        return {"close a hole", false, removeHole(all, one, shifted(place.vertex, 10, random))};
    case 6: {
        const Part part{star(random, shifted(place.vertex, 200, random), within(random, 10, 80)), {}};
        return {"add", false,
                addParts(all, random() % 2 ? number : all[other].context, std::span(&part, 1))};
    }
    default:
        return {"remove a part", false, removePart(all, one, shifted(place.vertex, 20, random))};
    }
}

using EdgeName = std::pair<std::pair<double, double>, std::pair<double, double>>;

std::map<EdgeName, int> holders(const DrawnOutlines& outlines)
{
    std::map<EdgeName, int> counts;
    for (const DrawnOutline& outline : outlines)
        forEachEdge(std::span<const Part>(outline.parts), [&](ScanPx a, ScanPx b, EdgeKind) {
            ++counts[std::minmax(std::pair(a.column, a.row), std::pair(b.column, b.row))];
        });
    return counts;
}

std::string strayVertex(const DrawnOutline& outline, const DrawnOutline& neighbour)
{
    std::string found;
    const ScanBox box = boxOf(outline.parts).grownBy(1);
    forEachRing(std::span<const Part>(neighbour.parts), [&](const Ring& ring) {
        for (const ScanPx& vertex : ring.vertices) {
            if (!found.empty() || !box.meets(boxAbout(vertex, 0)))
                continue;
            forEachRing(std::span<const Part>(outline.parts), [&](const Ring& own) {
                if (std::ranges::find(own.vertices, vertex) != own.vertices.end())
                    return;
                for (std::size_t i = 0; i < own.vertices.size(); ++i) {
                    const ScanPx a = own.vertices[i], b = own.vertices[(i + 1) % own.vertices.size()];
                    // A little less than what knitting reaches, so that rounding decides nothing.
                    const FootOnEdge foot = footOnEdge(vertex, a, b);
                    if (foot.distancePx <= 0.70 / 256 && foot.along > 0 && foot.along < 1)
                        found = "context " + outline.context + " lacks the vertex of " + neighbour.context +
                                " at " + fixed(vertex.column, 4) + ", " + fixed(vertex.row, 4);
                }
            });
        }
    });
    return found;
}

} // namespace

DrawnOutlines randomYard(std::mt19937& random)
{
    constexpr int columns = 3, rows = 2;
    ScanPx corners[rows + 1][columns + 1];
    for (int r = 0; r <= rows; ++r)
        for (int c = 0; c <= columns; ++c)
            corners[r][c] = shifted({200.0 + 150 * c, 200.0 + 150 * r}, 40, random);
    DrawnOutlines yard;
    for (int r = 0; r < rows; ++r)
        for (int c = 0; c < columns; ++c) {
            Ring ring{{corners[r][c], corners[r][c + 1], corners[r + 1][c + 1], corners[r + 1][c]}, {}};
            ring.kinds.assign(4, EdgeKind::Certain);
            yard.push_back({0, std::to_string(1001 + yard.size()), {{ring, {}}}});
        }
    for (int pit = 0; pit < 2; ++pit)
        yard.push_back({0,
                        std::to_string(1001 + yard.size()),
                        {{star(random, shifted({400, 350}, 200, random), within(random, 20, 90)), {}}}});
    knit(yard, std::vector<bool>(yard.size(), true));
    return yard;
}

TriedEdit tryRandomEdit(DrawnOutlines& outlines, std::mt19937& random)
{
    const std::size_t one = below(random, outlines.size()), other = below(random, outlines.size());
    return random() % 2 ? editVertices(outlines, one, random) : editAreas(outlines, one, other, random);
}

std::string faultOfOutlines(const DrawnOutlines& outlines)
{
    for (const DrawnOutline& outline : outlines) {
        if (const Result<void> sound = checkParts(outline.parts); !sound)
            return outline.context + ": " + sound.error().message;
        bool onIt = true;
        forEachRing(std::span<const Part>(outline.parts), [&](const Ring& ring) {
            for (const ScanPx& vertex : ring.vertices)
                onIt = onIt && vertex == onLattice(vertex);
        });
        if (!onIt)
            return outline.context + ": a vertex off the lattice";
        for (const DrawnOutline& neighbour : outlines)
            if (&neighbour != &outline)
                if (std::string stray = strayVertex(outline, neighbour); !stray.empty())
                    return stray;
    }
    return {};
}

std::string tornEdge(const DrawnOutlines& before, const DrawnOutlines& now)
{
    const std::map<EdgeName, int> then = holders(before), today = holders(now);
    for (const auto& [edge, count] : then) {
        const auto there = today.find(edge);
        if (count > 1 && there != today.end() && there->second == 1)
            return "the edge from " + fixed(edge.first.first, 4) + ", " + fixed(edge.first.second, 4) +
                   " to " + fixed(edge.second.first, 4) + ", " + fixed(edge.second.second, 4) +
                   " was shared and is held by one outline now";
    }
    return {};
}

} // namespace inkpeg
