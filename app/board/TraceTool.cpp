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

TraceTool::TraceTool(Board& board) : BoardTool(board), m_ink(this)
{
    connect(&m_ink, &InkTracing::changed, this, &TraceTool::announce);
    connect(&m_ink.guide(), &InkGuide::failed, this, &TraceTool::refused);
}

void TraceTool::readInk()
{
    if (board().scene().drawing)
        m_ink.guide().read(*board().scene().drawing);
}

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
    if (const auto pencil = m_ink.snapFor(*pointer.scan, scanPxFor(vertexReachPx, pointer)))
        return {pencil->at,
                pencil->to == InkTracing::SnapTo::Junction ? Snap::To::Junction : Snap::To::Line,
                {},
                {}};
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
    m_clicked.clear();
    m_insertions.clear();
    m_ink.dropProposal();
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
        for (const ScanPx& vertex : m_ink.between(m_ring.vertices.back(), snap.at))
            push(vertex);
    push(snap.at);
    m_clicked.push_back(m_ring.vertices.size());
    if (snap.to == Snap::To::Edge)
        m_insertions.push_back({snap.edgeFrom, snap.edgeTo, snap.at});
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
    if (!pointer.scan)
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
    // Whoever listens disarms the tool if the outline is taken; refused, it stays to be mended.
    emit ringClosed(QString::fromStdString(m_context), ring, {});
    announce();
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
    else if (!m_ink.encloses() || drawing())
        addVertex(pointer);
}

void TraceTool::close()
{
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
    Ring ring = m_ring;
    ring.kinds.back() = m_nextKind;
    ring.vertices.insert(ring.vertices.end(), home.begin(), home.end());
    ring.kinds.resize(ring.vertices.size(), m_nextKind);
    // Whoever listens disarms the tool if the outline is taken; refused, it stays to be mended.
    emit ringClosed(QString::fromStdString(m_context), ring, m_insertions);
    announce();
}

void TraceTool::takeBackVertex()
{
    if (m_ring.vertices.empty())
        return;
    const ScanPx last = m_ring.vertices.back();
    std::erase_if(m_insertions, [&](const EdgeInsertion& insertion) { return insertion.at == last; });
    m_clicked.pop_back();
    m_ring.vertices.resize(m_clicked.empty() ? 0 : m_clicked.back());
    m_ring.kinds.resize(m_ring.vertices.size());
    announce();
}

void TraceTool::abandon()
{
    if (m_dragFrom) {
        m_dragFrom.reset();
        m_dragTo.reset();
        board().update();
    } else if (m_ink.proposing()) {
        m_ink.dropProposal();
        announce();
    } else if (drawing()) {
        m_ring = {};
        m_clicked.clear();
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
