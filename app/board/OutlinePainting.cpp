// SPDX-License-Identifier: GPL-3.0-or-later
// Outlines and their edge kinds.
#include <algorithm>

#include <QPainterPath>

#include "app/board/BoardPainting.h"
#include "core/outline/LinePattern.h"

namespace inkpeg {
namespace {

/// A millimetre of a pattern on the screen: patterns are made for paper, a screen needs them a little
/// larger.
constexpr double pxPerPatternMm = 5.0;

/// An outline's lines, vertices and ticks reach so far beyond it.
constexpr double beyondPx = 16;

/// In an outline smaller than this no pattern can be read.
constexpr double leastPxForPattern = 10;

void paintRing(QPainter& painter, const BoardPicture& picture, const Ring& ring, const QColor& colour,
               double width)
{
    const QPolygonF corners = picture.at(ring.vertices);
    for (const KindStretch& stretch : kindStretches(ring.kinds)) {
        QPolygonF line;
        for (const std::size_t i : stretch.vertices)
            line << corners[static_cast<qsizetype>(i)];
        paintLine(painter, line, stretch.closed, stretch.kind, colour, width);
    }
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

void paintSmall(QPainter& painter, const QPainterPath& path, const QColor& colour)
{
    painter.setPen(QPen(colour, 1));
    painter.setBrush(Qt::NoBrush);
    painter.drawPath(path);
}

void paintPart(QPainter& painter, const BoardPicture& picture, const Part& part, const QPainterPath& path,
               OutlineLook look)
{
    const QColor colour = look.selected ? picture.colours.outlineSelected : picture.colours.outline;
    QColor wash = colour;
    wash.setAlphaF(look.selected ? 0.20F : 0.10F);
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
}

/// Where a number may stand: the mean of the vertices, good enough for a label.
QPointF middleOf(const QPolygonF& corners)
{
    QPointF sum;
    for (const QPointF& corner : corners)
        sum += corner;
    return corners.isEmpty() ? sum : sum / static_cast<double>(corners.size());
}

/// The number's box, moved below any pin and pin's name that would cover it.
QRectF clearOfPins(QRectF number, const BoardPicture& picture)
{
    constexpr double markPx = 16, besidePx = 17, abovePx = 24;
    if (!picture.scene.drawing)
        return number;
    const QFontMetricsF metrics(picture.font);
    for (const Pin& pin : picture.scene.drawing->pins) {
        const QPointF at = picture.at(pin.mark);
        const double right = besidePx + metrics.horizontalAdvance(QString::fromStdString(pin.peg));
        if (QRectF(at - QPointF(markPx, abovePx), at + QPointF(right, markPx)).intersects(number))
            number.moveTop(at.y() + markPx);
    }
    return number;
}

QRectF numberBox(const BoardPicture& picture, const std::string& context, QPointF middle)
{
    const QFontMetricsF metrics(picture.font);
    QRectF box(0, 0, metrics.horizontalAdvance(QString::fromStdString(context)), metrics.height());
    box.moveCenter(middle);
    return clearOfPins(box, picture).adjusted(-4, -4, 4, 4);
}

void paintNumber(QPainter& painter, const BoardPicture& picture, const std::string& context, QPointF middle,
                 const QColor& colour)
{
    const QRectF box = numberBox(picture, context, middle);
    if (box.intersects(picture.wanted()))
        paintLabel(painter, picture, {box.left() + 4, box.center().y()}, QString::fromStdString(context),
                   colour);
}

} // namespace

void paintLine(QPainter& painter, const QPolygonF& corners, bool closed, EdgeKind kind,
               const QColor& colour, double widthPx)
{
    painter.setPen(QPen(colour, widthPx, Qt::SolidLine, Qt::FlatCap, Qt::RoundJoin));
    painter.setBrush(Qt::NoBrush);
    const LinePattern pattern = patternOf(kind);
    if (pattern.dashesMm.empty()) {
        if (closed)
            painter.drawPolygon(corners);
        else
            painter.drawPolyline(corners);
        return;
    }
    PaperLine line;
    for (const QPointF& corner : corners)
        line.push_back({corner.x() / pxPerPatternMm, corner.y() / pxPerPatternMm});
    const auto onScreen = [](FilmMm at) { return QPointF(at.x, at.y) * pxPerPatternMm; };
    const PatternStrokes strokes = layPattern(line, closed, pattern);
    QPainterPath drawn; // all at once: many times quicker than stroke by stroke
    for (const PaperLine& stroke : strokes.lines) {
        drawn.moveTo(onScreen(stroke.front()));
        for (const FilmMm& at : stroke)
            drawn.lineTo(onScreen(at));
    }
    for (const auto& [from, to] : strokes.ticks) {
        drawn.moveTo(onScreen(from));
        drawn.lineTo(onScreen(to));
    }
    painter.drawPath(drawn);
}

void paintEdge(QPainter& painter, QPointF from, QPointF to, EdgeKind kind, const QColor& colour,
               double widthPx)
{
    paintLine(painter, QPolygonF{from, to}, false, kind, colour, widthPx);
}

void paintOutline(QPainter& painter, const BoardPicture& picture, const Outline& outline, OutlineLook look)
{
    const QColor colour = look.selected ? picture.colours.outlineSelected : picture.colours.outline;
    for (const Part& part : outline.parts) {
        QPainterPath path;
        path.setFillRule(Qt::OddEvenFill);
        const QPolygonF corners = picture.at(part.outer.vertices);
        path.addPolygon(corners);
        for (const Ring& hole : part.holes)
            path.addPolygon(picture.at(hole.vertices));
        const QRectF about = path.boundingRect();
        const double size = std::max(about.width(), about.height());
        if (!look.selected && size < leastPxForPattern)
            paintSmall(painter, path, colour);
        else if (about.adjusted(-beyondPx, -beyondPx, beyondPx, beyondPx).intersects(picture.wanted()))
            paintPart(painter, picture, part, path, look);
        if (look.selected || size >= leastPxForNumber)
            paintNumber(painter, picture, outline.context, middleOf(corners), colour);
    }
}

QRectF placeOf(const BoardPicture& picture, const Outline& outline)
{
    QRectF place;
    for (const Part& part : outline.parts) {
        const QPolygonF corners = picture.at(part.outer.vertices);
        place |= corners.boundingRect().adjusted(-beyondPx, -beyondPx, beyondPx, beyondPx) |
                 numberBox(picture, outline.context, middleOf(corners));
    }
    return place;
}

} // namespace inkpeg
