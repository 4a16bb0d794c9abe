// SPDX-License-Identifier: GPL-3.0-or-later
// What the board shows, gathered from the project.
#include "app/window/Session.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <set>

#include "app/window/Words.h"
#include "core/film/Pyramid.h"
#include "core/handover/PostOutlines.h"
#include "core/records/Schema.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

namespace {

Neighbour neighbourOf(const Project& project, const Drawing& drawing,
                      const std::shared_ptr<const DrawingGround>& ground)
{
    Neighbour neighbour;
    neighbour.drawing = drawing.id;
    neighbour.ground = ground;
    neighbour.frame = drawing.frame;
    if (const std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet);
        sheet && !sheet->scanFile.empty()) {
        std::error_code missing;
        const std::filesystem::path scan = scanPath(project, *sheet);
        if (std::filesystem::exists(scan, missing)) {
            neighbour.scanFile = scan;
            neighbour.scanSha256 = sheet->scanSha256;
        }
    }
    std::vector<ScanPx> corners = drawing.frame;
    const double width = ground->film.widthPx, height = ground->film.heightPx;
    if (corners.empty())
        corners = {{0, 0}, {width, 0}, {width, height}, {0, height}};
    neighbour.sheet.name = drawing.number;
    for (const ScanPx& corner : corners)
        neighbour.sheet.ring.push_back(ground->toGround(corner));
    for (const Outline& outline : project.ofDrawing<Outline>(drawing.id)) {
        for (const Part& part : outline.parts) {
            NamedRing ring{outline.context, {}};
            for (const ScanPx& vertex : part.outer.vertices)
                ring.ring.push_back(ground->toGround(vertex));
            neighbour.addOutline(std::move(ring));
        }
    }
    return neighbour;
}

/// Lines, levels and points; the limit of excavation of the trench, where the fit can take it to the scan.
void addMarks(const Project& project, BoardDrawing& drawing)
{
    drawing.lines = project.ofDrawing<EdgeLine>(drawing.record.id);
    drawing.levels = project.ofDrawing<SpotLevel>(drawing.record.id);
    drawing.points = project.ofDrawing<DrawnPoint>(drawing.record.id);
    drawing.tracingErrorMm = project.facts().tracingErrorMm;
    const std::optional<Trench> trench = project.byKey<Trench>(drawing.record.trench);
    if (!drawing.ground || !trench || isUpright(drawing.record.kind))
        return;
    std::vector<ScanPx> limit;
    for (const GroundM& corner : trench->limit)
        if (const Result<ScanPx> scan = drawing.ground->toScan(corner))
            limit.push_back(onLattice(*scan));
    if (limit.size() == trench->limit.size() && limit.size() >= 3)
        drawing.limits.push_back(std::move(limit));
}

} // namespace

void Session::rebuild()
{
    m_register.read(*m_project);
    rebuildDrawing();
    rebuildSurroundings();
}

/// What an act changed, and no more: drawing goes on at once in a project of a hundred thousand outlines.
void Session::follow(const Change& change)
{
    const OutlineSet before = m_scene.drawing ? m_scene.drawing->outlines : OutlineSet();
    m_offer.reset(); // it was made for what there was before
    m_register.update(*m_project, change.rows);
    rebuildDrawing(&change.rows);
    const auto liesOnDrawing = [](const TouchedRow& row) {
        return row.table == tableOf<Outline>().name || row.table == tableOf<EdgeLine>().name ||
               row.table == tableOf<SpotLevel>().name || row.table == tableOf<DrawnPoint>().name;
    };
    if (m_surroundings && std::ranges::all_of(change.rows, liesOnDrawing))
        staleOnGround(change.rows, before);
    else
        rebuildSurroundings();
}

void Session::staleOnGround(const std::vector<TouchedRow>& touched, const OutlineSet& before)
{
    for (const TouchedRow& row : touched) {
        if (row.table != tableOf<Outline>().name)
            continue;
        if (before.byId(row.id)) {
            m_stale.insert(m_drawing);
        } else if (const auto outline = m_project->byId<Outline>(row.id)) {
            m_stale.insert(outline->drawing);
        } else { // gone from a drawing that is not at hand
            rebuildSurroundings();
            return;
        }
    }
    chooseNeighbours();
}

void Session::bringOutlinesUp(OutlineSet& outlines, const std::vector<TouchedRow>& touched)
{
    for (const TouchedRow& row : touched) {
        if (row.table != tableOf<Outline>().name)
            continue;
        std::optional<Outline> outline = m_project->byId<Outline>(row.id);
        if (outline && outline->drawing == m_drawing) {
            m_index->put(outline->id, outline->parts);
            outlines.put(std::move(*outline));
        } else if (outlines.byId(row.id)) {
            m_index->remove(row.id);
            outlines.remove(row.id);
        }
    }
}

void Session::rebuildDrawing(const std::vector<TouchedRow>* touched)
{
    OutlineSet outlines;
    const bool goesOn = touched && m_index && m_scene.drawing && m_scene.drawing->record.id == m_drawing;
    if (goesOn)
        outlines = m_scene.drawing->outlines;
    else
        m_index.reset();
    m_scene.drawing.reset();
    m_scene.cacheFolder = m_project->file().parent_path() / TilePyramid::FolderName;
    m_noFitBecause.clear();
    m_diagnosis.reset();
    m_comparison.reset();
    const std::optional<Drawing> record =
        m_drawing != 0 ? m_project->byId<Drawing>(m_drawing) : std::nullopt;
    if (!record) {
        m_drawing = 0; // undone away
        return;
    }
    BoardDrawing drawing;
    drawing.record = *record;
    if (const std::optional<Sheet> sheet = m_project->byKey<Sheet>(record->sheet);
        sheet && !sheet->scanFile.empty()) {
        drawing.scanFile = scanPath(*m_project, *sheet);
        drawing.scanSha256 = sheet->scanSha256;
        drawing.film = sheet->frame;
        std::error_code missing;
        if (std::filesystem::exists(drawing.scanFile, missing)) {
            drawing.widthPx = static_cast<int>(sheet->frame.widthPx);
            drawing.heightPx = static_cast<int>(sheet->frame.heightPx);
        }
    }
    for (const Drawing& other : m_project->all<Drawing>())
        if (other.id != record->id && !record->sheet.empty() && other.sheet == record->sheet)
            drawing.otherParts.push_back({other.number, other.frame});
    drawing.pins = m_project->ofDrawing<Pin>(record->id);
    if (goesOn) {
        bringOutlinesUp(outlines, *touched);
        drawing.outlines = std::move(outlines);
    } else {
        drawing.outlines = m_project->ofDrawing<Outline>(record->id);
        m_index = std::make_shared<OutlineIndex>();
        for (const Outline& outline : drawing.outlines)
            m_index->put(outline.id, outline.parts);
    }
    drawing.index = m_index;
    Result<DrawingGround> ground = groundOfDrawing(*m_project, *record);
    if (ground) {
        drawing.residuals = ground->fit.residuals;
        drawing.ground = std::move(ground.value());
    } else {
        m_noFitBecause = words(ground.error().message);
    }
    m_scene.drawing = std::move(drawing);
    addMarks(*m_project, *m_scene.drawing);
}

void Session::rebuildSurroundings()
{
    m_scene.pegs.clear();
    m_scene.finds.clear();
    m_scene.trenches.clear();
    m_scene.neighbours.clear();
    m_scene.traces.clear();
    m_scene.posts.clear();
    m_pinnedPlans.clear();
    m_pinnedSections.clear();
    m_stale.clear();
    if (!m_surroundings)
        return;
    const PegsInCrs pegs(*m_project);
    std::set<std::string> shown; // a peg may be given in both frames
    for (const Peg& peg : m_project->all<Peg>())
        if (const Result<Peg> inCrs = pegs.named(peg.name); inCrs && shown.insert(peg.name).second)
            m_scene.pegs.push_back({peg.name, inCrs->position});
    for (const Find& find : m_project->all<Find>())
        if (find.position)
            m_scene.finds.push_back({find.number, *find.position});
    for (const Trench& trench : m_project->all<Trench>())
        if (!trench.limit.empty())
            m_scene.trenches.push_back({trench.name, trench.limit});
    for (const Drawing& drawing : m_project->all<Drawing>()) {
        // Not pinned yet, a drawing has no place on the ground.
        Result<DrawingGround> ground = groundOfDrawing(*m_project, drawing);
        if (!ground)
            continue;
        if (isUpright(drawing.kind))
            m_pinnedSections[drawing.id] =
                std::make_shared<SectionTrace>(sectionTrace(*m_project, drawing, *ground));
        else
            m_pinnedPlans[drawing.id] = std::make_shared<Neighbour>(
                neighbourOf(*m_project, drawing, std::make_shared<DrawingGround>(std::move(*ground))));
    }
    choosePosts();
    chooseNeighbours();
}

/// Upright timbers from above; with a section at hand those that stand beside it, on its face.
void Session::choosePosts()
{
    const auto& at = m_scene.drawing;
    const SectionFrame* frame = at && at->ground && at->ground->section ? &*at->ground->section : nullptr;
    m_scene.posts.clear();
    for (PostOutline& post : frame ? postsOnFace(*m_project, *frame) : postsFromAbove(*m_project))
        m_scene.posts.push_back({std::move(post.timber), std::move(post.ring)});
}

/// Plans and sections whose outlines have changed, but for the one at hand, which is drawn itself.
void Session::refreshStale()
{
    for (auto id = m_stale.begin(); id != m_stale.end();) {
        if (*id == m_drawing) {
            ++id;
            continue;
        }
        const auto drawing = m_project->byId<Drawing>(*id);
        if (const auto plan = m_pinnedPlans.find(*id); drawing && plan != m_pinnedPlans.end())
            plan->second =
                std::make_shared<Neighbour>(neighbourOf(*m_project, *drawing, plan->second->ground));
        else if (const auto section = m_pinnedSections.find(*id);
                 drawing && section != m_pinnedSections.end())
            if (const Result<DrawingGround> ground = groundOfDrawing(*m_project, *drawing))
                section->second =
                    std::make_shared<SectionTrace>(sectionTrace(*m_project, *drawing, *ground));
        id = m_stale.erase(id);
    }
}

/// All pinned plans but the one at hand, and the pinned sections.
void Session::chooseNeighbours()
{
    refreshStale();
    m_scene.neighbours.clear();
    m_scene.traces.clear();
    for (const auto& [id, plan] : m_pinnedPlans)
        if (id != m_drawing)
            m_scene.neighbours.push_back(plan);
    for (const auto& [id, section] : m_pinnedSections)
        m_scene.traces.push_back(section);
}

} // namespace inkpeg
