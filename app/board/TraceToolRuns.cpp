// SPDX-License-Identifier: GPL-3.0-or-later
// Runs of vertices in the tracing tool: chosen by their ends, turned, dragged.
#include <algorithm>

#include "app/board/Board.h"
#include "app/board/TraceTool.h"

namespace inkpeg {
namespace {

bool holds(const Outline& outline, ScanPx vertex)
{
    bool found = false;
    forEachRing(std::span<const Part>(outline.parts), [&](const Ring& ring) {
        found = found || std::ranges::find(ring.vertices, vertex) != ring.vertices.end();
    });
    return found;
}

/// The outlines that hold a vertex, as the core's acts want them.
DrawnOutlines about(const BoardDrawing& drawing, ScanPx vertex)
{
    DrawnOutlines found;
    for (const std::int64_t id : drawing.index->meeting(boxAbout(vertex, 0)))
        if (const Outline* outline = drawing.outlines.byId(id); outline && holds(*outline, vertex))
            found.push_back({outline->id, outline->context, outline->parts});
    return found;
}

} // namespace

void TraceTool::letRunGo()
{
    m_run.clear();
    board().update();
}

void TraceTool::chooseRunEnd(ScanPx vertex)
{
    if (m_run.size() == 1 && drawn())
        if (const auto run = runBetween(about(*drawn(), m_run.front()), m_run.front(), vertex)) {
            m_run = *run;
            announce();
            return;
        }
    m_run = {vertex};
    announce();
}

void TraceTool::turnRun()
{
    if (m_run.size() < 2 || !drawn())
        return;
    const DrawnOutlines around = about(*drawn(), m_run.front());
    const auto shorter = runBetween(around, m_run.front(), m_run.back());
    const auto longer = runBetween(around, m_run.front(), m_run.back(), true);
    if (shorter && longer)
        m_run = m_run == *shorter ? *longer : *shorter;
    announce();
}

bool TraceTool::dragsRun() const
{
    return m_dragFrom && m_run.size() > 1 && std::ranges::find(m_run, *m_dragFrom) != m_run.end();
}

std::vector<std::int64_t> TraceTool::holdersOf(const Run& run) const
{
    std::vector<std::int64_t> ids;
    if (drawn())
        for (const std::int64_t id : drawn()->index->meeting(boxOf(run)))
            if (const Outline* outline = drawn()->outlines.byId(id);
                outline && std::ranges::any_of(run, [&](ScanPx vertex) { return holds(*outline, vertex); }))
                ids.push_back(id);
    return ids;
}

} // namespace inkpeg
