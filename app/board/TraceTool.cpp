// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/TraceTool.h"

#include <algorithm>
#include <cmath>

#include "app/board/Board.h"
#include "core/outline/Area.h"

namespace inkpeg {
namespace {

constexpr double vertexReachPx = 10;
constexpr double edgeReachPx = 7;
constexpr double dragStartsPx = 4;
constexpr int kinds = 5;

} // namespace

const std::vector<Outline>& TraceTool::outlines() const
{
    static const std::vector<Outline> none;
    return board().scene().drawing ? board().scene().drawing->outlines : none;
}

/// How far `widgetPx` on the screen reach in the scan near the pointer.
double TraceTool::scanPxFor(double widgetPx, const BoardPointer& pointer) const
{
    const std::optional<ScanPx> beside = board().scanOfWidget(pointer.widget + QPointF(widgetPx, 0));
    return beside && pointer.scan ? distance(*beside, *pointer.scan) : 0;
}

std::optional<ScanPx> TraceTool::vertexAt(const BoardPointer& pointer) const
{
    if (!pointer.scan)
        return std::nullopt;
    std::optional<ScanPx> nearest;
    double reach = scanPxFor(vertexReachPx, pointer);
    for (const Outline& outline : outlines()) {
        if (const auto vertex = nearestVertex(outline.parts, *pointer.scan, reach)) {
            nearest = vertex;
            reach = distance(*vertex, *pointer.scan);
        }
    }
    return nearest;
}

std::optional<EdgePlace> TraceTool::edgeAt(const BoardPointer& pointer) const
{
    if (!pointer.scan)
        return std::nullopt;
    std::optional<EdgePlace> nearest;
    double reach = scanPxFor(edgeReachPx, pointer);
    for (const Outline& outline : outlines()) {
        if (const auto edge = nearestEdge(outline.parts, *pointer.scan, reach)) {
            nearest = edge;
            reach = edge->distancePx;
        }
    }
    return nearest;
}

TraceTool::Snap TraceTool::snapFor(const BoardPointer& pointer, std::optional<ScanPx> leaveOut) const
{
    Snap snap{onLattice(*pointer.scan), Snap::To::Nothing, {}, {}};
    if (pointer.modifiers & Qt::AltModifier)
        return snap; // held down, Alt sets the vertex exactly where the pointer is
    if (m_ring.vertices.size() >= 3 &&
        distance(m_ring.vertices.front(), *pointer.scan) <= scanPxFor(vertexReachPx, pointer))
        return {m_ring.vertices.front(), Snap::To::Start, {}, {}};
    if (const auto vertex = vertexAt(pointer); vertex && vertex != leaveOut)
        return {*vertex, Snap::To::Vertex, {}, {}};
    if (const auto edge = edgeAt(pointer);
        edge && (!leaveOut || (edge->from != leaveOut && edge->to != leaveOut)))
        return {edge->foot, Snap::To::Edge, edge->from, edge->to};
    return snap;
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
    m_insertions.clear();
    m_dragFrom.reset();
    m_dragTo.reset();
    if (!context.empty())
        selectOutline(0);
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
    if (!pointer.scan)
        return;
    const Snap snap = snapFor(pointer, std::nullopt);
    if (snap.to == Snap::To::Start) {
        close();
        return;
    }
    if (!m_ring.vertices.empty() && m_ring.vertices.back() == snap.at)
        return;
    if (!m_ring.vertices.empty())
        m_ring.kinds.back() = m_nextKind;
    m_ring.vertices.push_back(snap.at);
    m_ring.kinds.push_back(m_nextKind);
    if (snap.to == Snap::To::Edge)
        m_insertions.push_back({snap.edgeFrom, snap.edgeTo, snap.at});
    announce();
}

void TraceTool::press(const BoardPointer& pointer)
{
    m_pointer = pointer;
    m_pointerKnown = true;
    m_pressedAt = pointer.widget;
    if (!m_context.empty()) {
        addVertex(pointer);
        return;
    }
    m_dragFrom = vertexAt(pointer);
    m_dragTo.reset();
    if (!m_dragFrom)
        choose(pointer);
}

void TraceTool::choose(const BoardPointer& pointer)
{
    if (!pointer.scan)
        return;
    // The smallest one under the pointer: a posthole within a pit can be reached.
    const Outline* chosen = nullptr;
    for (const Outline& outline : outlines())
        if (contains(outline.parts, *pointer.scan) ||
            nearestEdge(outline.parts, *pointer.scan, scanPxFor(edgeReachPx, pointer)))
            if (!chosen || areaPx2(outline.parts) < areaPx2(chosen->parts))
                chosen = &outline;
    selectOutline(chosen ? chosen->id : 0);
}

void TraceTool::move(const BoardPointer& pointer, bool leftHeld)
{
    m_pointer = pointer;
    m_pointerKnown = true;
    if (!leftHeld || !m_dragFrom || !pointer.scan)
        return;
    const QPointF moved = pointer.widget - m_pressedAt;
    if (m_dragTo || std::hypot(moved.x(), moved.y()) >= dragStartsPx)
        m_dragTo = snapFor(pointer, m_dragFrom).at;
}

void TraceTool::release(const BoardPointer& pointer)
{
    const auto from = m_dragFrom, to = m_dragTo;
    m_dragFrom.reset();
    m_dragTo.reset();
    if (from && to && *from != *to)
        emit vertexMoved(*from, *to);
    else if (from && !to)
        choose(pointer);
}

void TraceTool::doubleClick(const BoardPointer& pointer)
{
    m_pointer = pointer;
    m_pointerKnown = true;
    if (m_context.empty())
        insertAtPointer();
    else
        addVertex(pointer);
}

void TraceTool::close()
{
    if (m_context.empty() || m_ring.vertices.empty())
        return;
    if (m_ring.vertices.size() < 3) {
        emit refused(
            tr("An outline needs at least 3 vertices; this one has %1").arg(m_ring.vertices.size()));
        return;
    }
    m_ring.kinds.back() = m_nextKind;
    // Whoever listens disarms the tool if the outline is taken; refused, it stays to be mended.
    emit ringClosed(QString::fromStdString(m_context), m_ring, m_insertions);
    announce();
}

void TraceTool::takeBackVertex()
{
    if (m_ring.vertices.empty())
        return;
    const ScanPx last = m_ring.vertices.back();
    std::erase_if(m_insertions, [&](const EdgeInsertion& insertion) { return insertion.at == last; });
    m_ring.vertices.pop_back();
    m_ring.kinds.pop_back();
    announce();
}

void TraceTool::abandon()
{
    if (m_dragFrom) {
        m_dragFrom.reset();
        m_dragTo.reset();
        board().update();
    } else if (drawing()) {
        m_ring = {};
        m_insertions.clear();
        announce();
    } else if (!m_context.empty()) {
        arm({});
    } else {
        selectOutline(0);
    }
}

void TraceTool::chooseKind(EdgeKind kind)
{
    if (!m_context.empty() || !m_pointerKnown) {
        m_nextKind = kind;
        announce();
    } else if (const auto edge = edgeAt(m_pointer)) {
        emit edgeKindSet(edge->from, edge->to, kind);
    } else {
        m_nextKind = kind;
        announce();
    }
}

void TraceTool::cycleKind()
{
    m_nextKind = static_cast<EdgeKind>((static_cast<int>(m_nextKind) + 1) % kinds);
    announce();
}

void TraceTool::insertAtPointer()
{
    if (!m_context.empty() || !m_pointerKnown || vertexAt(m_pointer))
        return;
    if (const auto edge = edgeAt(m_pointer))
        emit vertexInserted({edge->from, edge->to, edge->foot});
}

void TraceTool::removeAtPointer()
{
    if (!m_context.empty()) {
        takeBackVertex();
        return;
    }
    if (m_pointerKnown) {
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
    const bool there =
        std::ranges::any_of(outlines(), [&](const Outline& outline) { return outline.id == m_selected; });
    if (m_selected != 0 && !there)
        selectOutline(0);
}

} // namespace inkpeg
