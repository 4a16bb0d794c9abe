// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <cmath>
#include <ostream>
#include <set>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "core/outline/Adjoin.h"
#include "core/outline/OutlineActs.h"
#include "core/outline/Validity.h"
#include "core/store/OutlineEdits.h"
#include "core/store/Project.h"
#include "core/store/TraceSeeds.h"

namespace inkpeg {

namespace {

/// One outline of the seed file and what became of it.
struct Work {
    SeededOutline seeded;
    std::optional<TracedRing> traced;
    std::string trouble;
};

struct DrawingWork {
    Drawing drawing;
    std::vector<Work> outlines;
    double adjoinPx = 0; ///< lines of two contexts nearer than this are one line
};

Result<TraceSettings> settingsOf(const Call& call)
{
    TraceSettings settings;
    for (const auto& [option, value] :
         {std::pair{"gap", &settings.gapMm}, {"tolerance", &settings.toleranceMm}}) {
        const Result<std::optional<double>> number = call.number(option);
        if (!number)
            return number.error();
        if (number->has_value() && !(**number > 0 && **number <= 6))
            return Error{ErrorCode::BadInput, std::string("--") + option +
                                                  ": must be larger than 0 and at most 6 mm on the film"};
        *value = number->value_or(*value);
    }
    return settings;
}

/// The outlines of the file by drawing, each drawing and its scan looked up. Nothing is traced yet.
Result<std::vector<DrawingWork>> workOf(const Call& call, const Project& project)
{
    const std::string file = call.value("seeds");
    Result<std::vector<SeededOutline>> seeds = readTraceSeeds(file);
    if (!seeds)
        return seeds.error();
    const std::vector<std::string> only = call.values("drawing");
    std::vector<DrawingWork> all;
    for (SeededOutline& outline : *seeds) {
        if (!only.empty() && std::ranges::find(only, outline.drawing) == only.end())
            continue;
        const std::string line = file + ", line " + std::to_string(outline.seeds.front().line) + ": ";
        auto entry = std::ranges::find(all, outline.drawing,
                                       [](const DrawingWork& work) { return work.drawing.number; });
        if (entry == all.end()) {
            const std::optional<Drawing> drawing = project.byKey<Drawing>(outline.drawing);
            if (!drawing)
                return Error{ErrorCode::NotFound, line + "drawing \"" + outline.drawing +
                                                      "\" is not in the register; register it first"};
            const std::optional<Sheet> sheet = project.byKey<Sheet>(drawing->sheet);
            if (!sheet || sheet->scanFile.empty())
                return Error{ErrorCode::NotFound, line + "drawing " + outline.drawing +
                                                      " has no scan; give its sheet one first"};
            all.push_back({*drawing, {}, 0});
            entry = all.end() - 1;
        }
        if (!call.has("replace"))
            for (const Outline& former : project.ofDrawing<Outline>(entry->drawing.id))
                if (former.context == outline.context)
                    return Error{ErrorCode::Conflict, line + "context " + outline.context +
                                                          " is drawn on " + outline.drawing +
                                                          " already; --replace traces it anew"};
        entry->outlines.push_back({std::move(outline), {}, {}});
    }
    if (all.empty())
        return Error{ErrorCode::NotFound, file + ": holds no seeds for the drawings asked for"};
    return all;
}

Result<void> traceDrawing(const Call& call, const Project& project, DrawingWork& work,
                          const TraceSettings& settings)
{
    const std::optional<Sheet> sheet = project.byKey<Sheet>(work.drawing.sheet); // workOf has found it
    const Result<Scan> scan = Scan::open(scanPath(project, *sheet));
    if (!scan)
        return scan.error();
    const double dpi = std::sqrt(sheet->frame.dpiX * sheet->frame.dpiY);
    work.adjoinPx = AdjoinMm * dpi / MillimetresPerInch;
    const Result<FilmInk> ink =
        readFilmInk(*scan, inkWindow(work.drawing.frame, scan->facts(), dpi), dpi, {}, call.progress());
    if (!ink)
        return Error{ink.error().code, "drawing " + work.drawing.number + ": " + ink.error().message};
    for (Work& outline : work.outlines) {
        Result<TracedRing> traced = traceSeeds(*ink, outline.seeded, settings);
        if (traced) {
            const std::vector<Part> parts = {{traced->ring, {}}};
            if (const Result<void> sound = checkParts(parts); !sound)
                outline.trouble = sound.error().message;
            else
                outline.traced = std::move(traced).value();
        } else {
            outline.trouble = traced.error().message;
        }
    }
    return {};
}

Result<void> removeFormer(Project& project, const DrawingWork& work, const std::string& why)
{
    std::set<std::string> contexts;
    for (const Work& outline : work.outlines)
        if (outline.traced)
            contexts.insert(outline.seeded.context);
    for (const Outline& former : project.ofDrawing<Outline>(work.drawing.id))
        if (contexts.contains(former.context))
            if (const Result<Change> gone = project.act(
                    "remove the outline of context " + former.context + " on " + work.drawing.number,
                    [&](Editor& edit) { return edit.remove<Outline>(former.id); }, why);
                !gone)
                return gone.error();
    return {};
}

/// Each outline is one act. What the project refuses (two parts of a context that cross) becomes its
/// trouble.
Result<void> store(const Call& call, Project& project, DrawingWork& work)
{
    if (const Result<void> removed = removeFormer(project, work, call.value("why")); !removed)
        return removed;
    for (Work& outline : work.outlines) {
        if (!outline.traced)
            continue;
        const Result<Change> added = editOutlines(
            project, work.drawing.id,
            "trace context " + outline.seeded.context + " on " + work.drawing.number,
            [&](DrawnOutlines& all) {
                // One pencil line between two contexts becomes one edge of both.
                outline.traced->ring = adjoined(outline.traced->ring, all, work.adjoinPx);
                return addParts(all, outline.seeded.context, std::vector<Part>{{outline.traced->ring, {}}});
            });
        if (!added && added.error().code != ErrorCode::BadInput)
            return added.error();
        if (!added) {
            outline.traced.reset();
            outline.trouble = added.error().message;
        }
    }
    const bool all = std::ranges::all_of(work.outlines, [](const Work& w) { return w.traced.has_value(); });
    if (!call.has("mark-traced") || !all || work.drawing.stage != Stage::Pinned)
        return {};
    Drawing drawing = work.drawing;
    drawing.stage = Stage::Traced;
    const Result<Change> marked = project.act(
        drawing.number + " is traced", [&](Editor& edit) { return edit.put(drawing); }, call.value("why"));
    return marked ? Result<void>() : Result<void>(marked.error());
}

nlohmann::ordered_json jsonOf(const DrawingWork& drawing, const Work& work)
{
    nlohmann::ordered_json text = {{"drawing", drawing.drawing.number},
                                   {"context", work.seeded.context},
                                   {"line", work.seeded.seeds.front().line},
                                   {"clicks", work.seeded.seeds.size()},
                                   {"traced", work.traced.has_value()}};
    if (!work.traced) {
        text["trouble"] = work.trouble;
        return text;
    }
    nlohmann::ordered_json gaps = nlohmann::ordered_json::array(), vertices = gaps;
    for (const BridgedGap& gap : work.traced->gaps)
        gaps.push_back({{"from_px", {gap.from.column, gap.from.row}},
                        {"to_px", {gap.to.column, gap.to.row}},
                        {"width_mm", gap.widthMm},
                        {"in_rhythm", gap.inRhythm}}); // a dashed line's own
    for (const ScanPx& vertex : work.traced->ring.vertices)
        vertices.push_back({vertex.column, vertex.row});
    text["ink_share"] = work.traced->inkShare;
    text["doubt"] = work.traced->doubt;
    text["gaps"] = gaps;
    text["vertices_px"] = vertices;
    return text;
}

VerbEnd tell(const Call& call, const std::vector<DrawingWork>& all)
{
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    std::size_t traced = 0, untraced = 0;
    for (const DrawingWork& drawing : all)
        for (const Work& work : drawing.outlines) {
            ++(work.traced ? traced : untraced);
            list.push_back(jsonOf(drawing, work));
            const std::string name = drawing.drawing.number + " context " + work.seeded.context + ": ";
            if (!work.traced)
                call.say(name + work.trouble);
            else if (!call.json)
                *call.out << name << work.traced->ring.vertices.size() << " vertices, "
                          << work.traced->gaps.size() << " gaps bridged\n";
        }
    if (call.json)
        *call.out << list.dump(2) << "\n";
    else
        *call.out << traced << " outlines traced, " << untraced << " not\n";
    return untraced > 0 ? VerbEnd::Faults : VerbEnd::Done;
}

Result<VerbEnd> run(const Call& call)
{
    if (!call.has("seeds"))
        return Error{ErrorCode::BadInput, "say where the outlines are: --seeds CSV"};
    const Result<TraceSettings> settings = settingsOf(call);
    if (!settings)
        return settings.error();
    // All is read and traced before the project is opened for writing: bad seeds leave it untouched.
    Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    Result<std::vector<DrawingWork>> all = workOf(call, *project);
    if (!all)
        return all.error();
    for (DrawingWork& work : *all)
        if (const Result<void> traced = traceDrawing(call, *project, work, *settings); !traced)
            return traced.error();
    if (!call.has("dry-run")) {
        project = Project::open(call.files[0], Access::Write);
        if (!project)
            return project.error();
        project->setPerson(call.value("person"));
        project->setReasonAsked([why = call.value("why")](const std::vector<std::string>&) { return why; });
        for (DrawingWork& work : *all)
            if (const Result<void> stored = store(call, *project, work); !stored)
                return stored.error();
    }
    return tell(call, *all);
}

} // namespace

Verb traceVerb()
{
    return {
        "trace",
        "PROJECT",
        1,
        1,
        "traces outlines by the pencil from places in a file, and stores each as one act",
        {{"seeds", "CSV",
          "drawing, context, way (area: inside it; ink, straight: along it), column, row (pixels); edge, "
          "wider, part if wanted"},
         {"drawing", "NUMBER", "only the seeds of this drawing; may be given more than once"},
         {"gap", "MM", "widest gap in the pencil that is bridged, on the film (3)"},
         {"tolerance", "MM", "how far thinning may move an outline, on the film (0.15)"},
         {"replace", "", "outlines of these contexts that are there already go"},
         {"mark-traced", "", "drawings that are pinned and lack none of the outlines count as traced"},
         {"dry-run", "", "only tell what would be traced"},
         {"person", "INITIALS", "who traces, for the journal"},
         {"why", "TEXT", "why, for the journal"}},
        run};
}

} // namespace inkpeg
