// SPDX-License-Identifier: GPL-3.0-or-later
// Draws a scan as it lies on a screen: moved, enlarged, turned, mirrored or laid on the ground, from
// whatever tiles are at hand. Knows no screen: the canvas is a block of memory.
//
//   const ViewGrid grid(placement, {widthPx, heightPx}, canvasWidth, canvasHeight);
//   if (!grid.empty()) {
//       ViewTiles tiles(viewLevel(grid.scanPxPerCanvasPx(), pyramid.levels()), grid.seen(), ...);
//       ...                                                   // fill tiles.at(column, row)
//       drawScan(canvas, grid, tiles, {});
//   }
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "core/base/Units.h"
#include "core/film/Scan.h"
#include "core/film/TileCache.h"

namespace inkpeg {

/// A place on the canvas in its pixels: x right, y down; the centre of the first pixel is (0.5, 0.5).
struct CanvasPx {
    double x = 0, y = 0;
};

/// Where the scan lies on the canvas. `toScan` may have no answer far outside the film.
struct ViewPlacement {
    std::function<std::optional<ScanPx>(CanvasPx)> toScan;
    std::function<CanvasPx(ScanPx)> toCanvas;
};

/// Pixels 0xffRRGGBB, rows `stride` pixels apart. Not owned.
struct Canvas {
    std::uint32_t* pixels = nullptr;
    int width = 0, height = 0;
    std::ptrdiff_t stride = 0;
};

/// The positions in the scan of the corners of cells of the canvas; between them positions are
/// interpolated. On film that is exact; on the ground a cell is too small for a cockle to show: waves of
/// 0.3 mm every 100 mm bend by 0.1 canvas pixels within a cell when 18 scan pixels of 600 dpi share one.
class ViewGrid {
public:
    static constexpr int CellPx = 32;

    ViewGrid(const ViewPlacement& placement, int scanWidth, int scanHeight, int canvasWidth,
             int canvasHeight);

    /// True when nothing of the scan is on the canvas.
    bool empty() const { return m_columns == 0 || m_rows == 0; }
    int firstColumn() const { return m_firstColumn; }
    int firstRow() const { return m_firstRow; }
    int columns() const { return m_columns; }
    int rows() const { return m_rows; }
    /// Of the cell's upper left corner; one more corner than cells in each direction, counted from the
    /// first cell.
    const std::optional<ScanPx>& corner(int column, int row) const
    {
        return m_corners[static_cast<std::size_t>(row * (m_columns + 1) + column)];
    }
    /// The part of the scan that is on the canvas, in whole pixels.
    PxRect seen() const { return m_seen; }
    double scanPxPerCanvasPx() const { return m_scanPxPerCanvasPx; }

private:
    void findCells(const ViewPlacement& placement, int scanWidth, int scanHeight, int canvasWidth,
                   int canvasHeight);
    void findSeen(int scanWidth, int scanHeight);

    int m_firstColumn = 0, m_firstRow = 0, m_columns = 0, m_rows = 0;
    std::vector<std::optional<ScanPx>> m_corners;
    PxRect m_seen;
    double m_scanPxPerCanvasPx = 1;
};

/// The level whose pixels come nearest to those of the canvas: between 0.6 and 1.2 canvas pixels each,
/// unless the scan itself is coarser than that.
int viewLevel(double scanPxPerCanvasPx, int levels);

/// The tiles of one level that a view needs.
class ViewTiles {
public:
    /// `seen` in scan pixels; levelWidth and levelHeight in pixels of the level.
    ViewTiles(int level, PxRect seen, int levelWidth, int levelHeight, int channels);

    int level() const { return m_level; }
    int levelWidth() const { return m_levelWidth; }
    int levelHeight() const { return m_levelHeight; }
    int channels() const { return m_channels; }
    int firstColumn() const { return m_firstColumn; }
    int firstRow() const { return m_firstRow; }
    int columns() const { return m_columns; }
    int rows() const { return m_rows; }
    /// Counted as in the pyramid. Null: nothing is known of that part, and the canvas stays as it is.
    PyramidTilePointer& at(int column, int row) { return m_tiles[indexOf(column, row)]; }
    const PyramidTilePointer& at(int column, int row) const { return m_tiles[indexOf(column, row)]; }

private:
    std::size_t indexOf(int column, int row) const
    {
        return static_cast<std::size_t>((row - m_firstRow) * m_columns + column - m_firstColumn);
    }
    int m_level, m_levelWidth, m_levelHeight, m_channels;
    int m_firstColumn, m_firstRow, m_columns, m_rows;
    std::vector<PyramidTilePointer> m_tiles;
};

struct ViewInk {
    double opacity = 1;                 ///< 0 to 1
    std::optional<std::uint32_t> under; ///< what shows through: a colour, or (without one) the canvas
    std::array<std::uint8_t, 256> table = identityTable(); ///< what each grey becomes
    std::vector<ScanPx> frame; ///< only what lies within this polygon; empty: the whole scan

    static std::array<std::uint8_t, 256> identityTable();
};

/// Bilinear; level pixel (i, j) covers the scan from i * 2^level to (i + 1) * 2^level.
void drawScan(const Canvas& canvas, const ViewGrid& grid, const ViewTiles& tiles, int scanWidth,
              int scanHeight, const ViewInk& ink);

/// A tile made from a coarser picture of the scan, to be shown until the real one is there.
/// `perPixel` are pixels of `coarser` for one of the tile, `offset` where the tile's corner lies in
/// `coarser`.
PyramidTilePointer enlargedTile(const PyramidTile& coarser, int width, int height, double perPixelX,
                                double perPixelY, double offsetX, double offsetY);

} // namespace inkpeg
