// SPDX-License-Identifier: GPL-3.0-or-later
// What the tracing tool shows: the outlines, the ring being drawn, where the next vertex would snap to, and
// what can be done.
#include <algorithm>

#include <QPainterPath>

#include "app/board/Board.h"
#include "app/board/BoardPainting.h"
#include "app/board/TraceTool.h"

namespace inkpeg {

void TraceTool::paintDrawing(QPainter& painter, const BoardPicture& picture) const
{
    const QPolygonF corners = picture.at(m_ring.vertices);
    for (qsizetype i = 0; i + 1 < corners.size();) {
        // One pattern over all edges of a kind.
        const EdgeKind kind = m_ring.kinds[static_cast<std::size_t>(i)];
        QPolygonF stretch{corners[i]};
        for (; i + 1 < corners.size() && m_ring.kinds[static_cast<std::size_t>(i)] == kind; ++i)
            stretch << corners[i + 1];
        paintLine(painter, stretch, false, kind, picture.colours.tracing, 2.4);
    }
    painter.setPen(QPen(picture.colours.tracing, 1.8));
    for (qsizetype i = 0; i < corners.size(); ++i) {
        const double half = i == 0 ? 5 : 3.5; // the first is larger: a click on it closes the outline
        painter.setBrush(picture.colours.halo);
        painter.drawRect(QRectF(corners[i].x() - half, corners[i].y() - half, 2 * half, 2 * half));
    }
}

/// What would be taken off is struck through, what is kept is drawn over; each change has its number.
void TraceTool::paintMending(QPainter& painter, const BoardPicture& picture) const
{
    const auto pathOf = [&](const std::vector<Part>& parts) {
        QPainterPath path;
        path.setFillRule(Qt::OddEvenFill);
        for (const Part& part : parts) {
            path.addPolygon(picture.at(part.outer.vertices));
            path.closeSubpath();
            for (const Ring& hole : part.holes)
                path.addPolygon(picture.at(hole.vertices));
        }
        return path;
    };
    for (const MendedOutline& outline : m_mending->mendings) {
        painter.setPen(QPen(picture.colours.bad, 1.5));
        painter.setBrush(QBrush(picture.colours.bad, Qt::DiagCrossPattern));
        painter.drawPath(pathOf(outline.mended.takenOff));
        painter.setBrush(QBrush(picture.colours.good, Qt::HorPattern));
        painter.drawPath(pathOf(outline.mended.addedOn));
    }
    for (const DrawnOutline& outline : m_mending->outlines) {
        Outline shown;
        shown.context = outline.context;
        shown.parts = outline.parts;
        paintOutline(painter, picture, shown, {true, true});
    }
    double down = -15;
    for (const MendedOutline& outline : m_mending->mendings)
        for (const MendStep& step : outline.mended.steps) {
            const QPointF at = picture.at(step.at);
            painter.setPen(QPen(picture.colours.bad, 2));
            painter.setBrush(Qt::NoBrush);
            painter.drawEllipse(at, 11, 11);
            paintLabel(painter, picture, at + QPointF(15, down), QString::fromStdString(step.words),
                       picture.colours.bad);
            down += 15;
        }
}

/// The edges that the ring would share with what is drawn already.
void TraceTool::paintJoining(QPainter& painter, const BoardPicture& picture) const
{
    for (const auto& [colour, width] :
         {std::pair(picture.colours.halo, 7.0), std::pair(picture.colours.snap, 3.4)}) {
        painter.setPen(QPen(colour, width, Qt::SolidLine, Qt::RoundCap));
        for (const auto& [from, to] : m_joining.with.edges)
            painter.drawLine(picture.at(from), picture.at(to));
    }
}

void TraceTool::paintRun(QPainter& painter, const BoardPicture& picture) const
{
    QPolygonF corners;
    for (const ScanPx& vertex : m_run) {
        const bool moves = dragsRun() && m_dragTo;
        corners << picture.at(moves ? ScanPx{vertex.column + m_dragTo->column - m_dragFrom->column,
                                             vertex.row + m_dragTo->row - m_dragFrom->row}
                                    : vertex);
    }
    painter.setBrush(picture.colours.snap);
    for (const auto& [colour, width] :
         {std::pair(picture.colours.halo, 7.0), std::pair(picture.colours.snap, 3.4)}) {
        painter.setPen(QPen(colour, width, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
        painter.drawPolyline(corners);
        for (const QPointF& end : {corners.first(), corners.last()})
            painter.drawEllipse(end, 4, 4);
    }
}

void TraceTool::paintHover(QPainter& painter, const BoardPicture& picture)
{
    if (!m_pointerKnown || !m_pointer.scan || m_mending)
        return;
    if (m_context.empty() && !m_dragFrom && !m_dragMark) {
        if (const auto mark = markUnder(m_pointer))
            paintSnap(painter, picture, {mark->at, Snap::To::Start});
        else if (vertexAt(m_pointer))
            paintSnap(painter, picture, snapFor(board(), m_pointer));
        else if (const auto edge = edgeAt(m_pointer))
            paintEdge(painter, picture.at(edge->from), picture.at(edge->to), edge->kind,
                      picture.colours.snap, 3.4);
        return;
    }
    if (m_ink.encloses() && !m_context.empty() && !drawing())
        return; // a click chooses an area, not a vertex
    const Snap snap = snapAt(m_pointer);
    if (!m_context.empty() && !m_ring.vertices.empty())
        paintLead(painter, picture, snap.at);
    paintSnap(painter, picture, snap);
}

/// The line from the last vertex to the pointer, along the pencil.
void TraceTool::paintLead(QPainter& painter, const BoardPicture& picture, ScanPx to)
{
    std::vector<ScanPx> way{m_ring.vertices.back()};
    const std::vector<ScanPx>& led = m_ink.lead(way.front(), to);
    way.insert(way.end(), led.begin(), led.end());
    way.push_back(to);
    paintLine(painter, picture.at(way), false, m_nextKind, picture.colours.tracing, 1.6);
}

/// The outlines that hold what is being dragged, as they would be.
void TraceTool::paintDragged(QPainter& painter, const BoardPicture& picture,
                             const std::vector<std::int64_t>& holders) const
{
    const ScanPx by{m_dragTo->column - m_dragFrom->column, m_dragTo->row - m_dragFrom->row};
    for (const std::int64_t id : holders) {
        const Outline* outline = picture.scene.drawing->outlines.byId(id);
        if (!outline)
            continue;
        Outline shown = *outline;
        forEachRing(shown.parts, [&](Ring& ring) {
            for (ScanPx& vertex : ring.vertices)
                if (dragsRun() ? std::ranges::count(m_run, vertex) > 0 : vertex == *m_dragFrom)
                    vertex = {vertex.column + by.column, vertex.row + by.row};
        });
        paintOutline(painter, picture, shown, {id == m_selected, true});
    }
}

void TraceTool::paint(QPainter& painter)
{
    const BoardPicture picture{board().scene(),        board().frame(),   board().view(),
                               QRectF(board().rect()), inkpeg::palette(), board().font()};
    std::vector<std::int64_t> dragged;
    if (m_mending && m_mending->ofEdit)
        for (const DrawnOutline& outline : m_mending->outlines)
            dragged.push_back(outline.id);
    if (m_dragFrom && m_dragTo && picture.scene.drawing)
        dragged = holdersOf(dragsRun() ? m_run : Run{*m_dragFrom});
    board().paintTraced(painter, {m_selected, m_dragFrom.has_value(), dragged});
    if (m_dragFrom && m_dragTo)
        paintDragged(painter, picture, dragged);
    if (!m_run.empty())
        paintRun(painter, picture);
    m_ink.paintProposal(painter, picture);
    paintJoining(painter, picture);
    if (m_mending)
        paintMending(painter, picture);
    else
        paintDrawing(painter, picture);
    paintHover(painter, picture);
}

QString TraceTool::joiningWords() const
{
    QStringList contexts;
    for (const std::string& context : m_joining.with.contexts)
        contexts << QString::fromStdString(context);
    return contexts.isEmpty() ? QString() : tr("shares edges with %1").arg(contexts.join(", "));
}

QString TraceTool::drawingHint() const
{
    const QString context = tr("Context %1").arg(QString::fromStdString(m_context));
    const QString kind = QString::fromStdString(edgeKindName(m_nextKind));
    if (m_mending)
        return tr("%1 as it would be mended · Enter takes it · Backspace goes back to the ring")
            .arg(context);
    if (m_ink.proposing()) {
        const QString what = m_joining.with.contexts.empty()
                                 ? m_ink.words()
                                 : m_ink.words() + " · " + joiningWords() + tr(" (Alt+click: as drawn)");
        return tr("%1 · %2 · Enter or a click inside takes it · “.” larger · “,” smaller · B gaps to %3 mm · "
                  "Esc")
            .arg(context, what)
            .arg(m_ink.gapMm());
    }
    if (m_ink.encloses() && !drawing())
        return tr("%1 · click inside its outline (E: along it) · edge %2 (K, 1–5) · B gaps to %3 mm · %4")
            .arg(context, kind)
            .arg(m_ink.gapMm())
            .arg(m_ink.words());
    if (drawing() && !m_joining.with.contexts.empty())
        return tr("%1 · %2 (W) · shares edges with %3 · Enter closes · Backspace takes back · Esc gives up")
            .arg(context, m_ink.words(), joiningWords());
    if (drawing())
        return tr("%1 · %2 (W) · next edge %3 (K, 1–5) · Shift+E along an edge · Enter closes, Shift+Enter "
                  "along the limit · Backspace takes back · Esc gives up")
            .arg(context, m_ink.words(), kind);
    return tr("%1 · click along its edge (E: inside it) · %2 (W) · next edge %3 (K, 1–5) · Esc gives up")
        .arg(context, m_ink.words(), kind);
}

QString TraceTool::hint() const
{
    if (m_mending && m_mending->ofEdit)
        return tr(
            "The edit as it would be mended · Enter takes it · Esc or Backspace leaves all as it was");
    if (!m_context.empty())
        return drawingHint();
    if (m_run.size() > 1)
        return tr("Run of %1 vertices · drag moves it · X takes out what lies between · 1–5 edge kind · "
                  "Shift+W the other way round · Esc lets go")
            .arg(m_run.size());
    if (m_run.size() == 1)
        return tr("Shift and a click on another vertex choose the run up to there");
    if (m_selected != 0)
        return tr(
            "Drag a vertex · double click or I adds one · X removes · Shift and clicks choose a run · D "
            "divides · H hole · J joins, U cuts out of what is under the pointer · R draws an edge anew");
    return tr("N begins the next outline · click an outline to edit it · M measures · L levels");
}

} // namespace inkpeg
