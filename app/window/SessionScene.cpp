// SPDX-License-Identifier: GPL-3.0-or-later
// What the board shows, gathered from the project.
#include "app/window/Session.h"

#include <set>

#include "app/window/Words.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

void Session::rebuild()
{
    rebuildDrawing();
    rebuildSurroundings();
}

void Session::rebuildDrawing()
{
    m_scene.drawing.reset();
    m_noFitBecause.clear();
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
        drawing.film = sheet->frame;
        std::error_code missing;
        if (std::filesystem::exists(drawing.scanFile, missing)) {
            drawing.widthPx = static_cast<int>(sheet->frame.widthPx);
            drawing.heightPx = static_cast<int>(sheet->frame.heightPx);
        }
    }
    drawing.pins = m_project->ofDrawing<Pin>(record->id);
    drawing.outlines = m_project->ofDrawing<Outline>(record->id);
    Result<DrawingGround> ground = groundOfDrawing(*m_project, *record);
    if (ground) {
        drawing.residuals = ground->fit.residuals;
        drawing.ground = std::move(ground.value());
    } else {
        m_noFitBecause = words(ground.error().message);
    }
    m_scene.drawing = std::move(drawing);
}

void Session::rebuildSurroundings()
{
    m_scene.pegs.clear();
    m_scene.finds.clear();
    m_scene.trenches.clear();
    m_scene.neighbours.clear();
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
        if (drawing.id == m_drawing || isUpright(drawing.kind))
            continue;
        const Result<DrawingGround> ground = groundOfDrawing(*m_project, drawing);
        if (!ground)
            continue; // not pinned yet: it has no place on the ground
        Neighbour neighbour;
        std::vector<ScanPx> corners = drawing.frame;
        const double width = ground->film.widthPx, height = ground->film.heightPx;
        if (corners.empty())
            corners = {{0, 0}, {width, 0}, {width, height}, {0, height}};
        neighbour.sheet.name = drawing.number;
        for (const ScanPx& corner : corners)
            neighbour.sheet.ring.push_back(ground->toGround(corner));
        for (const Outline& outline : m_project->ofDrawing<Outline>(drawing.id)) {
            for (const Part& part : outline.parts) {
                NamedRing ring{outline.context, {}};
                for (const ScanPx& vertex : part.outer.vertices)
                    ring.ring.push_back(ground->toGround(vertex));
                neighbour.outlines.push_back(std::move(ring));
            }
        }
        m_scene.neighbours.push_back(std::move(neighbour));
    }
}

} // namespace inkpeg
