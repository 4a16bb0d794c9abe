// SPDX-License-Identifier: GPL-3.0-or-later
// All that lies drawn upon the film, or as much of it as a part of the board shows.
#include "app/board/DrawnPainting.h"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace inkpeg {
namespace {

/// Where a box lies on the widget; under a fit that bends, near enough.
QRectF placeOf(const BoardPicture& picture, const ScanBox& box)
{
    const ScanPx corners[] = {
        {box.left, box.top}, {box.right, box.top}, {box.right, box.bottom}, {box.left, box.bottom}};
    QPolygonF place;
    for (const ScanPx& corner : corners)
        place << picture.at(corner);
    return place.boundingRect();
}

bool isDot(const QRectF& place)
{
    return std::max(place.width(), place.height()) < dotPx;
}

/// As far as anything of an outline there is painted: none but larger ones have a number.
QRectF reachOf(const QRectF& place)
{
    const double reach =
        std::max(place.width(), place.height()) < leastPxForNumber ? 2 * dotPx : numberReachPx;
    return place.adjusted(-reach, -reach, reach, reach);
}

ScanBox everywhereOr(const std::optional<ScanBox>& box)
{
    return box.value_or(ScanBox{-1e12, -1e12, 1e12, 1e12});
}

/// Visits outlines that the wanted part may show, by rising id: those that lie there, and with `numbers`
/// also those large enough to have a number that reaches in.
template<typename Visit>
void forEachOutline(const BoardPicture& picture, bool numbers, Visit visit)
{
    const BoardDrawing& drawing = *picture.scene.drawing;
    const ScanBox there = everywhereOr(scanInView(picture, 2 * dotPx));
    const ScanBox around = numbers ? everywhereOr(scanInView(picture, numberReachPx)) : there;
    if (!drawing.index) {
        for (const Outline& outline : drawing.outlines)
            if (const ScanBox box = boxOf(outline.parts); box.meets(around) && !visit(outline, box))
                return;
        return;
    }
    std::vector<std::int64_t> ids = drawing.index->meeting(there);
    if (numbers) {
        const double leastSidePx =
            leastPxForNumber / (picture.view.scale() * picture.frame.sceneUnitsPerScanPx());
        const std::vector<std::int64_t> large = drawing.index->meeting(around, leastSidePx / 2);
        std::vector<std::int64_t> both;
        std::ranges::set_union(ids, large, std::back_inserter(both));
        ids = std::move(both);
    }
    for (const std::int64_t id : ids)
        if (const Outline* outline = drawing.outlines.byId(id))
            if (!visit(*outline, boxOf(outline->parts)))
                return;
}

bool inPlan(const BoardScene& scene)
{
    return !scene.drawing || !scene.drawing->ground || !scene.drawing->ground->section;
}

constexpr std::size_t workPerVertex = 8; ///< where a dot is 1

std::size_t workOfOutlines(const BoardPicture& picture, std::size_t most)
{
    const std::shared_ptr<const OutlineIndex>& index = picture.scene.drawing->index;
    if (index && index->moreMeetThan(most, everywhereOr(scanInView(picture, 2 * dotPx))))
        return most + 1;
    std::size_t work = 0;
    forEachOutline(picture, false, [&](const Outline& outline, const ScanBox& box) {
        std::size_t vertices = 0;
        forEachRing(std::span<const Part>(outline.parts),
                    [&](const Ring& ring) { vertices += ring.vertices.size(); });
        work += isDot(placeOf(picture, box)) ? 1 : workPerVertex * vertices;
        return work <= most;
    });
    return work;
}

} // namespace

bool hasPlace(const BoardPicture& picture)
{
    return picture.scene.drawing &&
           (picture.frame.side() == BoardSide::Film || picture.scene.drawing->ground);
}

std::size_t workIn(const BoardPicture& picture, std::size_t most)
{
    std::size_t work = 0;
    if (picture.frame.side() == BoardSide::Ground && inPlan(picture.scene))
        work += workOfSurroundings(picture, most);
    if (hasPlace(picture) && work <= most)
        work += workOfOutlines(picture, most - work);
    return work;
}

void paintDrawn(QPainter& painter, const BoardPicture& picture, const DrawnLook& look,
                const std::atomic<bool>* stop)
{
    const bool ground = picture.frame.side() == BoardSide::Ground;
    // A section on the ground lies in its own plane, where nothing of the plans has a place.
    if (ground && inPlan(picture.scene)) {
        paintSurroundings(painter, picture);
        paintSectionTraces(painter, picture);
    }
    if (ground)
        paintPosts(painter, picture);
    if (!hasPlace(picture))
        return;
    QPolygonF dots;
    forEachOutline(picture, true, [&](const Outline& outline, const ScanBox& box) {
        if (std::ranges::count(look.leftOut, outline.id) > 0)
            return true;
        const QRectF place = placeOf(picture, box);
        if (isDot(place))
            dots << place.center();
        else if (reachOf(place).intersects(picture.wanted()))
            paintOutline(painter, picture, outline, {});
        return !(stop && *stop);
    });
    paintDots(painter, dots, picture.colours.outline);
    if (look.withMarks)
        paintMarks(painter, picture);
}

void paintVertices(QPainter& painter, const BoardPicture& picture, const DrawnLook& look)
{
    constexpr std::size_t most = workPerVertex * mostVerticesShown;
    if (!look.withVertices || !hasPlace(picture) || workOfOutlines(picture, most) > most)
        return;
    forEachOutline(picture, false, [&](const Outline& outline, const ScanBox& box) {
        const QRectF place = placeOf(picture, box);
        if (outline.id == look.selected || std::ranges::count(look.leftOut, outline.id) > 0 ||
            std::max(place.width(), place.height()) < leastPxForNumber)
            return true;
        paintVertexSquares(painter, picture, outline.parts, picture.colours.outline);
        return true;
    });
}

void paintSelected(QPainter& painter, const BoardPicture& picture, const DrawnLook& look)
{
    if (!hasPlace(picture) || std::ranges::count(look.leftOut, look.selected) > 0)
        return;
    if (const Outline* outline = picture.scene.drawing->outlines.byId(look.selected))
        paintOutline(painter, picture, *outline, {true, true});
}

} // namespace inkpeg
