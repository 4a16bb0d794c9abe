// SPDX-License-Identifier: GPL-3.0-or-later
// What the tracing tool shows: the outlines, the ring being drawn, where the next vertex would snap to, and
// what can be done.
#include <algorithm>

#include "app/board/Board.h"
#include "app/board/BoardPainting.h"
#include "app/board/TraceTool.h"

namespace inkpeg {
namespace {

/// A vertex snap is a ring, an edge snap a lying cross: shapes, not hues, tell them apart.
void paintSnap(QPainter& painter, QPointF at, bool onVertex, const Palette& colours)
{
    for (const auto& [colour, width] : {std::pair(colours.halo, 5.0), std::pair(colours.snap, 2.2)}) {
        painter.setPen(QPen(colour, width));
        painter.setBrush(Qt::NoBrush);
        if (onVertex) {
            painter.drawEllipse(at, 9, 9);
        } else {
            painter.drawLine(at + QPointF(-7, -7), at + QPointF(7, 7));
            painter.drawLine(at + QPointF(-7, 7), at + QPointF(7, -7));
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

void TraceTool::paintHover(QPainter& painter, const BoardPicture& picture) const
{
    if (!m_pointerKnown || !m_pointer.scan)
        return;
    if (m_context.empty() && !m_dragFrom) {
        if (const auto vertex = vertexAt(m_pointer))
            paintSnap(painter, picture.at(*vertex), true, picture.colours);
        else if (const auto edge = edgeAt(m_pointer))
            paintEdge(painter, picture.at(edge->from), picture.at(edge->to), edge->kind,
                      picture.colours.snap, 3.4);
        return;
    }
    const Snap snap = snapFor(m_pointer, m_dragFrom);
    if (!m_context.empty() && !m_ring.vertices.empty())
        paintEdge(painter, picture.at(m_ring.vertices.back()), picture.at(snap.at), m_nextKind,
                  picture.colours.tracing, 1.6);
    if (snap.to != Snap::To::Nothing)
        paintSnap(painter, picture.at(snap.at), snap.to != Snap::To::Edge, picture.colours);
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
    paintDrawing(painter, picture);
    paintHover(painter, picture);
}

QString TraceTool::hint() const
{
    const QString kind = QString::fromStdString(edgeKindName(m_nextKind));
    if (drawing())
        return tr("Context %1 · next edge %2 (K, 1–5) · Enter closes · Backspace takes back · Esc gives up")
            .arg(QString::fromStdString(m_context), kind);
    if (!m_context.empty())
        return tr("Context %1 · click along its edge · next edge %2 (K, 1–5) · Esc gives up")
            .arg(QString::fromStdString(m_context), kind);
    if (m_selected != 0)
        return tr("Drag a vertex · double click or I on an edge adds one · X removes one · 1–5 edge kind · "
                  "Delete removes the outline");
    return tr("N begins the next outline · click an outline to edit it");
}

} // namespace inkpeg
