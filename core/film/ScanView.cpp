// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/ScanView.h"

#include <algorithm>
#include <cmath>

#include "core/film/Pyramid.h"

namespace inkpeg {
namespace {

constexpr int BorderSteps = 16; // places along each edge of the scan that tell where it lies

struct Extent {
    double left = 1e300, top = 1e300, right = -1e300, bottom = -1e300;
    void add(double x, double y)
    {
        left = std::min(left, x);
        right = std::max(right, x);
        top = std::min(top, y);
        bottom = std::max(bottom, y);
    }
};

Extent extentOnCanvas(const ViewPlacement& placement, int width, int height)
{
    Extent extent;
    for (int i = 0; i <= BorderSteps; ++i) {
        const double share = double(i) / BorderSteps;
        for (const ScanPx at : {ScanPx{share * width, 0}, ScanPx{share * width, double(height)},
                                ScanPx{0, share * height}, ScanPx{double(width), share * height}}) {
            const CanvasPx on = placement.toCanvas(at);
            extent.add(on.x, on.y);
        }
    }
    return extent;
}

/// Cells [first, end) that `from` to `to` touches on a canvas of `size`.
std::pair<int, int> cellsWithin(double from, double to, int size)
{
    constexpr int cell = ViewGrid::CellPx;
    const int count = (size + cell - 1) / cell;
    const auto clamped = [count](double at) {
        return static_cast<int>(std::clamp(at, 0.0, static_cast<double>(count)));
    };
    return {clamped(std::floor(from / cell)), clamped(std::ceil(to / cell))};
}

} // namespace

ViewGrid::ViewGrid(const ViewPlacement& placement, int scanWidth, int scanHeight, int canvasWidth,
                   int canvasHeight)
{
    findCells(placement, scanWidth, scanHeight, canvasWidth, canvasHeight);
    if (empty())
        return;
    for (int row = 0; row <= m_rows; ++row)
        for (int column = 0; column <= m_columns; ++column)
            m_corners.push_back(placement.toScan(
                {double((m_firstColumn + column) * CellPx), double((m_firstRow + row) * CellPx)}));
    findSeen(scanWidth, scanHeight);
}

void ViewGrid::findCells(const ViewPlacement& placement, int scanWidth, int scanHeight, int canvasWidth,
                         int canvasHeight)
{
    const Extent extent = extentOnCanvas(placement, scanWidth, scanHeight);
    if (!(extent.left < canvasWidth && extent.right > 0 && extent.top < canvasHeight && extent.bottom > 0))
        return;
    const auto [left, right] = cellsWithin(extent.left, extent.right, canvasWidth);
    const auto [top, bottom] = cellsWithin(extent.top, extent.bottom, canvasHeight);
    m_firstColumn = left;
    m_firstRow = top;
    m_columns = std::max(0, right - left);
    m_rows = std::max(0, bottom - top);
}

void ViewGrid::findSeen(int scanWidth, int scanHeight)
{
    Extent extent;
    double sum = 0;
    int count = 0;
    for (int row = 0; row < m_rows; ++row)
        for (int column = 0; column < m_columns; ++column) {
            const auto &a = corner(column, row), &b = corner(column + 1, row), &c = corner(column, row + 1),
                       &d = corner(column + 1, row + 1);
            if (!a || !b || !c || !d)
                continue;
            for (const auto* each : {&a, &b, &c, &d})
                extent.add((*each)->column, (*each)->row);
            sum += std::sqrt(distance(*a, *b) * distance(*a, *c)) / CellPx;
            ++count;
        }
    const int left = static_cast<int>(std::clamp(std::floor(extent.left), 0.0, double(scanWidth)));
    const int top = static_cast<int>(std::clamp(std::floor(extent.top), 0.0, double(scanHeight)));
    const int right = static_cast<int>(std::clamp(std::ceil(extent.right), 0.0, double(scanWidth)));
    const int bottom = static_cast<int>(std::clamp(std::ceil(extent.bottom), 0.0, double(scanHeight)));
    if (count == 0 || right <= left || bottom <= top) {
        m_columns = m_rows = 0;
        return;
    }
    m_seen = {left, top, right - left, bottom - top};
    m_scanPxPerCanvasPx = sum / count;
}

int viewLevel(double scanPxPerCanvasPx, int levels)
{
    const double level = std::floor(std::log2(std::max(scanPxPerCanvasPx, 1e-9)) + 0.25);
    return static_cast<int>(std::clamp(level, 0.0, double(levels - 1)));
}

ViewTiles::ViewTiles(int level, PxRect seen, int levelWidth, int levelHeight, int channels)
    : m_level(level), m_levelWidth(levelWidth), m_levelHeight(levelHeight), m_channels(channels)
{
    // One pixel more on each side: bilinear reaches there.
    const auto tile = [level](int scanPx, int size) {
        return std::clamp(scanPx >> level, 0, size - 1) / TilePyramid::TilePx;
    };
    const int more = 1 << level;
    m_firstColumn = tile(seen.column - more, levelWidth);
    m_firstRow = tile(seen.row - more, levelHeight);
    m_columns = tile(seen.column + seen.width + more, levelWidth) - m_firstColumn + 1;
    m_rows = tile(seen.row + seen.height + more, levelHeight) - m_firstRow + 1;
    m_tiles.resize(static_cast<std::size_t>(m_columns) * static_cast<std::size_t>(m_rows));
}

std::array<std::uint8_t, 256> ViewInk::identityTable()
{
    std::array<std::uint8_t, 256> table{};
    for (int i = 0; i < 256; ++i)
        table[static_cast<std::size_t>(i)] = static_cast<std::uint8_t>(i);
    return table;
}

PyramidTilePointer enlargedTile(const PyramidTile& coarser, int width, int height, double perPixelX,
                                double perPixelY, double offsetX, double offsetY)
{
    auto tile = std::make_shared<PyramidTile>();
    tile->width = width;
    tile->height = height;
    tile->channels = coarser.channels;
    const int channels = coarser.channels;
    tile->pixels.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height) *
                        static_cast<std::size_t>(channels));
    std::uint8_t* out = tile->pixels.data();
    const auto split = [](double at, int size) {
        const double within = std::clamp(at, 0.0, double(size - 1));
        const int first = std::min(static_cast<int>(within), std::max(size - 2, 0));
        return std::pair(first, static_cast<int>((within - first) * 256));
    };
    for (int y = 0; y < height; ++y) {
        const auto [row, fy] = split((y + 0.5) * perPixelY + offsetY - 0.5, coarser.height);
        const std::uint8_t* upper =
            coarser.pixels.data() + static_cast<std::ptrdiff_t>(row) * coarser.width * channels;
        const std::uint8_t* lower = row + 1 < coarser.height
                                        ? upper + static_cast<std::ptrdiff_t>(coarser.width) * channels
                                        : upper;
        for (int x = 0; x < width; ++x) {
            const auto [column, fx] = split((x + 0.5) * perPixelX + offsetX - 0.5, coarser.width);
            const int left = column * channels;
            const int right = column + 1 < coarser.width ? left + channels : left;
            for (int c = 0; c < channels; ++c) {
                const int above = upper[left + c] * (256 - fx) + upper[right + c] * fx;
                const int below = lower[left + c] * (256 - fx) + lower[right + c] * fx;
                *out++ = static_cast<std::uint8_t>((above * (256 - fy) + below * fy + 32768) >> 16);
            }
        }
    }
    return tile;
}

} // namespace inkpeg
