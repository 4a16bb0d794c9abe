// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/FilmCompose.h"

#include <algorithm>
#include <cmath>

namespace inkpeg {
namespace {

// What TilePyramid::tile makes from the scan while there are no levels.
constexpr int CoarsestFromScan = 2;

ViewPlacement placementOf(const FilmLayer& layer, const FilmOrder& order)
{
    const double ratio = order.ratio, margin = order.marginPx;
    return {[&layer, &order, ratio, margin](CanvasPx at) {
                const QPointF widget((at.x - margin) / ratio, (at.y - margin) / ratio);
                return layer.frame.scanOfScene(order.view.toScene(widget));
            },
            [&layer, &order, ratio, margin](ScanPx at) {
                const QPointF widget = order.view.toWidget(layer.frame.sceneOfScan(at));
                return CanvasPx{widget.x() * ratio + margin, widget.y() * ratio + margin};
            }};
}

/// The finest of what is at hand for a place where its own tile is not there yet.
struct Coarser {
    PyramidTilePointer tile;
    double perPixelX = 1, perPixelY = 1, offsetX = 0, offsetY = 0;
};

Coarser coarserFor(const FilmLayer& layer, const TilePlace& place)
{
    const TilePyramid& pyramid = *layer.pyramid;
    constexpr int side = TilePyramid::TilePx;
    const double lookShrink = layer.look ? double(pyramid.facts().widthPx) / layer.look->width : 1e300;
    for (int level = place.level + 1; level < pyramid.levels() && (1 << level) < lookShrink; ++level) {
        const int shift = level - place.level;
        const TilePlace from{level, place.column >> shift, place.row >> shift};
        if (PyramidTilePointer tile = pyramid.cached(from)) {
            const double perPixel = 1.0 / (1 << shift);
            return {tile, perPixel, perPixel, (place.column * perPixel - from.column) * side,
                    (place.row * perPixel - from.row) * side};
        }
    }
    if (!layer.look)
        return {};
    const double scanPx = 1 << place.level;
    const double perX = scanPx * layer.look->width / pyramid.facts().widthPx;
    const double perY = scanPx * layer.look->height / pyramid.facts().heightPx;
    return {layer.look, perX, perY, place.column * side * perX, place.row * side * perY};
}

/// Whether the pyramid can make the tile, as it is now. A scan that cannot be entered anywhere is better
/// waited for: each of its tiles would cost the decoding of all before it.
bool canBeMade(const FilmLayer& layer, const TilePlace& place)
{
    return layer.pyramid->isBuilt() ||
           (place.level <= CoarsestFromScan &&
            (!layer.levelsToCome || canBeEnteredAnywhere(layer.pyramid->facts())));
}

struct Missing {
    WantedTile tile;
    double distance = 0;
};

struct Filled {
    bool sharp = true, anything = false;
};

/// Fills the table and lists what is missing, with its distance from the middle of what is seen.
Filled fillTable(ViewTiles& table, const FilmLayer& layer, const PxRect& seen, ShownTiles& shown,
                 std::vector<Missing>& missing)
{
    TilePyramid& pyramid = *layer.pyramid;
    constexpr int side = TilePyramid::TilePx;
    const double scale = 1 << table.level();
    const double middleColumn = (seen.column + seen.width / 2.0) / scale / side - 0.5;
    const double middleRow = (seen.row + seen.height / 2.0) / scale / side - 0.5;
    Filled filled;
    for (int row = table.firstRow(); row < table.firstRow() + table.rows(); ++row)
        for (int column = table.firstColumn(); column < table.firstColumn() + table.columns(); ++column) {
            const TilePlace place{table.level(), column, row};
            if (const PyramidTilePointer tile = pyramid.cached(place)) {
                filled.anything = true;
                table.at(column, row) = shown.shown(layer, place, tile);
                continue;
            }
            filled.sharp = false;
            if (canBeMade(layer, place))
                missing.push_back(
                    {{layer.pyramid, place}, std::hypot(column - middleColumn, row - middleRow)});
            const Coarser coarser = coarserFor(layer, place);
            if (!coarser.tile)
                continue;
            filled.anything = true;
            table.at(column, row) = shown.shown(
                layer, place,
                enlargedTile(*coarser.tile, std::min(side, table.levelWidth() - column * side),
                             std::min(side, table.levelHeight() - row * side), coarser.perPixelX,
                             coarser.perPixelY, coarser.offsetX, coarser.offsetY));
        }
    return filled;
}

} // namespace

PyramidTilePointer ShownTiles::shown(const FilmLayer& layer, const TilePlace& place,
                                     const PyramidTilePointer& source)
{
    if (layer.inkStrength <= 0 || !layer.bareFilm || layer.bareFilm->isEmpty())
        return source;
    Shown& shown = m_shown[{layer.pyramid.get(), place.level, place.column, place.row}];
    if (shown.source != source || shown.inkStrength != layer.inkStrength)
        shown = {source,
                 withStrongerInk(*source, place.level, place.column, place.row, *layer.bareFilm,
                                 layer.inkStrength),
                 layer.inkStrength};
    shown.used = true;
    return shown.tile;
}

void ShownTiles::forgetUnused()
{
    std::erase_if(m_shown, [](const auto& each) { return !each.second.used; });
    for (auto& [place, shown] : m_shown)
        shown.used = false;
}

ComposedFilm compose(const FilmOrder& order, ShownTiles& tiles)
{
    ComposedFilm film;
    const int width = static_cast<int>(std::ceil(order.widget.width() * order.ratio)) + 2 * order.marginPx;
    const int height =
        static_cast<int>(std::ceil(order.widget.height() * order.ratio)) + 2 * order.marginPx;
    film.image = QImage(width, height, QImage::Format_RGB32);
    film.image.fill(order.desk);
    const Canvas canvas{reinterpret_cast<std::uint32_t*>(film.image.bits()), width, height,
                        film.image.bytesPerLine() / 4};
    std::vector<std::vector<Missing>> missing;
    for (const FilmLayer& layer : order.layers) {
        TilePyramid& pyramid = *layer.pyramid;
        const int scanWidth = pyramid.facts().widthPx, scanHeight = pyramid.facts().heightPx;
        const ViewGrid grid(placementOf(layer, order), scanWidth, scanHeight, width, height);
        if (grid.empty())
            continue;
        const int level = viewLevel(grid.scanPxPerCanvasPx(), pyramid.levels());
        ViewTiles table(level, grid.seen(), pyramid.levelWidth(level), pyramid.levelHeight(level),
                        pyramid.channels());
        missing.emplace_back();
        const Filled filled = fillTable(table, layer, grid.seen(), tiles, missing.back());
        film.sharp = film.sharp && filled.sharp;
        film.anything = film.anything || filled.anything;
        drawScan(canvas, grid, table, scanWidth, scanHeight, layer.ink);
    }
    tiles.forgetUnused();
    for (auto layer = missing.rbegin(); layer != missing.rend(); ++layer) {
        std::ranges::sort(*layer, {}, &Missing::distance);
        for (Missing& each : *layer)
            film.wanted.push_back(std::move(each.tile));
    }
    return film;
}

} // namespace inkpeg
