// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/TraceTool.h"

#include <algorithm>
#include <cmath>

#include "app/board/Board.h"
#include "core/outline/Validity.h"

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

std::optional<ScanPx> TraceTool::ringStart() const
{
    return m_ring.vertices.size() >= 3 ? std::optional(m_ring.vertices.front()) : std::nullopt;
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
    emit stateChanged();
    emit board().hintChanged();
    board().update();
}

void TraceTool::arm(const std::string& context)
{
    m_context = context;
    m_ring = {};
    m_clicked.clear();
    m_ink.dropProposal();
    m_mending.reset();
    m_dragFrom.reset();
    m_dragMark.reset();
    m_dragTo.reset();
    if (!context.empty()) {
        letRunGo();
        selectOutline(0);
    }
    announce();
}

void TraceTool::selectOutline(std::int64_t id)
{
    if (m_selected == id)
        return;
    m_selected = id;
    emit outlineSelected(id);
    announce();
}

void TraceTool::addVertex(const BoardPointer& pointer)
{
    if (!pointer.scan || m_mending)
        return;
    const Snap snap = snapAt(pointer);
    if (snap.to == Snap::To::Start) {
        close();
        return;
    }
    if (!m_ring.vertices.empty() && m_ring.vertices.back() == snap.at)
        return;
    if (!m_ring.vertices.empty())
        for (const ScanPx& vertex : m_ink.between(m_ring.vertices.back(), snap.at))
            push(vertex);
    push(snap.at);
    m_clicked.push_back(m_ring.vertices.size());
    announce();
}

void TraceTool::push(ScanPx vertex)
{
    if (!m_ring.vertices.empty())
        m_ring.kinds.back() = m_nextKind;
    m_ring.vertices.push_back(vertex);
    m_ring.kinds.push_back(m_nextKind);
}

void TraceTool::enclose(const BoardPointer& pointer)
{
    if (!pointer.scan || m_mending)
        return;
    if (m_ink.proposalHolds(*pointer.scan)) {
        takeProposal();
        return;
    }
    QString trouble;
    if (!m_ink.propose(*pointer.scan, trouble))
        emit refused(trouble);
    announce();
}

void TraceTool::takeProposal()
{
    const InkArea* area = m_ink.proposal();
    if (!area)
        return;
    Ring ring;
    for (const ScanPx& vertex : area->vertices)
        if (const ScanPx at = onLattice(vertex); ring.vertices.empty() || ring.vertices.back() != at)
            ring.vertices.push_back(at);
    ring.kinds.assign(ring.vertices.size(), m_nextKind);
    closeWith(ring);
}

/// Goes on along a stretch that begins at the last vertex.
void TraceTool::addStretch(const Course& stretch)
{
    for (std::size_t i = 0; i + 1 < stretch.vertices.size(); ++i) {
        m_ring.kinds.back() = stretch.kinds[i];
        m_ring.vertices.push_back(stretch.vertices[i + 1]);
        m_ring.kinds.push_back(m_nextKind);
    }
    m_clicked.push_back(m_ring.vertices.size());
}

void TraceTool::followEdge()
{
    if (m_ring.vertices.empty() || !m_pointerKnown || !m_pointer.scan || m_mending)
        return;
    const Snap snap = snapFor(board(), m_pointer);
    const std::optional<Course> stretch = stretchBetween(board(), m_ring.vertices.back(), snap.at);
    if (!stretch) {
        emit refused(
            tr("The last vertex and the pointer do not lie on one edge; set the vertex on the edge "
               "and point at a place further along it"));
        return;
    }
    addStretch(*stretch);
    announce();
}

void TraceTool::closeAlongEdge()
{
    if (m_ring.vertices.size() < 2 || m_mending)
        return;
    const std::optional<Course> stretch =
        stretchBetween(board(), m_ring.vertices.back(), m_ring.vertices.front());
    if (!stretch) {
        emit refused(tr("The first and the last vertex do not lie on one limit of excavation or edge"));
        return;
    }
    Ring closed = m_ring;
    for (std::size_t i = 0; i + 1 < stretch->vertices.size(); ++i) {
        closed.kinds.back() = stretch->kinds[i];
        if (i + 2 < stretch->vertices.size()) {
            closed.vertices.push_back(stretch->vertices[i + 1]);
            closed.kinds.push_back(stretch->kinds[i]);
        }
    }
    closeWith(closed);
}

void TraceTool::press(const BoardPointer& pointer)
{
    m_pointer = pointer;
    m_pointerKnown = true;
    m_pressedAt = pointer.widget;
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
    if (!m_context.empty()) {
        if (!m_ink.encloses() || drawing())
            addVertex(pointer);
    } else if (const auto mark = markUnder(pointer)) {
        emit markRewritten(*mark, pointer.widget);
    } else {
        insertAtPointer();
    }
}

void TraceTool::close()
{
    if (m_mending) {
        // Whoever listens disarms the tool if the outline is taken; refused, it stays to be mended.
        const std::vector<Part> parts = m_mending->parts;
        emit partsClosed(QString::fromStdString(m_context), parts);
        announce();
        return;
    }
    if (m_ink.proposing()) {
        takeProposal();
        return;
    }
    if (m_context.empty() || m_ring.vertices.empty())
        return;
    const std::vector<ScanPx> home = m_ink.between(m_ring.vertices.back(), m_ring.vertices.front());
    if (m_ring.vertices.size() + home.size() < 3) {
        emit refused(
            tr("An outline needs at least 3 vertices; this one has %1").arg(m_ring.vertices.size()));
        return;
    }
    Ring closed = m_ring;
    closed.kinds.back() = m_nextKind;
    closed.vertices.insert(closed.vertices.end(), home.begin(), home.end());
    closed.kinds.resize(closed.vertices.size(), m_nextKind);
    closeWith(closed);
}

void TraceTool::closeWith(const Ring& ring)
{
    const std::vector<Part> parts{{ring, {}}};
    if (checkParts(parts)) {
        emit partsClosed(QString::fromStdString(m_context), parts);
    } else if (Result<Mended> mended = mendParts(parts); mended) {
        QString words;
        for (const MendStep& step : mended->steps)
            words += (words.isEmpty() ? "" : "; ") + QString::fromStdString(step.words);
        emit refused(
            tr("Not taken yet: %1. Enter takes the mending shown, Backspace goes back").arg(words));
        m_mending = std::move(*mended);
    } else {
        emit refused(QString::fromStdString(mended.error().message));
    }
    announce();
}

void TraceTool::takeBackVertex()
{
    if (m_mending) {
        m_mending.reset();
        announce();
        return;
    }
    if (m_ring.vertices.empty())
        return;
    m_clicked.pop_back();
    m_ring.vertices.resize(m_clicked.empty() ? 0 : m_clicked.back());
    m_ring.kinds.resize(m_ring.vertices.size());
    announce();
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
    if (!m_context.empty() || !m_pointerKnown || vertexAt(m_pointer))
        return;
    if (const auto edge = edgeAt(m_pointer))
        emit vertexInserted(edge->from, edge->to, edge->foot);
}

void TraceTool::removeAtPointer()
{
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
    const auto there = [&](std::int64_t id) {
        return drawn() && std::ranges::any_of(drawn()->outlines,
                                              [&](const Outline& outline) { return outline.id == id; });
    };
    if (m_selected != 0 && !there(m_selected))
        selectOutline(0);
    if (!m_run.empty() && holdersOf(m_run).empty())
        letRunGo();
}

} // namespace inkpeg
