// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/OutlineEdits.h"

#include <algorithm>
#include <map>

#include "core/base/Clock.h"
#include "core/outline/OutlineActs.h"
#include "core/outline/Overlay.h"
#include "core/outline/Validity.h"
#include "core/records/Names.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {
namespace {

constexpr double chordToleranceMm = 0.05;

/// Writes how `edited` differs from `before`.
Result<void> store(Editor& edit, const Project& project, std::int64_t drawing, const DrawnOutlines& before,
                   const DrawnOutlines& edited)
{
    std::map<std::int64_t, const DrawnOutline*> known;
    for (const DrawnOutline& outline : before)
        known[outline.id] = &outline;
    for (const DrawnOutline& outline : edited) {
        Outline record;
        if (const auto there = known.find(outline.id); there != known.end()) {
            const bool same = *there->second == outline;
            known.erase(there);
            if (same)
                continue;
            std::optional<Outline> held = project.byId<Outline>(outline.id);
            if (!held)
                return Error{ErrorCode::NotFound, "the outline is no longer on this drawing"};
            record = std::move(*held);
        } else {
            record.drawing = drawing;
            record.tracedBy = project.person();
            record.tracedAt = utcNow();
        }
        record.context = outline.context;
        record.parts = outline.parts;
        if (const Result<void> put = edit.put(record); !put)
            return put;
    }
    for (const auto& [id, gone] : known)
        if (const Result<void> removed = edit.remove<Outline>(id); !removed)
            return removed;
    return {};
}

/// A position of one drawing on another, both by their fits.
struct Carrier {
    const DrawingGround& from;
    const DrawingGround& to;

    Result<ScanPx> at(ScanPx position) const { return to.toScan(from.toGround(position)); }
};

/// The edge from `a` to `b` on the other film, without its first vertex.
Result<void> carryEdge(const Carrier& carrier, ScanPx a, ScanPx b, double tolerancePx, int depth,
                       std::vector<ScanPx>& line)
{
    const Result<ScanPx> end = carrier.at(b);
    const Result<ScanPx> middle = carrier.at({(a.column + b.column) / 2, (a.row + b.row) / 2});
    if (!end || !middle)
        return !end ? end.error() : middle.error();
    const ScanPx start = line.back();
    const ScanPx chord{(start.column + end->column) / 2, (start.row + end->row) / 2};
    if (depth > 0 && distance(chord, *middle) > tolerancePx) {
        const ScanPx half{(a.column + b.column) / 2, (a.row + b.row) / 2};
        if (const Result<void> first = carryEdge(carrier, a, half, tolerancePx, depth - 1, line); !first)
            return first;
        return carryEdge(carrier, half, b, tolerancePx, depth - 1, line);
    }
    line.push_back(onLattice(*end));
    return {};
}

Result<Ring> carried(const Ring& ring, const Carrier& carrier)
{
    const double tolerancePx = chordToleranceMm * carrier.to.film.dpiX / MillimetresPerInch;
    constexpr int mostHalvings = 6;
    const Result<ScanPx> start = carrier.at(ring.vertices.front());
    if (!start)
        return start.error();
    Ring made;
    std::vector<ScanPx> line{onLattice(*start)};
    for (std::size_t i = 0; i < ring.vertices.size(); ++i) {
        const ScanPx a = ring.vertices[i], b = ring.vertices[(i + 1) % ring.vertices.size()];
        line = {line.back()};
        if (const Result<void> done = carryEdge(carrier, a, b, tolerancePx, mostHalvings, line); !done)
            return done.error();
        for (std::size_t k = 0; k + 1 < line.size(); ++k) {
            made.vertices.push_back(line[k]);
            made.kinds.push_back(ring.kinds[i]);
        }
    }
    return made;
}

Result<std::vector<Part>> carried(const std::vector<Part>& parts, const Carrier& carrier)
{
    std::vector<Part> made;
    for (const Part& part : parts) {
        Result<Ring> outer = carried(part.outer, carrier);
        if (!outer)
            return outer.error();
        made.push_back({std::move(*outer), {}});
        for (const Ring& hole : part.holes) {
            Result<Ring> ring = carried(hole, carrier);
            if (!ring)
                return ring.error();
            made.back().holes.push_back(std::move(*ring));
        }
    }
    return made;
}

/// The drawing's part of its sheet, its border beyond the sheet.
std::vector<Part> frameOf(const Drawing& drawing, const FilmFrame& film)
{
    Ring ring;
    ring.vertices = drawing.frame;
    if (ring.vertices.size() < 3)
        ring.vertices = {{0, 0}, {film.widthPx, 0}, {film.widthPx, film.heightPx}, {0, film.heightPx}};
    for (ScanPx& vertex : ring.vertices)
        vertex = onLattice(vertex);
    ring.kinds.assign(ring.vertices.size(), EdgeKind::BeyondTheSheet);
    return {{ring, {}}};
}

struct Copying {
    Outline outline;
    Drawing from, to;
};

Result<Copying> whatToCopy(const Project& project, std::int64_t outlineId, std::int64_t toDrawing)
{
    const auto outline = project.byId<Outline>(outlineId);
    const auto to = project.byId<Drawing>(toDrawing);
    const auto from = outline ? project.byId<Drawing>(outline->drawing) : std::nullopt;
    if (!outline || !from || !to)
        return Error{ErrorCode::NotFound, "the outline or the drawing is not in the project"};
    if (from->id == to->id)
        return Error{ErrorCode::Conflict,
                     "context " + outline->context + " lies on " + to->number + " already"};
    if (isUpright(from->kind) || isUpright(to->kind))
        return Error{ErrorCode::Conflict, "an outline is copied from plan to plan; " +
                                              (isUpright(from->kind) ? from : to)->number + " is a " +
                                              nameOf((isUpright(from->kind) ? from : to)->kind)};
    for (const Outline& there : project.ofDrawing<Outline>(to->id))
        if (there.context == outline->context)
            return Error{ErrorCode::Conflict, to->number + " shows context " + outline->context +
                                                  " already; delete its outline there first"};
    return Copying{*outline, *from, *to};
}

} // namespace

DrawnOutlines drawnOutlines(const Project& project, std::int64_t drawing)
{
    DrawnOutlines outlines;
    for (Outline& outline : project.ofDrawing<Outline>(drawing))
        outlines.push_back({outline.id, outline.context, std::move(outline.parts)});
    return outlines;
}

Result<std::size_t> indexOf(const DrawnOutlines& outlines, std::int64_t id)
{
    const auto there = std::ranges::find(outlines, id, &DrawnOutline::id);
    if (there == outlines.end())
        return Error{ErrorCode::NotFound, "the outline is no longer on this drawing"};
    return static_cast<std::size_t>(there - outlines.begin());
}

Result<Change> editOutlines(Project& project, std::int64_t drawing, const std::string& what,
                            const std::function<Result<void>(DrawnOutlines&)>& edit)
{
    return editOutlines(project, drawing, what, drawnOutlines(project, drawing), edit);
}

Result<Change> editOutlines(Project& project, std::int64_t drawing, const std::string& what,
                            DrawnOutlines outlines, const std::function<Result<void>(DrawnOutlines&)>& edit)
{
    const DrawnOutlines before = outlines;
    if (const Result<void> done = edit(outlines); !done)
        return done.error();
    return project.act(what,
                       [&](Editor& editor) { return store(editor, project, drawing, before, outlines); });
}

Result<Change> copyOutline(Project& project, std::int64_t outlineId, std::int64_t toDrawing)
{
    const Result<Copying> what = whatToCopy(project, outlineId, toDrawing);
    if (!what)
        return what.error();
    const Result<DrawingGround> from = groundOfDrawing(project, what->from);
    const Result<DrawingGround> to = groundOfDrawing(project, what->to);
    if (!from || !to)
        return !from ? from.error() : to.error();
    Result<std::vector<Part>> parts = carried(what->outline.parts, Carrier{*from, *to});
    if (!parts)
        return parts.error();
    const std::string& context = what->outline.context;
    if (const Result<void> sound = checkParts(*parts); !sound)
        return Error{sound.error().code,
                     "context " + context + " on " + what->to.number + ": " + sound.error().message};
    Result<std::vector<Part>> inFrame = overlay(*parts, frameOf(what->to, to->film), Overlay::Intersection);
    if (!inFrame)
        return inFrame.error();
    if (inFrame->empty())
        return Error{ErrorCode::Conflict, "nothing of context " + context + " lies on " + what->to.number};
    return editOutlines(project, toDrawing,
                        "copy context " + context + " from " + what->from.number + " to " + what->to.number,
                        [&](DrawnOutlines& all) { return addParts(all, context, *inFrame); });
}

} // namespace inkpeg
