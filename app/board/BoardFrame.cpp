// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/BoardFrame.h"

#include <cmath>

#include <QtMath>

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

ScanPx middleOf(const FilmFrame& film)
{
    return {film.widthPx / 2, film.heightPx / 2};
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
        const ViewSettings& view = scene.drawing->view;
        m_mirrored = view.mirrored;
        m_cos = std::cos(qDegreesToRadians(view.turnDegrees));
        m_sin = std::sin(qDegreesToRadians(view.turnDegrees));
        if (scene.drawing->ground)
            m_ground = std::make_shared<DrawingGround>(*scene.drawing->ground);
    }
    m_origin = originOf(scene);
    m_unitsPerPx = MillimetresPerInch / m_film.dpiX;
    if (side == BoardSide::Ground && m_ground) {
        const ScanPx middle = middleOf(m_film);
        m_unitsPerPx =
            distance(m_ground->toGround(middle), m_ground->toGround({middle.column + 1, middle.row}));
    }
}

BoardFrame BoardFrame::forNeighbour(const DrawingGround& ground) const
{
    BoardFrame frame = *this;
    frame.m_film = ground.film;
    frame.m_ground = std::make_shared<DrawingGround>(ground);
    return frame;
}

/// The same fit counts as the same when it is the same object or maps the sheet's corners alike: a scene
/// that was only gathered anew brings a copy.
bool BoardFrame::operator==(const BoardFrame& other) const
{
    if (m_side != other.m_side || !(m_film == other.m_film) || m_mirrored != other.m_mirrored ||
        m_cos != other.m_cos || m_sin != other.m_sin || !(m_origin == other.m_origin) ||
        !m_ground != !other.m_ground)
        return false;
    if (m_side == BoardSide::Film || m_ground == other.m_ground)
        return true;
    constexpr int steps = 4;
    for (int row = 0; row <= steps; ++row)
        for (int column = 0; column <= steps; ++column) {
            const ScanPx at{m_film.widthPx * column / steps, m_film.heightPx * row / steps};
            if (!(m_ground->toGround(at) == other.m_ground->toGround(at)))
                return false;
        }
    return true;
}

QPointF BoardFrame::turnedAsFilm(QPointF direction) const
{
    const double x = m_mirrored ? -direction.x() : direction.x();
    return {x * m_cos - direction.y() * m_sin, x * m_sin + direction.y() * m_cos};
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
    const FilmMm film = m_film.toFilm(position), middle = m_film.toFilm(middleOf(m_film));
    return QPointF(middle.x, -middle.y) + turnedAsFilm({film.x - middle.x, middle.y - film.y});
}

std::optional<ScanPx> BoardFrame::scanOfScene(QPointF scene) const
{
    if (m_side == BoardSide::Film) {
        const FilmMm middle = m_film.toFilm(middleOf(m_film));
        const double x = scene.x() - middle.x, y = scene.y() + middle.y;
        const double across = x * m_cos + y * m_sin, down = -x * m_sin + y * m_cos;
        return m_film.toScan({middle.x + (m_mirrored ? -across : across), middle.y - down});
    }
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
