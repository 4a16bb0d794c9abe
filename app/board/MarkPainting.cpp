// SPDX-License-Identifier: GPL-3.0-or-later
// What is drawn beside outlines: breaks of slope and their hachures, section lines, limits of excavation,
// levels, finds, samples, timbers, notes.
#include <algorithm>
#include <cmath>

#include "app/board/BoardPainting.h"
#include "core/outline/Hachures.h"

namespace inkpeg {
namespace {

std::vector<FilmMm> onFilm(const BoardDrawing& drawing, const EdgeLine& line)
{
    std::vector<FilmMm> film;
    for (const ScanPx& vertex : line.vertices)
        film.push_back(drawing.film.toFilm(vertex));
    return film;
}

void paintHachures(QPainter& painter, const BoardPicture& picture)
{
    const BoardDrawing& drawing = *picture.scene.drawing;
    std::vector<SlopeBreak> breaks;
    for (const EdgeLine& line : drawing.lines)
        if (line.kind == LineKind::BreakTop || line.kind == LineKind::BreakBottom)
            breaks.push_back({line.context, line.kind == LineKind::BreakTop, onFilm(drawing, line)});
    std::vector<LevelOnPaper> levels;
    for (const SpotLevel& level : drawing.levels)
        levels.push_back({drawing.film.toFilm(level.mark), level.levelM});
    painter.setPen(Qt::NoPen);
    painter.setBrush(picture.colours.outline);
    const auto onScreen = [&](FilmMm at) { return picture.at(drawing.film.toScan(at)); };
    for (const SlopeBreak& top : breaks)
        if (top.isTop)
            for (const Hachure& hachure :
                 hachuresBelow(top, breaks, levels, drawing.record.scaleDenominator, LevelReachMm)) {
                const auto wedge = hachure.wedge();
                painter.drawPolygon(QPolygonF{onScreen(wedge[0]), onScreen(wedge[1]), onScreen(wedge[2])});
            }
}

/// Ends with a stroke across, their letters, and an arrow the way the face looks: right of A to B.
void paintSectionLine(QPainter& painter, const BoardPicture& picture, const EdgeLine& line)
{
    const QPolygonF corners = picture.at(line.vertices);
    const QColor colour = picture.colours.tracing;
    painter.setPen(QPen(colour, 1.8, Qt::SolidLine, Qt::FlatCap));
    painter.drawPolyline(corners);
    const QStringList letters = QString::fromStdString(line.label).split('-');
    const auto unit = [](QPointF from, QPointF to) {
        const QPointF way = to - from;
        const double length = std::hypot(way.x(), way.y());
        return length > 0 ? way / length : QPointF(1, 0);
    };
    for (const bool first : {true, false}) {
        const QPointF end = first ? corners.first() : corners.last();
        const QPointF way =
            first ? unit(corners[0], corners[1]) : unit(corners[corners.size() - 2], corners.last());
        const QPointF right(-way.y(), way.x()); // the screen's y runs down
        painter.setPen(QPen(colour, 1.8));
        painter.drawLine(end - right * 7, end + right * 14);
        painter.setBrush(colour);
        painter.drawPolygon(
            QPolygonF{end + right * 20, end + right * 12 + way * 4, end + right * 12 - way * 4});
        const QString letter = letters.value(first ? 0 : letters.size() - 1);
        const double half = QFontMetricsF(picture.font).horizontalAdvance(letter) / 2;
        paintLabel(painter, picture, end + way * (first ? -14 : 14) - QPointF(half, 0), letter, colour);
    }
}

void paintLevel(QPainter& painter, const BoardPicture& picture, const SpotLevel& level)
{
    const QPointF at = picture.at(level.mark);
    const QPolygonF mark{at, at + QPointF(-6, -9), at + QPointF(6, -9)};
    painter.setPen(QPen(picture.colours.halo, 4));
    painter.drawPolyline(mark);
    painter.setPen(QPen(picture.colours.outline, 1.6));
    painter.setBrush(Qt::NoBrush);
    painter.drawPolygon(mark);
    paintLabel(painter, picture, at + QPointF(9, -6), QString::number(level.levelM, 'f', 2),
               picture.colours.outline);
}

void paintPoint(QPainter& painter, const BoardPicture& picture, const DrawnPoint& point)
{
    const QPointF at = picture.at(point.mark);
    if (point.kind == PointKind::Note) {
        paintLabel(painter, picture, at, QString::fromStdString(point.text), picture.colours.tracing);
        return;
    }
    for (const auto& [colour, width] :
         {std::pair(picture.colours.halo, 4.5), std::pair(picture.colours.tracing, 1.8)}) {
        painter.setPen(QPen(colour, width));
        painter.setBrush(Qt::NoBrush);
        if (point.kind == PointKind::Find)
            painter.drawPolygon(QPolygonF{at + QPointF(0, -7), at + QPointF(6, 5), at + QPointF(-6, 5)});
        else if (point.kind == PointKind::Sample)
            painter.drawRect(QRectF(at.x() - 5, at.y() - 5, 10, 10));
        else
            painter.drawEllipse(at, 6, 6);
        painter.drawPoint(at);
    }
    paintLabel(painter, picture, at + QPointF(11, 0), QString::fromStdString(point.number),
               picture.colours.tracing);
}

} // namespace

void paintMarks(QPainter& painter, const BoardPicture& picture)
{
    if (!picture.scene.drawing)
        return;
    const BoardDrawing& drawing = *picture.scene.drawing;
    for (const EdgeLine& line : drawing.lines) {
        if (line.vertices.size() < 2)
            continue;
        if (line.kind == LineKind::SectionLine) {
            paintSectionLine(painter, picture, line);
            continue;
        }
        const EdgeKind pattern = line.kind == LineKind::LimitOfExcavation ? EdgeKind::LimitOfExcavation
                                 : line.kind == LineKind::BreakBottom     ? EdgeKind::Uncertain
                                                                          : EdgeKind::Certain;
        paintLine(painter, picture.at(line.vertices), false, pattern, picture.colours.outline, 1.5);
    }
    paintHachures(painter, picture);
    for (const SpotLevel& level : drawing.levels)
        paintLevel(painter, picture, level);
    for (const DrawnPoint& point : drawing.points)
        paintPoint(painter, picture, point);
}

} // namespace inkpeg
