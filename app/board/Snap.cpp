// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/Snap.h"

#include <algorithm>
#include <set>

#include <QCoreApplication>

#include "app/board/Board.h"
#include "app/board/BoardPainting.h"

namespace inkpeg {
namespace {

/// A course of the drawing that is no outline: limits of excavation of the trench, and drawn lines.
template<typename Visit>
void forEachLine(const BoardDrawing& drawing, Visit visit)
{
    for (const std::vector<ScanPx>& limit : drawing.limits)
        visit(limit, true, EdgeKind::LimitOfExcavation);
    for (const EdgeLine& line : drawing.lines)
        if (line.kind != LineKind::SectionLine)
            visit(line.vertices, false,
                  line.kind == LineKind::LimitOfExcavation ? EdgeKind::LimitOfExcavation
                                                           : EdgeKind::Certain);
}

std::optional<ScanPx> nearestOnLines(const BoardDrawing& drawing, ScanPx position, double reachPx)
{
    std::optional<ScanPx> nearest;
    double least = reachPx;
    forEachLine(drawing, [&](const std::vector<ScanPx>& line, bool closed, EdgeKind) {
        for (std::size_t i = 0; i + (closed ? 0 : 1) < line.size(); ++i) {
            const ScanPx a = line[i], b = line[(i + 1) % line.size()];
            const FootOnEdge foot = footOnEdge(position, a, b);
            if (foot.distancePx > least)
                continue;
            least = foot.distancePx;
            nearest = onLattice(
                {a.column + foot.along * (b.column - a.column), a.row + foot.along * (b.row - a.row)});
        }
    });
    return nearest;
}

/// True if more than two different edges go from a vertex.
bool isJunction(const BoardDrawing& drawing, ScanPx vertex)
{
    std::set<std::pair<double, double>> ends;
    for (const std::int64_t id : drawing.index->meeting(boxAbout(vertex, 0)))
        if (const Outline* outline = drawing.outlines.byId(id))
            forEachEdge(std::span<const Part>(outline->parts), [&](ScanPx a, ScanPx b, EdgeKind) {
                if (a == vertex)
                    ends.emplace(b.column, b.row);
                else if (b == vertex)
                    ends.emplace(a.column, a.row);
            });
    return ends.size() > 2;
}

QString nameOfSnap(Snap::To to)
{
    switch (to) {
    case Snap::To::Nothing:
        break;
    case Snap::To::Start:
        return QCoreApplication::translate("Snap", "closes here");
    case Snap::To::Junction:
        return QCoreApplication::translate("Snap", "junction");
    case Snap::To::Vertex:
        return QCoreApplication::translate("Snap", "vertex");
    case Snap::To::Edge:
        return QCoreApplication::translate("Snap", "edge");
    case Snap::To::Line:
        return QCoreApplication::translate("Snap", "line");
    case Snap::To::InkJunction:
        return QCoreApplication::translate("Snap", "pencil junction");
    case Snap::To::Ink:
        return QCoreApplication::translate("Snap", "pencil");
    }
    return {};
}

void paintShape(QPainter& painter, QPointF at, Snap::To to)
{
    switch (to) {
    case Snap::To::Nothing:
        break;
    case Snap::To::Start:
        painter.drawRect(QRectF(at.x() - 8, at.y() - 8, 16, 16));
        break;
    case Snap::To::Junction:
        painter.drawEllipse(at, 2, 2);
        painter.drawEllipse(at, 9, 9);
        break;
    case Snap::To::Vertex:
        painter.drawEllipse(at, 9, 9);
        break;
    case Snap::To::Edge:
        painter.drawLine(at + QPointF(-7, -7), at + QPointF(7, 7));
        painter.drawLine(at + QPointF(-7, 7), at + QPointF(7, -7));
        break;
    case Snap::To::Line:
        painter.drawLine(at + QPointF(-9, 0), at + QPointF(9, 0));
        painter.drawLine(at + QPointF(0, -9), at + QPointF(0, 9));
        break;
    case Snap::To::InkJunction:
        painter.drawPolygon(
            QPolygonF({at + QPointF(-9, 0), at + QPointF(0, -9), at + QPointF(9, 0), at + QPointF(0, 9)}));
        break;
    case Snap::To::Ink:
        painter.drawLine(at + QPointF(-5, 0), at + QPointF(5, 0));
        painter.drawLine(at + QPointF(0, -5), at + QPointF(0, 5));
        break;
    }
}

} // namespace

double scanReach(const Board& board, const BoardPointer& pointer, double widgetPx)
{
    const std::optional<ScanPx> beside = board.scanOfWidget(pointer.widget + QPointF(widgetPx, 0));
    return beside && pointer.scan ? distance(*beside, *pointer.scan) : 0;
}

Snap snapFor(const Board& board, const BoardPointer& pointer, std::optional<ScanPx> start,
             std::optional<ScanPx> leaveOut)
{
    Snap free{onLattice(*pointer.scan)};
    if (pointer.modifiers & Qt::AltModifier || !board.scene().drawing)
        return free;
    const BoardDrawing& drawing = *board.scene().drawing;
    const ScanPx at = *pointer.scan;
    const double vertexReach = scanReach(board, pointer, vertexReachPx);
    if (start && distance(*start, at) <= vertexReach)
        return {*start, Snap::To::Start};
    if (const auto vertex = drawing.index->nearestVertex(at, vertexReach, leaveOut))
        return {vertex->at, isJunction(drawing, vertex->at) ? Snap::To::Junction : Snap::To::Vertex};
    const double edgeReach = scanReach(board, pointer, edgeReachPx);
    if (const auto edge = drawing.index->nearestEdge(at, edgeReach, leaveOut))
        return {edge->foot, Snap::To::Edge, edge->from, edge->to};
    if (const auto line = nearestOnLines(drawing, at, edgeReach))
        return {*line, Snap::To::Line};
    return free;
}

std::optional<Course> stretchBetween(const Board& board, ScanPx a, ScanPx b)
{
    std::optional<Course> shortest;
    double least = 0;
    const auto take = [&](const Course& course) {
        std::optional<Course> stretch = stretchOf(course, a, b, KnitReachPx);
        if (!stretch)
            return;
        double length = 0;
        for (std::size_t i = 0; i + 1 < stretch->vertices.size(); ++i)
            length += distance(stretch->vertices[i], stretch->vertices[i + 1]);
        if (!shortest || length < least) {
            least = length;
            shortest = std::move(stretch);
        }
    };
    if (!board.scene().drawing)
        return shortest;
    const BoardDrawing& drawing = *board.scene().drawing;
    for (const std::int64_t id : drawing.index->meeting(boxAbout(a, KnitReachPx)))
        if (const Outline* outline = drawing.outlines.byId(id))
            forEachRing(std::span<const Part>(outline->parts),
                        [&](const Ring& ring) { take(courseOf(ring)); });
    forEachLine(drawing, [&](const std::vector<ScanPx>& line, bool closed, EdgeKind kind) {
        if (line.size() < 2)
            return;
        Course course{{}, {}, closed};
        for (const ScanPx& vertex : line)
            course.vertices.push_back(onLattice(vertex));
        course.kinds.assign(closed ? line.size() : line.size() - 1, kind);
        take(course);
    });
    return shortest;
}

void paintSnap(QPainter& painter, const BoardPicture& picture, const Snap& snap)
{
    if (snap.to == Snap::To::Nothing)
        return;
    const QPointF at = picture.at(snap.at);
    painter.setBrush(Qt::NoBrush);
    for (const auto& [colour, width] :
         {std::pair(picture.colours.halo, 5.0), std::pair(picture.colours.snap, 2.2)}) {
        painter.setPen(QPen(colour, width));
        paintShape(painter, at, snap.to);
    }
    paintLabel(painter, picture, at + QPointF(14, 14), nameOfSnap(snap.to), picture.colours.snap);
}

} // namespace inkpeg
