// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/LineTool.h"

#include "app/board/Board.h"
#include "app/board/BoardPainting.h"

namespace inkpeg {
namespace {

QString nameOfPurpose(LinePurpose purpose)
{
    switch (purpose) {
    case LinePurpose::Redraw:
        return LineTool::tr("Edge drawn anew: begin and end on the outline");
    case LinePurpose::Divide:
        return LineTool::tr("Divide: from edge to edge across the outline");
    case LinePurpose::Hole:
        return LineTool::tr("Hole: click round it");
    case LinePurpose::BreakTop:
        return LineTool::tr("Top of slope: the slope falls to the right of the way");
    case LinePurpose::BreakBottom:
        return LineTool::tr("Bottom of slope");
    case LinePurpose::SectionLine:
        return LineTool::tr("Section line from A to B: the face looks to the right of the way");
    case LinePurpose::Limit:
        return LineTool::tr("Limit of excavation");
    }
    return {};
}

/// Edges of outlines have kinds; the other lines are what they are.
bool hasKinds(LinePurpose purpose)
{
    return purpose == LinePurpose::Redraw || purpose == LinePurpose::Divide || purpose == LinePurpose::Hole;
}

} // namespace

void LineTool::begin(LinePurpose purpose, std::int64_t outline)
{
    m_purpose = purpose;
    m_outline = outline;
    m_kind = EdgeKind::Certain;
    reset();
}

void LineTool::reset()
{
    m_vertices.clear();
    m_kinds.clear();
    announce();
}

void LineTool::announce()
{
    emit board().hintChanged();
    board().update();
}

std::size_t LineTool::fewest() const
{
    return m_purpose == LinePurpose::Hole ? 3 : 2;
}

void LineTool::press(const BoardPointer& pointer)
{
    m_pointer = pointer;
    m_pointerKnown = true;
    if (!pointer.scan)
        return;
    const bool closes = m_purpose == LinePurpose::Hole && m_vertices.size() >= fewest();
    const Snap snap = snapFor(board(), pointer, closes ? std::optional(m_vertices.front()) : std::nullopt);
    if (snap.to == Snap::To::Start) {
        finish();
        return;
    }
    if (!m_vertices.empty() && m_vertices.back() == snap.at)
        return;
    if (!m_vertices.empty())
        m_kinds.push_back(m_kind);
    m_vertices.push_back(snap.at);
    announce();
}

void LineTool::move(const BoardPointer& pointer, bool)
{
    m_pointer = pointer;
    m_pointerKnown = true;
}

void LineTool::doubleClick(const BoardPointer& pointer)
{
    press(pointer); // the first click of the two has set the vertex already
    finish();
}

void LineTool::finish()
{
    if (m_vertices.size() < fewest()) {
        emit refused(tr("It needs at least %1 vertices; it has %2").arg(fewest()).arg(m_vertices.size()));
        return;
    }
    // Taken, whoever listens calls for another tool; refused, the line stays to be mended.
    const std::vector<ScanPx> vertices = m_vertices;
    const std::vector<EdgeKind> kinds = m_kinds;
    emit drawn(m_purpose, m_outline, vertices, kinds);
}

void LineTool::takeBack()
{
    if (m_vertices.empty())
        return;
    m_vertices.pop_back();
    if (!m_kinds.empty())
        m_kinds.pop_back();
    announce();
}

void LineTool::giveUp()
{
    const bool empty = m_vertices.empty();
    reset();
    if (empty)
        emit givenUp();
}

void LineTool::takeKind(EdgeKind kind)
{
    m_kind = kind;
    announce();
}

void LineTool::takeNextKind()
{
    takeKind(static_cast<EdgeKind>((static_cast<int>(m_kind) + 1) % 5));
}

void LineTool::paint(QPainter& painter)
{
    board().paintTraced(painter, {m_outline, false, {}});
    const BoardPicture picture{board().scene(),        board().frame(),   board().view(),
                               QRectF(board().rect()), inkpeg::palette(), board().font()};
    const QPolygonF corners = picture.at(m_vertices);
    for (qsizetype i = 0; i + 1 < corners.size(); ++i)
        paintEdge(painter, corners[i], corners[i + 1], m_kinds[static_cast<std::size_t>(i)],
                  picture.colours.tracing, 2.4);
    painter.setPen(QPen(picture.colours.tracing, 1.8));
    painter.setBrush(picture.colours.halo);
    for (const QPointF& corner : corners)
        painter.drawRect(QRectF(corner.x() - 3.5, corner.y() - 3.5, 7, 7));
    if (!m_pointerKnown || !m_pointer.scan)
        return;
    const bool closes = m_purpose == LinePurpose::Hole && m_vertices.size() >= fewest();
    const Snap snap =
        snapFor(board(), m_pointer, closes ? std::optional(m_vertices.front()) : std::nullopt);
    if (!m_vertices.empty())
        paintEdge(painter, corners.back(), picture.at(snap.at), m_kind, picture.colours.tracing, 1.6);
    paintSnap(painter, picture, snap);
}

QString LineTool::hint() const
{
    QString text = nameOfPurpose(m_purpose);
    if (hasKinds(m_purpose))
        text += tr(" · next edge %1 (K, 1–5)").arg(QString::fromStdString(edgeKindName(m_kind)));
    return text + tr(" · Enter ends it · Backspace takes back · Esc gives up");
}

} // namespace inkpeg
