// SPDX-License-Identifier: GPL-3.0-or-later
// The scan on the board, tile by tile.
#include <cmath>

#include <QTransform>

#include "app/board/BoardPainting.h"

namespace inkpeg {
namespace {

/// A tile's corners on the screen: of its pixels' edges, clockwise from the upper left of the scan.
QPolygonF cornersOf(const BoardPicture& picture, const QRect& cover)
{
    const double left = cover.x(), top = cover.y();
    const double right = left + cover.width(), bottom = top + cover.height();
    return picture.at(std::vector<ScanPx>{{left, top}, {right, top}, {right, bottom}, {left, bottom}});
}

/// On film a tile stays upright (or mirrored): its edges are put on whole device pixels, so that no seam
/// shows.
void paintUpright(QPainter& painter, const QPolygonF& corners, const QImage& image, const QRectF& part,
                  double ratio)
{
    const auto whole = [ratio](double at) { return std::round(at * ratio) / ratio; };
    const double left = whole(corners[0].x()), right = whole(corners[2].x());
    const double top = whole(corners[0].y()), bottom = whole(corners[2].y());
    painter.save();
    if (right < left) {
        painter.translate(left, top);
        painter.scale(-1, 1);
        painter.drawImage(QRectF(0, 0, left - right, bottom - top), image, part);
    } else {
        painter.drawImage(QRectF(left, top, right - left, bottom - top), image, part);
    }
    painter.restore();
}

/// On the ground a tile is drawn through the affine map of its own corners: within one tile the difference
/// to the fitted model is far below a screen pixel for the models in use.
void paintTurned(QPainter& painter, const QPolygonF& corners, const QImage& image, const QRectF& part)
{
    const QPointF across = (corners[1] - corners[0] + corners[2] - corners[3]) / (2 * part.width());
    const QPointF down = (corners[3] - corners[0] + corners[2] - corners[1]) / (2 * part.height());
    const QPointF middle = (corners[0] + corners[1] + corners[2] + corners[3]) / 4;
    const QPointF corner = middle - across * part.width() / 2 - down * part.height() / 2;
    painter.save();
    painter.setTransform(QTransform(across.x(), across.y(), down.x(), down.y(), corner.x(), corner.y()),
                         true);
    painter.drawImage(QRectF(QPointF(0, 0), part.size()), image, part);
    painter.restore();
}

/// The part of the coarsest tile at hand that covers what `key` covers, or nothing.
struct Substitute {
    const QImage* image = nullptr;
    QRectF part;
};

Substitute substituteFor(const ScanTiles& tiles, const TileKey& key, const QRect& cover)
{
    for (int level = key.level + 1; level <= tiles.coarsestLevel(); ++level) {
        const int shift = level - key.level;
        const TileKey coarser{level, key.column >> shift, key.row >> shift};
        if (const QImage* image = tiles.tileIfHere(coarser)) {
            const QRect whole = tiles.coverage(coarser);
            const double across = static_cast<double>(image->width()) / whole.width();
            const double down = static_cast<double>(image->height()) / whole.height();
            return {image, QRectF((cover.x() - whole.x()) * across, (cover.y() - whole.y()) * down,
                                  cover.width() * across, cover.height() * down)};
        }
    }
    return {};
}

} // namespace

void paintScan(QPainter& painter, const BoardPicture& picture, ScanTiles& tiles, double devicePixelRatio,
               double opacity)
{
    const QSize size = tiles.sizePx();
    if (size.isEmpty() || !picture.scene.drawing)
        return;
    const bool ground = picture.frame.side() == BoardSide::Ground;
    if (ground && !picture.scene.drawing->ground)
        return;
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing, false);
    painter.setRenderHint(QPainter::SmoothPixmapTransform);
    painter.setBrush(picture.colours.halo);
    painter.setPen(Qt::NoPen);
    painter.drawPolygon(cornersOf(picture, QRect(QPoint(0, 0), size)));
    painter.setOpacity(opacity);
    tiles.beginFrame();
    const double screenPerPx =
        picture.view.scale() * picture.frame.sceneUnitsPerScanPx() * devicePixelRatio;
    const int level = tiles.levelFor(screenPerPx);
    tiles.tile({tiles.coarsestLevel(), 0, 0});
    const int side = ScanTiles::TileSidePx << level;
    for (int row = 0; row * side < size.height(); ++row) {
        for (int column = 0; column * side < size.width(); ++column) {
            const TileKey key{level, column, row};
            const QRect cover = tiles.coverage(key);
            const QPolygonF corners = cornersOf(picture, cover);
            if (!corners.boundingRect().intersects(picture.widget))
                continue;
            Substitute shown;
            if (const QImage* image = tiles.tile(key))
                shown = {image, QRectF(image->rect())};
            else
                shown = substituteFor(tiles, key, cover);
            if (!shown.image)
                continue;
            if (ground)
                paintTurned(painter, corners, *shown.image, shown.part);
            else
                paintUpright(painter, corners, *shown.image, shown.part, devicePixelRatio);
        }
    }
    tiles.endFrame();
    painter.restore();
}

} // namespace inkpeg
