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

/// An outline's lines, vertices and ticks reach so far beyond it: half a tick (6 px), and its smoothing.
constexpr double beyondPx = 9;

/// In an outline smaller than this no pattern can be read.
constexpr double leastPxForPattern = 10;

QRectF withLines(const QRectF& place)
{
    return place.adjusted(-beyondPx, -beyondPx, beyondPx, beyondPx);
}

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
    if (look.withVertices)
        paintVertexSquares(painter, picture, std::span(&part, 1), colour);
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

QRectF placeOfPart(const BoardPicture& picture, const Part& part, const std::string& context)
{
    const QPolygonF corners = picture.at(part.outer.vertices);
    return withLines(corners.boundingRect()) | numberBox(picture, context, middleOf(corners));
}

using EdgeMarks = std::vector<bool>; ///< one for each edge of a ring

/// Marks the edges beside those that are marked, and all of a pattern that any of these has a share in: it
/// is laid anew over its whole length.
EdgeMarks withPatterns(const Ring& ring, const EdgeMarks& changed)
{
    const std::size_t edges = changed.size();
    EdgeMarks marked = changed;
    for (std::size_t i = 0; i < edges; ++i)
        if (changed[i])
            marked[(i + 1) % edges] = marked[(i + edges - 1) % edges] = true;
    const auto runOn = [&](std::size_t edge, std::size_t next) {
        if (marked[edge] && ring.kinds[edge] == ring.kinds[next] &&
            !patternOf(ring.kinds[edge]).dashesMm.empty())
            marked[next] = true;
    };
    for (std::size_t step = 0; step < 2 * edges; ++step) // twice: a pattern may run on over the ring's end
        runOn(step % edges, (step + 1) % edges);
    for (std::size_t step = 2 * edges; step > 0; --step)
        runOn(step % edges, (step - 1) % edges);
    return marked;
}

QRectF placeOfEdges(const BoardPicture& picture, const Ring& ring, const EdgeMarks& marked)
{
    QPolygonF ends;
    for (std::size_t i = 0; i < marked.size(); ++i)
        if (marked[i])
            ends << picture.at(ring.vertices[i]) << picture.at(ring.vertices[(i + 1) % marked.size()]);
    return ends.isEmpty() ? QRectF() : withLines(ends.boundingRect());
}

/// Where two states of a ring show apart. Between their lines lies what is washed in one of them alone.
QRectF placeOfChange(const BoardPicture& picture, const Ring& was, const Ring& is)
{
    const std::size_t edgesWas = was.vertices.size(), edgesIs = is.vertices.size();
    const std::size_t fewer = std::min(edgesWas, edgesIs);
    const auto same = [&](std::size_t a, std::size_t b) {
        return was.kinds[a] == is.kinds[b] && was.vertices[a] == is.vertices[b] &&
               was.vertices[(a + 1) % edgesWas] == is.vertices[(b + 1) % edgesIs];
    };
    EdgeMarks changedWas(edgesWas, true), changedIs(edgesIs, true);
    const auto compare = [&](std::size_t a, std::size_t b) {
        if (same(a, b))
            changedWas[a] = changedIs[b] = false;
        return !changedWas[a];
    };
    std::size_t first = 0, last = 0;
    while (first < fewer && (compare(first, first) || edgesWas == edgesIs))
        ++first;
    while (first + last < fewer && compare(edgesWas - 1 - last, edgesIs - 1 - last))
        ++last;
    return placeOfEdges(picture, was, withPatterns(was, changedWas)) |
           placeOfEdges(picture, is, withPatterns(is, changedIs));
}

/// Adds where two states of a part show apart; false if that is not to be told piece by piece, as when one
/// of them is so small that it is painted another way.
bool addPartChange(const BoardPicture& picture, const Part& was, const Part& is,
                   const std::string& contextWas, const std::string& contextIs, std::vector<QRectF>& places)
{
    const QPolygonF cornersWas = picture.at(was.outer.vertices), cornersIs = picture.at(is.outer.vertices);
    for (const QRectF& about : {cornersWas.boundingRect(), cornersIs.boundingRect()})
        if (std::max(about.width(), about.height()) < leastPxForNumber)
            return false;
    if (was.holes.size() != is.holes.size())
        return false;
    const auto add = [&](const QRectF& place) {
        if (!place.isNull())
            places.push_back(place);
    };
    add(placeOfChange(picture, was.outer, is.outer));
    for (std::size_t i = 0; i < is.holes.size(); ++i)
        add(placeOfChange(picture, was.holes[i], is.holes[i]));
    const QRectF numberWas = numberBox(picture, contextWas, middleOf(cornersWas));
    const QRectF numberIs = numberBox(picture, contextIs, middleOf(cornersIs));
    if (contextWas != contextIs || numberWas != numberIs)
        add(numberWas | numberIs);
    return true;
}

} // namespace

void paintVertexSquares(QPainter& painter, const BoardPicture& picture, std::span<const Part> parts,
                        const QColor& colour)
{
    constexpr double sidePx = 7;
    QList<QRectF> squares;
    forEachRing(parts, [&](const Ring& ring) {
        for (const ScanPx& vertex : ring.vertices)
            squares.push_back(
                QRectF(picture.at(vertex) - QPointF(sidePx, sidePx) / 2, QSizeF(sidePx, sidePx)));
    });
    painter.setPen(QPen(colour, 1.5));
    painter.setBrush(picture.colours.halo);
    painter.drawRects(squares);
}

void paintLine(QPainter& painter, const QPolygonF& corners, bool closed, EdgeKind kind,
               const QColor& colour, double widthPx)
{
    painter.setPen(QPen(colour, widthPx, Qt::SolidLine, Qt::FlatCap, Qt::SvgMiterJoin));
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
        else if (withLines(about).intersects(picture.wanted()))
            paintPart(painter, picture, part, path, look);
        if (look.selected || size >= leastPxForNumber)
            paintNumber(painter, picture, outline.context, middleOf(corners), colour);
    }
}

QRectF placeOf(const BoardPicture& picture, const Outline& outline)
{
    QRectF place;
    for (const Part& part : outline.parts)
        place |= placeOfPart(picture, part, outline.context);
    return place;
}

std::vector<QRectF> placesOfChange(const BoardPicture& picture, const Outline& was, const Outline& is)
{
    std::vector<QRectF> places;
    bool pieceByPiece = was.parts.size() == is.parts.size();
    for (std::size_t i = 0; pieceByPiece && i < is.parts.size(); ++i)
        pieceByPiece = addPartChange(picture, was.parts[i], is.parts[i], was.context, is.context, places);
    if (pieceByPiece)
        return places;
    return {placeOf(picture, was) | placeOf(picture, is)};
}

} // namespace inkpeg
