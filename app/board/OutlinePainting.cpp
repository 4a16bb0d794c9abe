// SPDX-License-Identifier: GPL-3.0-or-later
// Outlines, their edge kinds, and what lies around on the ground.
#include <algorithm>

#include <QPainterPath>

#include "app/board/BoardPainting.h"
#include "core/outline/LinePattern.h"

namespace inkpeg {
namespace {

/// A millimetre of a pattern on the screen: patterns are made for paper, a screen needs them a little
/// larger.
constexpr double pxPerPatternMm = 5.0;

/// A number would hide an outline smaller than this.
constexpr double leastPxForNumber = 16;

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

void paintPlace(QPainter& painter, const BoardPicture& picture, const NamedPlace& place, bool peg)
{
    const QPointF at = picture.at(place.at);
    if (!picture.widget.adjusted(-40, -40, 40, 40).contains(at))
        return;
    // They lie on film and desk alike, so in the colours of film, with a halo.
    const QColor colour = peg ? picture.colours.pinFit : picture.colours.pinCheck;
    QPolygonF mark;
    if (peg)
        mark << at + QPointF(0, -8) << at + QPointF(7, 5) << at + QPointF(-7, 5);
    else
        mark << at + QPointF(0, -4) << at + QPointF(4, 0) << at + QPointF(0, 4) << at + QPointF(-4, 0);
    painter.setPen(QPen(picture.colours.halo, 1.5));
    painter.setBrush(colour);
    painter.drawPolygon(mark);
    // Finds are many: their numbers come up when there is room.
    if (peg || picture.view.scale() > 120)
        paintLabel(painter, picture, at + QPointF(10, 0), QString::fromStdString(place.name), colour);
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
    for (const PaperLine& stroke : strokes.lines) {
        QPolygonF drawn;
        for (const FilmMm& at : stroke)
            drawn << onScreen(at);
        painter.drawPolyline(drawn);
    }
    for (const auto& [from, to] : strokes.ticks)
        painter.drawLine(onScreen(from), onScreen(to));
}

void paintEdge(QPainter& painter, QPointF from, QPointF to, EdgeKind kind, const QColor& colour,
               double widthPx)
{
    paintLine(painter, QPolygonF{from, to}, false, kind, colour, widthPx);
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
        const QRectF about = path.boundingRect();
        if (!look.selected && std::max(about.width(), about.height()) < leastPxForNumber)
            continue;
        const QFontMetricsF metrics(picture.font);
        QRectF box(0, 0, metrics.horizontalAdvance(number), metrics.height());
        box.moveCenter(middleOf(picture.at(part.outer.vertices)));
        box = clearOfPins(box, picture);
        paintLabel(painter, picture, {box.left(), box.center().y()}, number, colour);
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
        const QPolygonF limit = picture.at(trench.ring);
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(picture.colours.halo, 4.5));
        painter.drawPolygon(limit);
        painter.setPen(QPen(picture.colours.pinLeftOut, 2.4, Qt::DashDotLine));
        painter.drawPolygon(limit);
        if (!limit.isEmpty())
            paintLabel(painter, picture, limit.first() + QPointF(8, -12),
                       QString::fromStdString(trench.name), picture.colours.pinLeftOut);
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
