// SPDX-License-Identifier: GPL-3.0-or-later
// What lies around the drawing at hand on the ground: other pinned drawings, trenches, finds and pegs.
#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>

#include "app/board/DrawnPainting.h"

namespace inkpeg {
namespace {

/// A name reaches so far to either side of what it names.
constexpr double nameReachPx = 160, markReachPx = 40;

QRectF placeOf(const BoardPicture& picture, const GroundBox& box)
{
    return QRectF(picture.at(GroundM{box.west, box.south}), picture.at(GroundM{box.east, box.north}))
        .normalized();
}

/// The outlines of neighbours that the wanted part shows. They are many: looked through on the ground, where
/// their boxes are, and only what is found is brought onto the widget.
template<typename Visit>
void forEachOutline(const BoardPicture& picture, const Neighbour& neighbour, Visit visit)
{
    const QRectF wanted = picture.wanted().adjusted(-2.5, -2.5, 2.5, 2.5);
    GroundBox there;
    for (const QPointF& corner : {wanted.topLeft(), wanted.bottomRight()})
        there.take(picture.frame.groundOfScene(picture.view.toScene(corner)));
    if (!neighbour.outlinesBox.meets(there))
        return;
    for (const BoxedRing& outline : neighbour.outlines)
        if (outline.box.meets(there) && !visit(outline, placeOf(picture, outline.box)))
            return;
}

/// A ring of dots or dashes, which begin anew at its corners, as far as the wanted part may show it: laying
/// them along an edge that runs on far beyond takes long.
void paintDotted(QPainter& painter, const BoardPicture& picture, const QPen& pen, const QPolygonF& ring)
{
    painter.setPen(pen);
    double periodPx = 0;
    for (const double dashOrGap : pen.dashPattern())
        periodPx += dashOrGap * pen.widthF();
    const QRectF wanted = picture.wanted();
    const double reachPx = std::hypot(wanted.width(), wanted.height()) / 2 + periodPx;
    for (qsizetype i = 0; i < ring.size(); ++i) {
        const QPointF from = ring[i], edge = ring[(i + 1) % ring.size()] - from;
        const double lengthPx = std::hypot(edge.x(), edge.y());
        if (lengthPx == 0)
            continue;
        const QPointF way = edge / lengthPx, middle = wanted.center() - from;
        const double along = QPointF::dotProduct(middle, way);
        const double first = std::max(0.0, std::floor((along - reachPx) / periodPx) * periodPx);
        const double last = std::min(lengthPx, along + reachPx);
        const double beside = std::abs(middle.x() * way.y() - middle.y() * way.x());
        if (first < last && beside < reachPx)
            painter.drawLine(from + way * first, from + way * last);
    }
}

bool isUprightAtHand(const BoardPicture& picture)
{
    return picture.scene.drawing && isUpright(picture.scene.drawing->record.kind);
}

void paintNeighbour(QPainter& painter, const BoardPicture& picture, const Neighbour& neighbour)
{
    const QPolygonF sheet = picture.at(neighbour.sheet.ring);
    constexpr double nameHeightPx = 40;
    if (!sheet.isEmpty() &&
        sheet.boundingRect().adjusted(-2, -nameHeightPx, nameReachPx, 2).intersects(picture.wanted())) {
        paintDotted(painter, picture, QPen(picture.colours.neighbour, 1.2, Qt::DotLine), sheet);
        painter.drawText(sheet.first() + QPointF(6, -6), QString::fromStdString(neighbour.sheet.name));
    }
    painter.setPen(QPen(picture.colours.neighbour, 1.4));
    QPolygonF dots;
    forEachOutline(picture, neighbour, [&](const BoxedRing& outline, const QRectF& place) {
        if (std::max(place.width(), place.height()) < dotPx)
            dots << place.center();
        else
            painter.drawPolygon(picture.at(outline.named.ring));
        return true;
    });
    paintDots(painter, dots, picture.colours.neighbour);
}

void paintPlace(QPainter& painter, const BoardPicture& picture, const NamedPlace& place, bool peg)
{
    const QPointF at = picture.at(place.at);
    if (!picture.wanted().adjusted(-nameReachPx, -markReachPx, nameReachPx, markReachPx).contains(at))
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
    QPointF besideIt = at + QPointF(10, 0);
    if (peg) {
        const QRectF box = pegNameBox(picture, place);
        besideIt = {box.left(), box.center().y()};
    }
    // Finds are many: their numbers come up when there is room.
    if (peg || picture.view.scale() > 120)
        paintLabel(painter, picture, besideIt, QString::fromStdString(place.name), colour);
}

} // namespace

void Neighbour::addOutline(NamedRing ring)
{
    const GroundBox box = boxOf(ring.ring);
    for (const GroundM& corner : ring.ring)
        outlinesBox.take(corner);
    outlines.push_back({std::move(ring), box});
}

std::vector<NamedPlace> pegSpots(const BoardScene& scene)
{
    // A peg that is pinned on the drawing at hand is named by its pin, if that has a place on the ground.
    const auto isPinned = [&](const NamedPlace& peg) {
        return scene.drawing && scene.drawing->ground &&
               std::ranges::any_of(scene.drawing->pins,
                                   [&](const Pin& pin) { return pin.peg == peg.name; });
    };
    const auto eastOf = [](const NamedPlace& peg) { return peg.at.east; };
    std::vector<NamedPlace> pegs;
    std::ranges::remove_copy_if(scene.pegs, std::back_inserter(pegs), isPinned);
    std::ranges::stable_sort(pegs, {}, eastOf);
    std::vector<NamedPlace> spots;
    for (const NamedPlace& peg : pegs) {
        constexpr double spotM = 0.05;
        const auto near = std::ranges::lower_bound(spots, peg.at.east - spotM, {}, eastOf);
        const auto spot = std::find_if(near, spots.end(), [&](const NamedPlace& one) {
            return std::abs(one.at.north - peg.at.north) <= spotM;
        });
        if (spot == spots.end())
            spots.push_back(peg);
        else
            spot->name += ", " + peg.name;
    }
    return spots;
}

QRectF pegNameBox(const BoardPicture& picture, const NamedPlace& peg)
{
    const QFontMetricsF metrics(picture.font);
    const QSizeF size(metrics.horizontalAdvance(QString::fromStdString(peg.name)), metrics.height());
    const QPointF at = picture.at(peg.at);
    const auto centredAt = [&](double right, double down) {
        return QRectF(at + QPointF(right, down) - QPointF(size.width(), size.height()) / 2, size);
    };
    const double beside = 10 + size.width() / 2, above = 10 + size.height() / 2;
    const std::array places{centredAt(beside, 0), centredAt(-beside, 0), centredAt(0, above),
                            centredAt(0, -above)};
    const auto isFree = [&](const QRectF& place) {
        return !hasPlace(picture) || std::ranges::none_of(picture.scene.drawing->pins, [&](const Pin& pin) {
            return std::ranges::any_of(roomOfPin(picture, pin),
                                       [&](const QRectF& covered) { return covered.intersects(place); });
        });
    };
    const auto free = std::ranges::find_if(places, isFree);
    return free == places.end() ? places.front() : *free;
}

std::size_t workOfSurroundings(const BoardPicture& picture, std::size_t most)
{
    std::size_t work = 0;
    if (isUprightAtHand(picture))
        return work;
    for (const Neighbour& neighbour : picture.scene.neighbours)
        forEachOutline(picture, neighbour, [&](const BoxedRing& outline, const QRectF& place) {
            work += std::max(place.width(), place.height()) < dotPx ? 1 : outline.named.ring.size();
            return work <= most;
        });
    return work;
}

void paintSurroundings(QPainter& painter, const BoardPicture& picture)
{
    painter.setFont(picture.font);
    painter.setBrush(Qt::NoBrush);
    if (isUprightAtHand(picture))
        return; // distance and level: nothing of the plan has a place there
    for (const Neighbour& neighbour : picture.scene.neighbours)
        paintNeighbour(painter, picture, neighbour);
    for (const NamedRing& trench : picture.scene.trenches) {
        const QPolygonF limit = picture.at(trench.ring);
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(picture.colours.halo, 4.5));
        painter.drawPolygon(limit);
        paintDotted(painter, picture, QPen(picture.colours.pinLeftOut, 2.4, Qt::DashDotLine), limit);
        if (!limit.isEmpty())
            paintLabel(painter, picture, limit.first() + QPointF(8, -12),
                       QString::fromStdString(trench.name), picture.colours.pinLeftOut);
    }
    for (const NamedPlace& find : picture.scene.finds)
        paintPlace(painter, picture, find, false);
    for (const NamedPlace& peg : pegSpots(picture.scene))
        paintPlace(painter, picture, peg, true);
}

} // namespace inkpeg
