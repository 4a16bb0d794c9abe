// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/TraceTool.h"

#include <algorithm>
#include <cmath>

#include "app/board/Board.h"

namespace inkpeg {
namespace {

constexpr double dragStartsPx = 4;
constexpr int kinds = 5;

} // namespace

TraceTool::TraceTool(Board& board) : BoardTool(board), m_ink(this)
{
    connect(&m_ink, &InkTracing::changed, this, &TraceTool::announce);
    connect(&m_ink.guide(), &InkGuide::failed, this, &TraceTool::refused);
}

void TraceTool::readInk()
{
    if (drawn())
        m_ink.guide().read(*drawn());
}

Snap TraceTool::snapAt(const BoardPointer& pointer) const
{
    const Snap snap = snapFor(board(), pointer, m_context.empty() ? std::nullopt : ringStart(), m_dragFrom);
    if (snap.to != Snap::To::Nothing || pointer.modifiers & Qt::AltModifier)
        return snap;
    const auto pencil = m_ink.snapFor(*pointer.scan, scanReach(board(), pointer, vertexReachPx));
    if (!pencil)
        return snap;
    return {pencil->at, pencil->to == InkTracing::SnapTo::Junction ? Snap::To::InkJunction : Snap::To::Ink};
}

const BoardDrawing* TraceTool::drawn() const
{
    return board().scene().drawing ? &*board().scene().drawing : nullptr;
}

std::optional<ScanPx> TraceTool::pointerInScan() const
{
    return m_pointerKnown ? m_pointer.scan : std::nullopt;
}

std::optional<ScanPx> TraceTool::vertexAt(const BoardPointer& pointer) const
{
    if (!pointer.scan || !drawn())
        return std::nullopt;
    const auto vertex =
        drawn()->index->nearestVertex(*pointer.scan, scanReach(board(), pointer, vertexReachPx));
    return vertex ? std::optional(vertex->at) : std::nullopt;
}

std::optional<OutlineIndex::Edge> TraceTool::edgeAt(const BoardPointer& pointer) const
{
    if (!pointer.scan || !drawn())
        return std::nullopt;
    return drawn()->index->nearestEdge(*pointer.scan, scanReach(board(), pointer, edgeReachPx));
}

std::optional<MarkHit> TraceTool::markUnder(const BoardPointer& pointer) const
{
    if (!pointer.scan || !drawn())
        return std::nullopt;
    return markAt(*drawn(), *pointer.scan, scanReach(board(), pointer, vertexReachPx));
}

std::int64_t TraceTool::otherAtPointer() const
{
    if (!m_pointerKnown || !m_pointer.scan || !drawn())
        return 0;
    return drawn()
        ->index->smallestAt(*m_pointer.scan, scanReach(board(), m_pointer, edgeReachPx), m_selected)
        .value_or(0);
}

void TraceTool::announce()
{
    seeWhatIsShared();
    emit stateChanged();
    emit board().hintChanged();
    board().update();
}

void TraceTool::arm(const std::string& context)
{
    m_context = context;
    m_ring = {};
    m_clicked.clear();
    m_held.clear();
    m_ink.dropProposal();
    m_dragFrom.reset();
    m_dragMark.reset();
    m_dragTo.reset();
    if (!context.empty()) {
        letRunGo();
        selectOutline(0);
    }
    dropMending();
    announce();
}

void TraceTool::dropMending()
{
    const bool ofEdit = m_mending && m_mending->ofEdit;
    m_mending.reset();
    if (ofEdit)
        emit mendingLeft();
}

bool TraceTool::editWaits()
{
    if (!m_mending || !m_mending->ofEdit)
        return false;
    emit refused(tr("First the edit shown: Enter takes it mended, Esc leaves all as it was"));
    return true;
}

void TraceTool::selectOutline(std::int64_t id)
{
    if (m_selected == id)
        return;
    m_selected = id;
    emit outlineSelected(id);
    announce();
}

void TraceTool::press(const BoardPointer& pointer)
{
    m_pointer = pointer;
    m_pointerKnown = true;
    m_pressedAt = pointer.widget;
    if (editWaits())
        return;
    if (!m_context.empty()) {
        if (m_ink.encloses() && !drawing())
            enclose(pointer);
        else
            addVertex(pointer);
        return;
    }
    m_dragTo.reset();
    m_dragFrom = vertexAt(pointer);
    m_dragMark = markUnder(pointer);
    if (pointer.modifiers & Qt::ShiftModifier && m_dragFrom) {
        chooseRunEnd(*m_dragFrom);
        m_dragFrom.reset();
        m_dragMark.reset();
        return;
    }
    // Where a mark stands on a vertex, the mark is what one sees.
    if (m_dragMark)
        m_dragFrom.reset();
    else if (!m_dragFrom)
        choose(pointer);
}

void TraceTool::choose(const BoardPointer& pointer)
{
    letRunGo();
    if (!pointer.scan || !drawn())
        return;
    selectOutline(
        drawn()->index->smallestAt(*pointer.scan, scanReach(board(), pointer, edgeReachPx)).value_or(0));
}

void TraceTool::move(const BoardPointer& pointer, bool leftHeld)
{
    m_pointer = pointer;
    m_pointerKnown = true;
    if (!leftHeld || (!m_dragFrom && !m_dragMark) || !pointer.scan)
        return;
    const QPointF moved = pointer.widget - m_pressedAt;
    if (m_dragTo || std::hypot(moved.x(), moved.y()) >= dragStartsPx)
        m_dragTo = snapAt(pointer).at;
}

void TraceTool::release(const BoardPointer& pointer)
{
    const auto from = m_dragFrom, to = m_dragTo;
    const auto mark = m_dragMark;
    const bool run = dragsRun();
    m_dragFrom.reset();
    m_dragMark.reset();
    m_dragTo.reset();
    if (mark && to && !(mark->at == *to)) {
        emit markMoved(*mark, *to);
    } else if (from && to && !(*from == *to)) {
        if (run)
            emit runMoved(m_run, to->column - from->column, to->row - from->row);
        else
            emit vertexMoved(*from, *to);
    } else if (from && !to) {
        choose(pointer);
    }
}

void TraceTool::doubleClick(const BoardPointer& pointer)
{
    m_pointer = pointer;
    m_pointerKnown = true;
    if (editWaits())
        return;
    if (!m_context.empty()) {
        if (!m_ink.encloses() || drawing())
            addVertex(pointer);
    } else if (const auto mark = markUnder(pointer)) {
        emit markRewritten(*mark, pointer.widget);
    } else {
        insertAtPointer();
    }
}

void TraceTool::abandon()
{
    if (m_dragFrom || m_dragMark) {
        m_dragFrom.reset();
        m_dragMark.reset();
        m_dragTo.reset();
        board().update();
    } else if (m_mending) {
        takeBackVertex();
    } else if (m_ink.proposing()) {
        m_ink.dropProposal();
        announce();
    } else if (drawing()) {
        m_ring = {};
        m_clicked.clear();
        m_held.clear();
        announce();
    } else if (!m_context.empty()) {
        arm({});
    } else if (!m_run.empty()) {
        letRunGo();
    } else {
        selectOutline(0);
    }
}

void TraceTool::chooseKind(EdgeKind kind)
{
    if (editWaits())
        return;
    if (m_context.empty() && m_run.size() > 1) {
        emit runKindSet(m_run, kind);
        return;
    }
    if (m_context.empty() && m_pointerKnown)
        if (const auto edge = edgeAt(m_pointer)) {
            emit edgeKindSet(edge->from, edge->to, kind);
            return;
        }
    m_nextKind = kind;
    announce();
}

void TraceTool::cycleKind()
{
    m_nextKind = static_cast<EdgeKind>((static_cast<int>(m_nextKind) + 1) % kinds);
    announce();
}

void TraceTool::followInkOrNot()
{
    m_ink.setFollows(!m_ink.follows());
}

void TraceTool::encloseOrNot()
{
    m_ink.setEncloses(!m_ink.encloses());
}

void TraceTool::insertAtPointer()
{
    if (editWaits() || !m_context.empty() || !m_pointerKnown || vertexAt(m_pointer))
        return;
    if (const auto edge = edgeAt(m_pointer))
        emit vertexInserted(edge->from, edge->to, edge->foot);
}

void TraceTool::removeAtPointer()
{
    if (editWaits())
        return;
    if (!m_context.empty()) {
        takeBackVertex();
        return;
    }
    if (m_run.size() > 1) {
        const Run run = m_run;
        letRunGo();
        emit runRemoved(run);
        return;
    }
    if (m_pointerKnown) {
        if (const auto mark = markUnder(m_pointer)) {
            emit markRemoved(*mark);
            return;
        }
        if (const auto vertex = vertexAt(m_pointer)) {
            emit vertexRemoved(*vertex);
            return;
        }
    }
    if (m_selected != 0)
        emit outlineRemoved(m_selected);
}

void TraceTool::sceneChanged()
{
    if (m_selected != 0 && !(drawn() && drawn()->outlines.byId(m_selected)))
        selectOutline(0);
    if (!m_run.empty() && holdersOf(m_run).empty())
        letRunGo();
    if (m_mending && m_mending->ofEdit)
        dropMending(); // it was made for what there was before
    seeWhatIsShared(); // an outline beside the ring may be gone
}

} // namespace inkpeg
