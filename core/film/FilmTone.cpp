// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/FilmTone.h"

#include <algorithm>
#include <cmath>

#include "core/film/Pyramid.h"

namespace inkpeg {
namespace {

constexpr double NoiseShare = 0.02;
constexpr double MostGain = 5;

std::uint8_t asByte(double value)
{
    return static_cast<std::uint8_t>(std::lround(std::clamp(value, 0.0, 255.0)));
}

/// The value that four fifths of the pixels do not exceed.
int fourFifths(const std::array<int, 256>& counts, int total)
{
    int sum = 0;
    for (int value = 0; value < 256; ++value) {
        sum += counts[static_cast<std::size_t>(value)];
        if (5 * sum >= 4 * total)
            return value;
    }
    return 255;
}

} // namespace

std::array<std::uint8_t, 256> toneTable(const FilmTone& tone)
{
    std::array<std::uint8_t, 256> table{};
    const double slope = std::pow(4.0, std::clamp(tone.contrast, -1.0, 1.0));
    const double lift = 128 * std::clamp(tone.brightness, -1.0, 1.0);
    for (int v = 0; v < 256; ++v)
        table[static_cast<std::size_t>(v)] = asByte((v - 128) * slope + 128 + lift);
    return table;
}

BareFilm::BareFilm(const PyramidTile& look, int scanWidth, int scanHeight, double cellScanPx)
    : m_channels(look.channels)
{
    const auto cells = [&](int scanPx, int lookPx) {
        return std::clamp(static_cast<int>(std::lround(scanPx / std::max(cellScanPx, 1.0))), 1, lookPx);
    };
    m_columns = cells(scanWidth, look.width);
    m_rows = cells(scanHeight, look.height);
    m_cellWidth = double(scanWidth) / m_columns;
    m_cellHeight = double(scanHeight) / m_rows;
    for (int row = 0; row < m_rows; ++row)
        for (int column = 0; column < m_columns; ++column) {
            const int left = column * look.width / m_columns, right = (column + 1) * look.width / m_columns;
            const int top = row * look.height / m_rows, bottom = (row + 1) * look.height / m_rows;
            for (int c = 0; c < m_channels; ++c) {
                std::array<int, 256> counts{};
                for (int y = top; y < bottom; ++y)
                    for (int x = left; x < right; ++x)
                        ++counts[look.pixels[static_cast<std::size_t>((y * look.width + x) * m_channels +
                                                                      c)]];
                m_values.push_back(
                    static_cast<float>(std::max(1, fourFifths(counts, (right - left) * (bottom - top)))));
            }
        }
    smooth();
}

/// The median of the nine cells about each, then their mean: a dark or blank cell does not shine into its
/// neighbours, and no edge of a cell is seen.
void BareFilm::smooth()
{
    for (const bool median : {true, false}) {
        const std::vector<float> before = m_values;
        for (int row = 0; row < m_rows; ++row)
            for (int column = 0; column < m_columns; ++column)
                for (int c = 0; c < m_channels; ++c) {
                    std::array<float, 9> about{};
                    std::size_t count = 0;
                    for (int y = std::max(row - 1, 0); y <= std::min(row + 1, m_rows - 1); ++y)
                        for (int x = std::max(column - 1, 0); x <= std::min(column + 1, m_columns - 1); ++x)
                            about[count++] =
                                before[static_cast<std::size_t>((y * m_columns + x) * m_channels + c)];
                    float sum = 0;
                    for (std::size_t i = 0; i < count; ++i)
                        sum += about[i];
                    std::nth_element(about.begin(), about.begin() + static_cast<std::ptrdiff_t>(count / 2),
                                     about.begin() + static_cast<std::ptrdiff_t>(count));
                    m_values[static_cast<std::size_t>((row * m_columns + column) * m_channels + c)] =
                        median ? about[count / 2] : sum / static_cast<float>(count);
                }
    }
}

double BareFilm::value(int column, int row, int channel) const
{
    return m_values[static_cast<std::size_t>((row * m_columns + column) * m_channels + channel)];
}

double BareFilm::at(double column, double row, int channel) const
{
    const double x = std::clamp(column / m_cellWidth - 0.5, 0.0, double(m_columns - 1));
    const double y = std::clamp(row / m_cellHeight - 0.5, 0.0, double(m_rows - 1));
    const int left = static_cast<int>(x), top = static_cast<int>(y);
    const int right = std::min(left + 1, m_columns - 1), bottom = std::min(top + 1, m_rows - 1);
    const double fx = x - left, fy = y - top;
    return (value(left, top, channel) * (1 - fx) + value(right, top, channel) * fx) * (1 - fy) +
           (value(left, bottom, channel) * (1 - fx) + value(right, bottom, channel) * fx) * fy;
}

PyramidTilePointer withStrongerInk(const PyramidTile& tile, int level, int tileColumn, int tileRow,
                                   const BareFilm& film, double inkStrength)
{
    // The bare film is so smooth that it is asked for every 16 pixels only.
    constexpr int Step = 16;
    const double s = std::clamp(inkStrength, 0.0, 1.0);
    const auto noise = static_cast<float>(NoiseShare * s), gain = static_cast<float>(1 + MostGain * s),
               weak = static_cast<float>(1 - s), whiter = static_cast<float>(s);
    auto toned = std::make_shared<PyramidTile>(tile);
    const double scanPx = 1 << level;
    const double left = tileColumn * TilePyramid::TilePx * scanPx,
                 top = tileRow * TilePyramid::TilePx * scanPx;
    for (int c = 0; c < tile.channels; ++c)
        for (int y = 0; y < tile.height; ++y)
            for (int x = 0; x < tile.width; x += Step) {
                const double row = top + (y + 0.5) * scanPx;
                const auto from = static_cast<float>(film.at(left + x * scanPx, row, c));
                const auto to = static_cast<float>(film.at(left + (x + Step) * scanPx, row, c));
                const int end = std::min(x + Step, tile.width);
                for (int i = x; i < end; ++i) {
                    const float bare =
                        from + (to - from) * (static_cast<float>(i - x) + 0.5F) / static_cast<float>(Step);
                    std::uint8_t& value =
                        toned->pixels[static_cast<std::size_t>((y * tile.width + i) * tile.channels + c)];
                    const float dark = 1 - static_cast<float>(value) / bare;
                    const float strong = std::max(dark - noise, 0.0F) + weak * std::min(dark, noise);
                    const float white = bare + whiter * (255 - bare);
                    value = static_cast<std::uint8_t>(
                        std::clamp(white * (1 - std::min(1.0F, gain * strong)) + 0.5F, 0.0F, 255.0F));
                }
            }
    return toned;
}

} // namespace inkpeg
