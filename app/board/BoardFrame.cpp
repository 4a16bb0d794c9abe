// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/BoardFrame.h"

#include <cmath>

namespace inkpeg {
namespace {

/// Some place near everything, so that differences from it are small.
GroundM originOf(const BoardScene& scene)
{
    const auto whole = [](GroundM at) { return GroundM{std::round(at.east), std::round(at.north)}; };
    if (scene.drawing && scene.drawing->ground) {
        const BoardDrawing& drawing = *scene.drawing;
        return whole(drawing.ground->toGround({drawing.widthPx / 2.0, drawing.heightPx / 2.0}));
    }
    if (!scene.pegs.empty())
        return whole(scene.pegs.front().at);
    if (!scene.trenches.empty() && !scene.trenches.front().ring.empty())
        return whole(scene.trenches.front().ring.front());
    return {};
}

/// The smallest rectangle around points; a single point has an empty one.
class Extent {
public:
    void add(QPointF point)
    {
        m_rect =
            m_any
                ? QRectF(QPointF(std::min(m_rect.left(), point.x()), std::min(m_rect.top(), point.y())),
                         QPointF(std::max(m_rect.right(), point.x()), std::max(m_rect.bottom(), point.y())))
                : QRectF(point, QSizeF(0, 0));
        m_any = true;
    }
    QRectF rect() const { return m_rect; }

private:
    QRectF m_rect;
    bool m_any = false;
};

} // namespace

BoardFrame::BoardFrame(const BoardScene& scene, BoardSide side) : m_side(side)
{
    if (scene.drawing) {
        m_film = scene.drawing->film;
        m_ground = scene.drawing->ground;
    }
    m_origin = originOf(scene);
    m_unitsPerPx = MillimetresPerInch / m_film.dpiX;
    if (side == BoardSide::Ground && m_ground) {
        const ScanPx middle{m_film.widthPx / 2, m_film.heightPx / 2};
        m_unitsPerPx =
            distance(m_ground->toGround(middle), m_ground->toGround({middle.column + 1, middle.row}));
    }
}

QPointF BoardFrame::sceneOfGround(GroundM ground) const
{
    return {ground.east - m_origin.east, -(ground.north - m_origin.north)};
}

GroundM BoardFrame::groundOfScene(QPointF scene) const
{
    return {scene.x() + m_origin.east, -scene.y() + m_origin.north};
}

QPointF BoardFrame::sceneOfScan(ScanPx position) const
{
    if (m_side == BoardSide::Ground && m_ground)
        return sceneOfGround(m_ground->toGround(position));
    const FilmMm film = m_film.toFilm(position);
    return {film.x, -film.y};
}

std::optional<ScanPx> BoardFrame::scanOfScene(QPointF scene) const
{
    if (m_side == BoardSide::Film)
        return m_film.toScan({scene.x(), -scene.y()});
    if (!m_ground)
        return std::nullopt;
    const Result<ScanPx> scan = m_ground->toScan(groundOfScene(scene));
    return scan ? std::optional(*scan) : std::nullopt;
}

QRectF BoardFrame::extent(const BoardScene& scene) const
{
    Extent extent;
    if (scene.drawing && (m_side == BoardSide::Film || m_ground)) {
        const BoardDrawing& drawing = *scene.drawing;
        std::vector<ScanPx> corners = drawing.record.frame;
        const double width = drawing.widthPx, height = drawing.heightPx;
        if (corners.empty() && drawing.widthPx > 0)
            corners = {{0, 0}, {width, 0}, {width, height}, {0, height}};
        for (const ScanPx& corner : corners)
            extent.add(sceneOfScan(corner));
    }
    if (m_side == BoardSide::Ground && !m_ground) {
        for (const NamedPlace& peg : scene.pegs)
            extent.add(sceneOfGround(peg.at));
        for (const NamedRing& trench : scene.trenches)
            for (const GroundM& corner : trench.ring)
                extent.add(sceneOfGround(corner));
        for (const Neighbour& neighbour : scene.neighbours)
            for (const GroundM& corner : neighbour.sheet.ring)
                extent.add(sceneOfGround(corner));
    }
    return extent.rect();
}

} // namespace inkpeg
