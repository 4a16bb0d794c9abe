// SPDX-License-Identifier: GPL-3.0-or-later
// What the tracing tool shows: the outlines, the ring being drawn, where the next vertex would snap to, and
// what can be done.
#include <algorithm>

#include "app/board/Board.h"
#include "app/board/BoardPainting.h"
#include "app/board/TraceTool.h"

namespace inkpeg {
namespace {

enum class SnapMark { Vertex, Edge, Junction, Line };

/// A vertex snap is a ring, an edge snap a lying cross, a junction of pencil lines a diamond, the middle of one
/// a small upright cross: shapes, not hues, tell them apart.
void paintSnap(QPainter& painter, QPointF at, SnapMark mark, const Palette& colours)
{
    for (const auto& [colour, width] : {std::pair(colours.halo, 5.0), std::pair(colours.snap, 2.2)}) {
        painter.setPen(QPen(colour, width));
        painter.setBrush(Qt::NoBrush);
        switch (mark) {
        case SnapMark::Vertex:
            painter.drawEllipse(at, 9, 9);
            break;
        case SnapMark::Edge:
            painter.drawLine(at + QPointF(-7, -7), at + QPointF(7, 7));
            painter.drawLine(at + QPointF(-7, 7), at + QPointF(7, -7));
            break;
        case SnapMark::Junction:
            painter.drawPolygon(QPolygonF({at + QPointF(-9, 0), at + QPointF(0, -9), at + QPointF(9, 0),
                                           at + QPointF(0, 9)}));
            break;
        case SnapMark::Line:
            painter.drawLine(at + QPointF(-5, 0), at + QPointF(5, 0));
            painter.drawLine(at + QPointF(0, -5), at + QPointF(0, 5));
            break;
        }
    }
}

} // namespace

void TraceTool::paintDrawing(QPainter& painter, const BoardPicture& picture) const
{
    const QPolygonF corners = picture.at(m_ring.vertices);
    for (qsizetype i = 0; i + 1 < corners.size(); ++i)
        paintEdge(painter, corners[i], corners[i + 1], m_ring.kinds[static_cast<std::size_t>(i)],
                  picture.colours.tracing, 2.4);
    painter.setPen(QPen(picture.colours.tracing, 1.8));
    for (qsizetype i = 0; i < corners.size(); ++i) {
        const double half = i == 0 ? 5 : 3.5; // the first is larger: a click on it closes the outline
        painter.setBrush(picture.colours.halo);
        painter.drawRect(QRectF(corners[i].x() - half, corners[i].y() - half, 2 * half, 2 * half));
    }
}

void TraceTool::paintHover(QPainter& painter, const BoardPicture& picture)
{
    if (!m_pointerKnown || !m_pointer.scan)
        return;
    if (m_context.empty() && !m_dragFrom) {
        if (const auto vertex = vertexAt(m_pointer))
            paintSnap(painter, picture.at(*vertex), SnapMark::Vertex, picture.colours);
        else if (const auto edge = edgeAt(m_pointer))
            paintEdge(painter, picture.at(edge->from), picture.at(edge->to), edge->kind,
                      picture.colours.snap, 3.4);
        return;
    }
    if (m_ink.encloses() && !m_context.empty() && !drawing())
        return; // a click chooses an area, not a vertex
    const Snap snap = snapFor(m_pointer, m_dragFrom);
    if (!m_context.empty() && !m_ring.vertices.empty()) {
        ScanPx from = m_ring.vertices.back();
        for (const ScanPx& vertex : m_ink.lead(from, snap.at)) {
            paintEdge(painter, picture.at(from), picture.at(vertex), m_nextKind, picture.colours.tracing, 1.6);
            from = vertex;
        }
        paintEdge(painter, picture.at(from), picture.at(snap.at), m_nextKind, picture.colours.tracing, 1.6);
    }
    if (snap.to == Snap::To::Nothing)
        return;
    const SnapMark mark = snap.to == Snap::To::Edge       ? SnapMark::Edge
                          : snap.to == Snap::To::Junction ? SnapMark::Junction
                          : snap.to == Snap::To::Line     ? SnapMark::Line
                                                          : SnapMark::Vertex;
    paintSnap(painter, picture.at(snap.at), mark, picture.colours);
}

void TraceTool::paint(QPainter& painter)
{
    const BoardPicture picture{board().scene(),        board().frame(),   board().view(),
                               QRectF(board().rect()), inkpeg::palette(), board().font()};
    for (const Outline& outline : outlines()) {
        const bool selected = outline.id == m_selected;
        if (m_dragFrom && m_dragTo) {
            Outline shown = outline;
            if (moveVertex(shown.parts, *m_dragFrom, *m_dragTo)) {
                paintOutline(painter, picture, shown, {selected, true});
                continue;
            }
        }
        paintOutline(painter, picture, outline, {selected, selected || m_dragFrom.has_value()});
    }
    m_ink.paintProposal(painter, picture);
    paintDrawing(painter, picture);
    paintHover(painter, picture);
}

QString TraceTool::drawingHint() const
{
    const QString context = tr("Context %1").arg(QString::fromStdString(m_context));
    const QString kind = QString::fromStdString(edgeKindName(m_nextKind));
    if (m_ink.proposing())
        return tr("%1 · %2 · Enter or a click inside takes it · . larger · , smaller · B gaps to %3 mm · Esc")
            .arg(context, m_ink.words())
            .arg(m_ink.gapMm());
    if (m_ink.encloses() && !drawing())
        return tr("%1 · click inside its outline (E: along it) · edge %2 (K, 1–5) · B gaps to %3 mm · %4")
            .arg(context, kind)
            .arg(m_ink.gapMm())
            .arg(m_ink.words());
    if (drawing())
        return tr("%1 · %2 (W) · next edge %3 (K, 1–5) · Enter closes · Backspace takes back · Esc gives up")
            .arg(context, m_ink.words(), kind);
    return tr("%1 · click along its edge (E: inside it) · %2 (W) · next edge %3 (K, 1–5) · Esc gives up")
        .arg(context, m_ink.words(), kind);
}

QString TraceTool::hint() const
{
    if (!m_context.empty())
        return drawingHint();
    if (m_selected != 0)
        return tr("Drag a vertex · double click or I on an edge adds one · X removes one · 1–5 edge kind · "
                  "Delete removes the outline");
    return tr("N begins the next outline · click an outline to edit it");
}

} // namespace inkpeg
