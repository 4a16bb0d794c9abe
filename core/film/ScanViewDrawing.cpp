// SPDX-License-Identifier: GPL-3.0-or-later
// The inner loop of drawing a scan on a canvas.
#include <algorithm>
#include <cmath>

#include "core/film/Pyramid.h"
#include "core/film/ScanView.h"

namespace inkpeg {
namespace {

constexpr int TilePx = TilePyramid::TilePx;
constexpr int Bits = 16; // of a position's fraction
constexpr double One = 1 << Bits;

struct Rgb {
    int red = 0, green = 0, blue = 0;
};

bool inPolygon(const std::vector<ScanPx>& ring, ScanPx at)
{
    bool inside = false;
    for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++)
        if ((ring[i].row > at.row) != (ring[j].row > at.row) &&
            at.column <
                (ring[j].column - ring[i].column) * (at.row - ring[i].row) / (ring[j].row - ring[i].row) +
                    ring[i].column)
            inside = !inside;
    return inside;
}

/// How a cell lies to what is to be drawn.
enum class Lies { Within, Outside, Across };

Lies liesToFrame(const std::vector<ScanPx>& frame, ScanPx low, ScanPx high)
{
    if (frame.empty())
        return Lies::Within;
    for (std::size_t i = 0, j = frame.size() - 1; i < frame.size(); j = i++)
        if (std::min(frame[i].column, frame[j].column) <= high.column &&
            std::max(frame[i].column, frame[j].column) >= low.column &&
            std::min(frame[i].row, frame[j].row) <= high.row &&
            std::max(frame[i].row, frame[j].row) >= low.row)
            return Lies::Across;
    return inPolygon(frame, low) ? Lies::Within : Lies::Outside;
}

class Drawer {
public:
    Drawer(const Canvas& canvas, const ViewTiles& tiles, int scanWidth, int scanHeight, const ViewInk& ink)
        : m_canvas(canvas), m_tiles(tiles), m_ink(ink), m_scanWidth(scanWidth), m_scanHeight(scanHeight),
          m_alpha(static_cast<int>(std::lround(std::clamp(ink.opacity, 0.0, 1.0) * 256))),
          m_plain(m_alpha == 256)
    {
    }

    void drawCell(int left, int top, const ScanPx corners[4])
    {
        ScanPx low = corners[0], high = corners[0];
        for (int i = 1; i < 4; ++i) {
            low = {std::min(low.column, corners[i].column), std::min(low.row, corners[i].row)};
            high = {std::max(high.column, corners[i].column), std::max(high.row, corners[i].row)};
        }
        if (high.column <= 0 || high.row <= 0 || low.column >= m_scanWidth || low.row >= m_scanHeight)
            return;
        Lies lies = liesToFrame(m_ink.frame, low, high);
        if (lies == Lies::Outside)
            return;
        const bool pastEdge =
            low.column < 0 || low.row < 0 || high.column > m_scanWidth || high.row > m_scanHeight;
        const int right = std::min(left + ViewGrid::CellPx, m_canvas.width);
        const int bottom = std::min(top + ViewGrid::CellPx, m_canvas.height);
        constexpr double size = ViewGrid::CellPx;
        for (int y = top; y < bottom; ++y) {
            const double down = (y - top + 0.5) / size;
            const ScanPx from = between(corners[0], corners[2], down),
                         to = between(corners[1], corners[3], down);
            const ScanPx step{(to.column - from.column) / size, (to.row - from.row) / size};
            const ScanPx first{from.column + step.column / 2, from.row + step.row / 2};
            std::uint32_t* out = m_canvas.pixels + y * m_canvas.stride + left;
            if (lies == Lies::Within && !pastEdge)
                drawRow(out, right - left, first, step, [](ScanPx) { return true; });
            else
                drawRow(out, right - left, first, step, [&](ScanPx at) {
                    return at.column >= 0 && at.row >= 0 && at.column < m_scanWidth &&
                           at.row < m_scanHeight && (lies == Lies::Within || inPolygon(m_ink.frame, at));
                });
        }
    }

private:
    static ScanPx between(ScanPx a, ScanPx b, double share)
    {
        return {a.column + (b.column - a.column) * share, a.row + (b.row - a.row) * share};
    }

    template<typename Wanted>
    void drawRow(std::uint32_t* out, int count, ScanPx first, ScanPx step, const Wanted& wanted)
    {
        const double toLevel = 1.0 / (1 << m_tiles.level());
        auto u = static_cast<std::int64_t>(std::floor((first.column * toLevel - 0.5) * One));
        auto v = static_cast<std::int64_t>(std::floor((first.row * toLevel - 0.5) * One));
        const auto stepU = static_cast<std::int64_t>(std::lround(step.column * toLevel * One));
        const auto stepV = static_cast<std::int64_t>(std::lround(step.row * toLevel * One));
        for (int i = 0; i < count; ++i, u += stepU, v += stepV) {
            if (!wanted(ScanPx{first.column + step.column * i, first.row + step.row * i}))
                continue;
            if (m_tiles.channels() == 1) {
                if (const int grey = sampleGrey(u, v); grey >= 0)
                    put(out[i], {grey, grey, grey});
            } else if (Rgb colour; sampleRgb(u, v, colour)) {
                put(out[i], colour);
            }
        }
    }

    void put(std::uint32_t& pixel, Rgb colour) const
    {
        int red = m_ink.table[static_cast<std::size_t>(colour.red)];
        int green = m_ink.table[static_cast<std::size_t>(colour.green)];
        int blue = m_ink.table[static_cast<std::size_t>(colour.blue)];
        if (!m_plain) {
            const std::uint32_t under = m_ink.under.value_or(pixel);
            const auto mixed = [&](int over, std::uint32_t below) {
                return (over * m_alpha + static_cast<int>(below & 255) * (256 - m_alpha) + 128) >> 8;
            };
            red = mixed(red, under >> 16);
            green = mixed(green, under >> 8);
            blue = mixed(blue, under);
        }
        pixel = 0xff000000u | static_cast<std::uint32_t>(red << 16 | green << 8 | blue);
    }

    /// The tile that holds a pixel of the level, or null.
    const PyramidTile* tileOf(int column, int row)
    {
        const int tileColumn = column / TilePx, tileRow = row / TilePx;
        if (tileColumn != m_heldColumn || tileRow != m_heldRow) {
            m_heldColumn = tileColumn;
            m_heldRow = tileRow;
            const bool there = tileColumn >= m_tiles.firstColumn() && tileRow >= m_tiles.firstRow() &&
                               tileColumn < m_tiles.firstColumn() + m_tiles.columns() &&
                               tileRow < m_tiles.firstRow() + m_tiles.rows();
            m_held = there ? m_tiles.at(tileColumn, tileRow).get() : nullptr;
        }
        return m_held;
    }

    /// The four pixels about a place and its shares between them; false when nothing is known there. Where
    /// the neighbouring tile is missing, the pixel itself stands for its neighbour.
    struct Four {
        const std::uint8_t* at[4];
        int fx = 0, fy = 0;
    };
    bool four(std::int64_t u, std::int64_t v, Four& result)
    {
        const auto most = [](int size) { return (static_cast<std::int64_t>(size) - 1) << Bits; };
        u = std::clamp<std::int64_t>(u, 0, most(m_tiles.levelWidth()));
        v = std::clamp<std::int64_t>(v, 0, most(m_tiles.levelHeight()));
        const int column = static_cast<int>(u >> Bits), row = static_cast<int>(v >> Bits);
        result.fx = static_cast<int>(u >> (Bits - 8)) & 255;
        result.fy = static_cast<int>(v >> (Bits - 8)) & 255;
        const PyramidTile* tile = tileOf(column, row);
        if (!tile)
            return false;
        const int x = column % TilePx, y = row % TilePx, channels = tile->channels;
        const std::uint8_t* at =
            tile->pixels.data() + (static_cast<std::ptrdiff_t>(y) * tile->width + x) * channels;
        const std::ptrdiff_t stride = static_cast<std::ptrdiff_t>(tile->width) * channels;
        if (x + 1 < tile->width && y + 1 < tile->height) {
            result.at[0] = at;
            result.at[1] = at + channels;
            result.at[2] = at + stride;
            result.at[3] = at + stride + channels;
            return true;
        }
        const auto neighbour = [&](int dx, int dy) -> const std::uint8_t* {
            const int c = std::min(column + dx, m_tiles.levelWidth() - 1);
            const int r = std::min(row + dy, m_tiles.levelHeight() - 1);
            const PyramidTile* other = tileOf(c, r);
            return other ? other->pixels.data() +
                               (static_cast<std::ptrdiff_t>(r % TilePx) * other->width + c % TilePx) *
                                   other->channels
                         : at;
        };
        result.at[0] = at;
        result.at[1] = neighbour(1, 0);
        result.at[2] = neighbour(0, 1);
        result.at[3] = neighbour(1, 1);
        return true;
    }

    static int mix(const Four& from, int channel)
    {
        const int upper = from.at[0][channel] * (256 - from.fx) + from.at[1][channel] * from.fx;
        const int lower = from.at[2][channel] * (256 - from.fx) + from.at[3][channel] * from.fx;
        return (upper * (256 - from.fy) + lower * from.fy + 32768) >> 16;
    }
    int sampleGrey(std::int64_t u, std::int64_t v)
    {
        Four from;
        return four(u, v, from) ? mix(from, 0) : -1;
    }
    bool sampleRgb(std::int64_t u, std::int64_t v, Rgb& colour)
    {
        Four from;
        if (!four(u, v, from))
            return false;
        colour = {mix(from, 0), mix(from, 1), mix(from, 2)};
        return true;
    }

    const Canvas& m_canvas;
    const ViewTiles& m_tiles;
    const ViewInk& m_ink;
    int m_scanWidth, m_scanHeight;
    int m_alpha;
    bool m_plain;
    int m_heldColumn = -1, m_heldRow = -1;
    const PyramidTile* m_held = nullptr;
};

} // namespace

void drawScan(const Canvas& canvas, const ViewGrid& grid, const ViewTiles& tiles, int scanWidth,
              int scanHeight, const ViewInk& ink)
{
    Drawer drawer(canvas, tiles, scanWidth, scanHeight, ink);
    for (int row = 0; row < grid.rows(); ++row)
        for (int column = 0; column < grid.columns(); ++column) {
            const auto &a = grid.corner(column, row), &b = grid.corner(column + 1, row),
                       &c = grid.corner(column, row + 1), &d = grid.corner(column + 1, row + 1);
            if (!a || !b || !c || !d)
                continue;
            const ScanPx corners[4] = {*a, *b, *c, *d};
            drawer.drawCell((grid.firstColumn() + column) * ViewGrid::CellPx,
                            (grid.firstRow() + row) * ViewGrid::CellPx, corners);
        }
}

} // namespace inkpeg
