// SPDX-License-Identifier: GPL-3.0-or-later
// Sections on the ground: the line with its ends, the way it faces, and a bar for each context along it.
#include "app/board/BoardPainting.h"
#include "app/board/TraceLayout.h"

namespace inkpeg {
namespace {

constexpr double LeastLabelPx = 34;

void paintBar(QPainter& painter, const BoardPicture& picture, const QPolygonF& bar,
              const TraceOnScreen& trace)
{
    painter.setPen(QPen(picture.colours.halo, trace.barPx + 3, Qt::SolidLine, Qt::FlatCap));
    painter.drawPolyline(bar);
    painter.setPen(QPen(picture.colours.outline, trace.barPx, Qt::SolidLine, Qt::FlatCap));
    painter.drawPolyline(bar);
    painter.setPen(QPen(picture.colours.outline, 1.4));
    const QPointF half = trace.side * (trace.barPx + 0.5);
    for (const QPointF& end : {bar.first(), bar.last()})
        painter.drawLine(end - half, end + half);
}

} // namespace

void paintPosts(QPainter& painter, const BoardPicture& picture)
{
    QColor fill = picture.colours.pinCheck;
    fill.setAlphaF(0.25F);
    for (const NamedRing& post : picture.scene.posts) {
        const QPolygonF outline = picture.at(post.ring);
        painter.setPen(QPen(picture.colours.pinCheck, 1.8));
        painter.setBrush(QBrush(fill, Qt::Dense4Pattern));
        painter.drawPolygon(outline);
        const QRectF bounds = outline.boundingRect();
        if (bounds.width() + bounds.height() >= LeastLabelPx)
            paintLabel(painter, picture, QPointF(bounds.right() + 3, bounds.center().y()),
                       QString::fromStdString(post.name), picture.colours.pinCheck);
    }
}

void paintSectionTraces(QPainter& painter, const BoardPicture& picture)
{
    const std::vector<TraceOnScreen> traces = layTraces(picture);
    for (const TraceOnScreen& trace : traces) {
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(picture.colours.halo, 6));
        painter.drawPolyline(trace.line);
        painter.setPen(QPen(picture.colours.pinFit, 2.2, Qt::DashDotLine));
        painter.drawPolyline(trace.line);
        for (const QPolygonF& bar : trace.bars)
            paintBar(painter, picture, bar, trace);
        // The face looks back at the reader: a tick at either end, towards the side it is read from.
        painter.setPen(QPen(picture.colours.pinFit, 2.2));
        for (const QPointF& end : {trace.line.first(), trace.line.last()})
            painter.drawLine(end, end + trace.side * 8);
    }
    for (const TraceOnScreen& trace : traces)
        for (const TraceWord& word : trace.words)
            paintLabel(painter, picture, {word.box.left(), word.box.center().y()}, word.text,
                       word.isName ? picture.colours.pinFit : picture.colours.ink);
}

} // namespace inkpeg
