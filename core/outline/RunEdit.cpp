// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/RunEdit.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "core/base/Text.h"
#include "core/outline/Area.h"
#include "core/outline/OutlineEdit.h"
#include "core/outline/RingVisits.h"

namespace inkpeg {
namespace {

Error refused(std::string words)
{
    return {ErrorCode::BadInput, std::move(words)};
}

double lengthOf(const Run& run)
{
    double sum = 0;
    for (std::size_t i = 0; i + 1 < run.size(); ++i)
        sum += distance(run[i], run[i + 1]);
    return sum;
}

std::optional<std::size_t> indexOf(const Ring& ring, ScanPx position)
{
    const auto there = std::ranges::find(ring.vertices, position);
    return there == ring.vertices.end()
               ? std::nullopt
               : std::optional(static_cast<std::size_t>(there - ring.vertices.begin()));
}

/// From index `from` to index `to` in the ring's own direction.
Run forward(const Ring& ring, std::size_t from, std::size_t to)
{
    Run run{ring.vertices[from]};
    for (std::size_t i = from; i != to;) {
        i = (i + 1) % ring.vertices.size();
        run.push_back(ring.vertices[i]);
    }
    return run;
}

/// Both ways from `a` to `b` along a ring that holds them.
std::vector<Run> bothWays(const Ring& ring, ScanPx a, ScanPx b)
{
    const auto from = indexOf(ring, a), to = indexOf(ring, b);
    if (!from || !to || *from == *to)
        return {};
    Run back = forward(ring, *to, *from);
    std::ranges::reverse(back);
    return {forward(ring, *from, *to), back};
}

/// Where a ring holds the whole run one after the other, in its own direction.
std::optional<std::size_t> startOf(const Ring& ring, const Run& run)
{
    const auto start = indexOf(ring, run.front());
    if (!start || run.size() > ring.vertices.size())
        return std::nullopt;
    for (std::size_t i = 0; i < run.size(); ++i)
        if (!(ring.vertices[(*start + i) % ring.vertices.size()] == run[i]))
            return std::nullopt;
    return start;
}

/// `line` in place of the run that begins at index `start` and has `runSize` vertices.
Ring spliced(const Ring& ring, std::size_t start, std::size_t runSize, const std::vector<ScanPx>& line,
             const std::vector<EdgeKind>& kinds)
{
    const std::size_t count = ring.vertices.size();
    Ring made{line, kinds};
    for (std::size_t i = runSize - 1; i < count; ++i) {
        made.kinds.push_back(ring.kinds[(start + i) % count]);
        if (i > runSize - 1)
            made.vertices.push_back(ring.vertices[(start + i) % count]);
    }
    return made;
}

/// The first edge of the run that the ring holds, if any.
std::optional<ScanPx> sharedWith(const Ring& ring, const Run& run)
{
    for (std::size_t i = 0; i < ring.vertices.size(); ++i) {
        const ScanPx a = ring.vertices[i], b = ring.vertices[(i + 1) % ring.vertices.size()];
        for (std::size_t k = 0; k + 1 < run.size(); ++k)
            if ((a == run[k] && b == run[k + 1]) || (b == run[k] && a == run[k + 1]))
                return run[k];
    }
    return std::nullopt;
}

/// Area between a run and a line with the same ends.
double areaBetween(const Run& run, const std::vector<ScanPx>& line)
{
    Run loop = run;
    for (std::size_t i = line.size() - 1; i-- > 1;)
        loop.push_back(line[i]);
    return loop.size() < 3 ? 0 : std::abs(signedAreaPx2(loop));
}

/// The run that redrawing replaces.
std::optional<Run> runToRedraw(std::span<const DrawnOutline> outlines, const std::vector<ScanPx>& line)
{
    std::optional<Run> chosen;
    double least = std::numeric_limits<double>::infinity();
    for (const DrawnOutline& outline : outlines)
        forEachRing(std::span<const Part>(outline.parts), [&](const Ring& ring) {
            for (Run& run : bothWays(ring, line.front(), line.back()))
                if (const double between = areaBetween(run, line); between < least) {
                    least = between;
                    chosen = std::move(run);
                }
        });
    return chosen;
}

/// Puts `line` where the ring holds the run; false with the place if it holds only a part of it.
std::optional<ScanPx> redrawIn(Ring& ring, const Run& run, const std::vector<ScanPx>& line,
                               const std::vector<EdgeKind>& kinds)
{
    if (const auto start = startOf(ring, run)) {
        ring = spliced(ring, *start, run.size(), line, kinds);
        return std::nullopt;
    }
    const Run back(run.rbegin(), run.rend());
    if (const auto start = startOf(ring, back)) {
        ring =
            spliced(ring, *start, run.size(), {line.rbegin(), line.rend()}, {kinds.rbegin(), kinds.rend()});
        return std::nullopt;
    }
    return sharedWith(ring, run);
}

/// Puts a vertex into every edge that passes through `position`.
void standOnEdges(DrawnOutlines& outlines, ScanPx position)
{
    for (DrawnOutline& outline : outlines) {
        std::vector<std::pair<ScanPx, ScanPx>> through;
        forEachEdge(std::span<const Part>(outline.parts), [&](ScanPx a, ScanPx b, EdgeKind) {
            if (!(a == position) && !(b == position) &&
                footOnEdge(position, a, b).distancePx <= KnitReachPx)
                through.emplace_back(a, b);
        });
        for (const auto& [a, b] : through)
            insertVertex(outline.parts, a, b, position);
    }
}

template<typename Change>
Result<void> onEachParts(DrawnOutlines& outlines, const char* nothing, Change change,
                         Mendings* mendings = nullptr)
{
    return editOutlines(
        outlines,
        [&](DrawnOutlines& all) -> Result<void> {
            bool any = false;
            for (DrawnOutline& outline : all) {
                const Result<bool> changed = change(outline.parts);
                if (!changed)
                    return Error{changed.error().code,
                                 "context " + outline.context + ": " + changed.error().message};
                any = any || *changed;
            }
            return any ? Result<void>() : Result<void>(refused(nothing));
        },
        mendings);
}

/// Vertices at the same place one after the other become one.
Result<bool> moveAll(std::vector<Part>& parts, const std::map<std::pair<double, double>, ScanPx>& to)
{
    bool moved = false, sound = true;
    forEachRing(parts, [&](Ring& ring) {
        Ring made;
        for (std::size_t i = 0; i < ring.vertices.size(); ++i) {
            const auto goes = to.find({ring.vertices[i].column, ring.vertices[i].row});
            const ScanPx vertex = goes == to.end() ? ring.vertices[i] : goes->second;
            moved = moved || goes != to.end();
            if (!made.vertices.empty() && made.vertices.back() == vertex) {
                made.kinds.back() = ring.kinds[i];
                continue;
            }
            made.vertices.push_back(vertex);
            made.kinds.push_back(ring.kinds[i]);
        }
        if (made.vertices.size() > 1 && made.vertices.front() == made.vertices.back()) {
            made.vertices.pop_back();
            made.kinds.pop_back();
        }
        sound = sound && made.vertices.size() >= 3;
        ring = std::move(made);
    });
    if (!sound)
        return refused("the outline would be left with fewer than 3 vertices; delete the outline instead");
    return moved;
}

} // namespace

std::optional<Run> runBetween(std::span<const DrawnOutline> outlines, ScanPx a, ScanPx b, bool theLongWay)
{
    std::optional<Run> chosen;
    for (const DrawnOutline& outline : outlines)
        forEachRing(std::span<const Part>(outline.parts), [&](const Ring& ring) {
            if (chosen)
                return;
            if (a == b && indexOf(ring, a)) {
                chosen = Run{a};
                return;
            }
            const std::vector<Run> ways = bothWays(ring, a, b);
            if (ways.empty())
                return;
            const bool firstIsShorter = lengthOf(ways[0]) <= lengthOf(ways[1]);
            chosen = ways[firstIsShorter == theLongWay ? 1 : 0];
        });
    return chosen;
}

Result<void> moveVertexOf(DrawnOutlines& outlines, ScanPx from, ScanPx to, Mendings* mendings)
{
    return onEachParts(
        outlines, "there is no vertex there",
        [&](std::vector<Part>& parts) { return moveVertex(parts, from, onLattice(to)); }, mendings);
}

Result<void> insertVertexInto(DrawnOutlines& outlines, ScanPx a, ScanPx b, ScanPx at)
{
    return onEachParts(outlines, "there is no such edge", [&](std::vector<Part>& parts) -> Result<bool> {
        return insertVertex(parts, a, b, onLattice(at));
    });
}

Result<void> moveRun(DrawnOutlines& outlines, const Run& run, double columnsPx, double rowsPx,
                     Mendings* mendings)
{
    std::map<std::pair<double, double>, ScanPx> to;
    for (const ScanPx& vertex : run)
        to[{vertex.column, vertex.row}] = onLattice({vertex.column + columnsPx, vertex.row + rowsPx});
    return onEachParts(
        outlines, "there is no vertex there", [&](std::vector<Part>& parts) { return moveAll(parts, to); },
        mendings);
}

Result<void> removeRun(DrawnOutlines& outlines, const Run& run, Mendings* mendings)
{
    const std::size_t first = run.size() == 1 ? 0 : 1;
    const std::size_t last = run.size() == 1 ? 1 : run.size() - 1;
    return onEachParts(
        outlines, "there is no vertex between the ends of the run",
        [&](std::vector<Part>& parts) -> Result<bool> {
            bool any = false;
            for (std::size_t i = first; i < last; ++i) {
                const Result<bool> removed = removeVertex(parts, run[i]);
                if (!removed)
                    return removed;
                any = any || *removed;
            }
            return any;
        },
        mendings);
}

Result<void> setKindOfRun(DrawnOutlines& outlines, const Run& run, EdgeKind kind)
{
    return onEachParts(outlines, "a run of one vertex has no edge",
                       [&](std::vector<Part>& parts) -> Result<bool> {
                           bool any = false;
                           for (std::size_t i = 0; i + 1 < run.size(); ++i)
                               any = setEdgeKind(parts, run[i], run[i + 1], kind) || any;
                           return any;
                       });
}

Result<void> redrawRun(DrawnOutlines& outlines, const std::vector<ScanPx>& line,
                       const std::vector<EdgeKind>& kinds, Mendings* mendings)
{
    if (line.size() < 2 || kinds.size() + 1 != line.size() || line.front() == line.back())
        return refused("a line that redraws an edge needs two different ends");
    return editOutlines(
        outlines,
        [&](DrawnOutlines& all) -> Result<void> {
            standOnEdges(all, line.front());
            standOnEdges(all, line.back());
            const std::optional<Run> run = runToRedraw(all, line);
            if (!run)
                return refused("the line redraws nothing: begin and end it on the edge of one outline");
            for (DrawnOutline& outline : all) {
                std::optional<ScanPx> parting;
                forEachRing(outline.parts, [&](Ring& ring) {
                    if (const auto at = redrawIn(ring, *run, line, kinds))
                        parting = at;
                });
                if (parting)
                    return refused("context " + outline.context +
                                   " adjoins only a part of that stretch, near column " +
                                   fixed(parting->column, 1) + ", row " + fixed(parting->row, 1) +
                                   "; redraw up to where the outlines meet, then on from there");
            }
            return {};
        },
        mendings);
}

Course courseOf(const Ring& ring)
{
    return {ring.vertices, ring.kinds, true};
}

namespace {

/// A place on a course: after which vertex, and how far from the start.
struct Station {
    std::size_t edge = 0;
    double atPx = 0;
};

std::optional<Station> stationOf(const Course& course, ScanPx position, double reachPx)
{
    const std::size_t count = course.vertices.size();
    const std::size_t edges = course.closed ? count : count - 1;
    std::optional<Station> found;
    double least = reachPx, sum = 0;
    for (std::size_t i = 0; i < edges; ++i) {
        const ScanPx a = course.vertices[i], b = course.vertices[(i + 1) % count];
        const FootOnEdge foot = footOnEdge(position, a, b);
        const double length = distance(a, b);
        if (foot.distancePx < least || (!found && foot.distancePx <= least)) {
            least = foot.distancePx;
            found = Station{i, sum + foot.along * length};
        }
        sum += length;
    }
    return found;
}

/// From `a` to `b` in the course's own direction, wrapping where it is closed.
Course alongFrom(const Course& course, Station from, Station to, ScanPx a, ScanPx b)
{
    const std::size_t count = course.vertices.size();
    Course made{{a}, {course.kinds[from.edge]}, false};
    const bool wraps = to.atPx < from.atPx;
    for (std::size_t i = from.edge; wraps || i != to.edge;) {
        const std::size_t next = (i + 1) % count;
        if (!(made.vertices.back() == course.vertices[next])) {
            made.vertices.push_back(course.vertices[next]);
            made.kinds.push_back(course.kinds[next % course.kinds.size()]);
        } else {
            made.kinds.back() = course.kinds[next % course.kinds.size()];
        }
        i = next;
        if (i == to.edge)
            break;
    }
    if (made.vertices.back() == b)
        made.kinds.pop_back();
    else
        made.vertices.push_back(b);
    return made;
}

double lengthOf(const Course& course)
{
    return lengthOf(course.vertices);
}

} // namespace

std::optional<Course> stretchOf(const Course& course, ScanPx a, ScanPx b, double reachPx)
{
    if (course.vertices.size() < 2 || a == b)
        return std::nullopt;
    const auto from = stationOf(course, a, reachPx), to = stationOf(course, b, reachPx);
    if (!from || !to)
        return std::nullopt;
    const auto backward = [&] {
        Course back = alongFrom(course, *to, *from, b, a);
        std::ranges::reverse(back.vertices);
        std::ranges::reverse(back.kinds);
        return back;
    };
    if (!course.closed)
        return from->atPx <= to->atPx ? alongFrom(course, *from, *to, a, b) : backward();
    Course forth = alongFrom(course, *from, *to, a, b), back = backward();
    return lengthOf(forth) <= lengthOf(back) ? forth : back;
}

} // namespace inkpeg
