// SPDX-License-Identifier: GPL-3.0-or-later
// Outlines, their edge kinds, and what lies around on the ground.
#include <algorithm>
#include <cmath>

#include <QPainterPath>

#include "app/board/BoardPainting.h"

namespace inkpeg {
namespace {

QList<qreal> dashesOf(EdgeKind kind)
{
    switch (kind) {
    case EdgeKind::Certain:
        return {};
    case EdgeKind::Uncertain:
        return {5, 3.5};
    case EdgeKind::Truncated:
        return {7, 3, 1, 3};
    case EdgeKind::LimitOfExcavation:
        return {12, 3};
    case EdgeKind::BeyondTheSheet:
        return {1, 3};
    }
    return {};
}

void paintRing(QPainter& painter, const BoardPicture& picture, const Ring& ring, const QColor& colour,
               double width)
{
    const QPolygonF corners = picture.at(ring.vertices);
    const auto count = static_cast<qsizetype>(ring.vertices.size());
    for (qsizetype i = 0; i < count; ++i)
        paintEdge(painter, corners[i], corners[(i + 1) % count], ring.kinds[static_cast<std::size_t>(i)],
                  colour, width);
}

void paintVertices(QPainter& painter, const BoardPicture& picture, const Ring& ring, const QColor& colour)
{
    painter.setPen(QPen(colour, 1.5));
    painter.setBrush(picture.colours.halo);
    for (const ScanPx& vertex : ring.vertices) {
        const QPointF at = picture.at(vertex);
        painter.drawRect(QRectF(at.x() - 3.5, at.y() - 3.5, 7, 7));
    }
}

/// Where a number may stand: the mean of the vertices, good enough for a label.
QPointF middleOf(const QPolygonF& corners)
{
    QPointF sum;
    for (const QPointF& corner : corners)
        sum += corner;
    return corners.isEmpty() ? sum : sum / static_cast<double>(corners.size());
}

void paintPlace(QPainter& painter, const BoardPicture& picture, const NamedPlace& place, bool peg)
{
    const QPointF at = picture.at(place.at);
    if (!picture.widget.adjusted(-40, -40, 40, 40).contains(at))
        return;
    const QColor colour = peg ? picture.colours.peg : picture.colours.find;
    QPolygonF mark;
    if (peg)
        mark << at + QPointF(0, -8) << at + QPointF(7, 5) << at + QPointF(-7, 5);
    else
        mark << at + QPointF(0, -4) << at + QPointF(4, 0) << at + QPointF(0, 4) << at + QPointF(-4, 0);
    painter.setPen(QPen(picture.colours.halo, 1.5));
    painter.setBrush(colour);
    painter.drawPolygon(mark);
    // Finds are many: their numbers come up when there is room.
    if (peg || picture.view.scale() > 120) {
        painter.setPen(colour);
        painter.setFont(picture.font);
        painter.drawText(at + QPointF(10, 5), QString::fromStdString(place.name));
    }
}

} // namespace

void paintEdge(QPainter& painter, QPointF from, QPointF to, EdgeKind kind, const QColor& colour,
               double widthPx)
{
    QPen pen(colour, widthPx, Qt::SolidLine, Qt::FlatCap);
    const QList<qreal> dashes = dashesOf(kind);
    if (!dashes.isEmpty()) {
        QList<qreal> scaled; // Qt counts dashes in pen widths; ours are in pixels
        for (const qreal dash : dashes)
            scaled << dash * 1.6 / widthPx;
        pen.setDashPattern(scaled);
    }
    painter.setPen(pen);
    painter.drawLine(from, to);
    if (kind != EdgeKind::LimitOfExcavation)
        return;
    const QPointF along = to - from;
    const double length = std::hypot(along.x(), along.y());
    if (length < 12)
        return;
    const QPointF across = QPointF(-along.y(), along.x()) / length * 5;
    painter.setPen(QPen(colour, widthPx));
    for (double at = 12; at < length; at += 24)
        painter.drawLine(from + along * (at / length) - across, from + along * (at / length) + across);
}

void paintOutline(QPainter& painter, const BoardPicture& picture, const Outline& outline, OutlineLook look)
{
    const QColor colour = look.selected ? picture.colours.outlineSelected : picture.colours.outline;
    QColor wash = colour;
    wash.setAlphaF(look.selected ? 0.20F : 0.10F);
    for (const Part& part : outline.parts) {
        QPainterPath path;
        path.setFillRule(Qt::OddEvenFill);
        path.addPolygon(picture.at(part.outer.vertices));
        for (const Ring& hole : part.holes)
            path.addPolygon(picture.at(hole.vertices));
        painter.fillPath(path, wash);
        const double width = look.selected ? 3.0 : 2.0;
        paintRing(painter, picture, part.outer, colour, width);
        for (const Ring& hole : part.holes)
            paintRing(painter, picture, hole, colour, width);
        if (look.withVertices) {
            paintVertices(painter, picture, part.outer, colour);
            for (const Ring& hole : part.holes)
                paintVertices(painter, picture, hole, colour);
        }
        const QString number = QString::fromStdString(outline.context);
        const double half = QFontMetricsF(picture.font).horizontalAdvance(number) / 2;
        paintLabel(painter, picture, middleOf(picture.at(part.outer.vertices)) - QPointF(half, 0), number,
                   colour);
    }
}

void paintSurroundings(QPainter& painter, const BoardPicture& picture)
{
    painter.setFont(picture.font);
    painter.setBrush(Qt::NoBrush);
    const bool upright = picture.scene.drawing && isUpright(picture.scene.drawing->record.kind);
    if (upright)
        return; // distance and level: nothing of the plan has a place there
    for (const Neighbour& neighbour : picture.scene.neighbours) {
        painter.setPen(QPen(picture.colours.neighbour, 1.2, Qt::DotLine));
        const QPolygonF sheet = picture.at(neighbour.sheet.ring);
        painter.drawPolygon(sheet);
        if (!sheet.isEmpty())
            painter.drawText(sheet.first() + QPointF(6, -6), QString::fromStdString(neighbour.sheet.name));
        painter.setPen(QPen(picture.colours.neighbour, 1.4));
        for (const NamedRing& outline : neighbour.outlines)
            painter.drawPolygon(picture.at(outline.ring));
    }
    for (const NamedRing& trench : picture.scene.trenches) {
        painter.setPen(QPen(picture.colours.trench, 2.4, Qt::DashDotLine));
        const QPolygonF limit = picture.at(trench.ring);
        painter.drawPolygon(limit);
        if (!limit.isEmpty())
            painter.drawText(limit.first() + QPointF(8, -8), QString::fromStdString(trench.name));
    }
    for (const NamedPlace& find : picture.scene.finds)
        paintPlace(painter, picture, find, false);
    // A peg that is pinned on the drawing at hand is named by its pin.
    const auto isPinned = [&](const NamedPlace& peg) {
        return picture.scene.drawing &&
               std::ranges::any_of(picture.scene.drawing->pins,
                                   [&](const Pin& pin) { return pin.peg == peg.name; });
    };
    for (const NamedPlace& peg : picture.scene.pegs)
        if (!isPinned(peg))
            paintPlace(painter, picture, peg, true);
}

} // namespace inkpeg
