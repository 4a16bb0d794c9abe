// SPDX-License-Identifier: GPL-3.0-or-later
// Sections on the ground: the line with its ends, the way it faces, and a bar for each context along it.
#include <cmath>

#include "app/board/BoardPainting.h"

namespace inkpeg {
namespace {

constexpr double LanePx = 14;
constexpr double LeastLabelPx = 34;

/// To the side of the line where the reader stands, at right angles in the widget.
QPointF sideOf(const QPolygonF& line)
{
    const QPointF along = line.last() - line.first();
    const double length = std::hypot(along.x(), along.y());
    return length > 0 ? QPointF(-along.y(), along.x()) / length : QPointF(0, 1);
}

void paintSpan(QPainter& painter, const BoardPicture& picture, const DrawnSpan& span, QPointF side)
{
    const QPolygonF bar = picture.at(span.line).translated(side * (LanePx * (span.lane + 1.2)));
    painter.setPen(QPen(picture.colours.halo, 6, Qt::SolidLine, Qt::FlatCap));
    painter.drawPolyline(bar);
    painter.setPen(QPen(picture.colours.outline, 3, Qt::SolidLine, Qt::FlatCap));
    painter.drawPolyline(bar);
    for (const QPointF& end : {bar.first(), bar.last()}) {
        painter.setPen(QPen(picture.colours.outline, 1.4));
        painter.drawLine(end - side * 3.5, end + side * 3.5);
    }
    const QPointF reach = bar.last() - bar.first();
    if (std::hypot(reach.x(), reach.y()) >= LeastLabelPx)
        paintLabel(painter, picture, (bar.first() + bar.last()) / 2 - QPointF(14, 0),
                   QString::fromStdString(span.context), picture.colours.ink);
}

} // namespace

void paintPosts(QPainter& painter, const BoardPicture& picture)
{
    QColor fill = picture.colours.find;
    fill.setAlphaF(0.25F);
    for (const NamedRing& post : picture.scene.posts) {
        const QPolygonF outline = picture.at(post.ring);
        painter.setPen(QPen(picture.colours.find, 1.8));
        painter.setBrush(QBrush(fill, Qt::Dense4Pattern));
        painter.drawPolygon(outline);
        const QRectF bounds = outline.boundingRect();
        if (bounds.width() + bounds.height() >= LeastLabelPx)
            paintLabel(painter, picture, QPointF(bounds.right() + 3, bounds.center().y()),
                       QString::fromStdString(post.name), picture.colours.find);
    }
}

void paintSectionTraces(QPainter& painter, const BoardPicture& picture)
{
    for (const SectionTrace& trace : picture.scene.traces) {
        const QPolygonF line = picture.at(trace.line);
        if (line.size() < 2)
            continue;
        const QPointF side = sideOf(line);
        painter.setPen(QPen(picture.colours.halo, 6));
        painter.drawPolyline(line);
        painter.setPen(QPen(picture.colours.peg, 2.2, Qt::DashDotLine));
        painter.drawPolyline(line);
        for (const DrawnSpan& span : trace.spans)
            paintSpan(painter, picture, span, side);
        // The face looks back at the reader: a tick at either end, towards the side it is read from.
        painter.setPen(QPen(picture.colours.peg, 2.2));
        for (const QPointF& end : {line.first(), line.last()})
            painter.drawLine(end, end + side * 8);
        const QString name = QString::fromStdString(trace.drawing);
        paintLabel(painter, picture, line.first() - side * 12 - QPointF(26, 0), name + " A",
                   picture.colours.peg);
        paintLabel(painter, picture, line.last() - side * 12, "B", picture.colours.peg);
    }
}

} // namespace inkpeg
