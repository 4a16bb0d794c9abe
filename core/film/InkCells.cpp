// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkCells.h"

#include <algorithm>
#include <cmath>

namespace inkpeg {
namespace {

constexpr int Around = 16;
constexpr float TimesNoise = 3; // what is darker than three times the noise is no noise

/// Sums over all cells above and left, to take means over any rectangle with four of them.
class Totals {
public:
    explicit Totals(const InkPlane& plane)
        : m_width(static_cast<std::size_t>(plane.width) + 1),
          m_sums(m_width * (static_cast<std::size_t>(plane.height) + 1), 0.0)
    {
        for (int row = 0; row < plane.height; ++row) {
            double along = 0;
            for (int column = 0; column < plane.width; ++column) {
                along += plane.at(column, row);
                at(column + 1, row + 1) = at(column + 1, row) + along;
            }
        }
    }
    double mean(int left, int top, int right, int bottom)
    {
        const double sum = at(right, bottom) - at(left, bottom) - at(right, top) + at(left, top);
        return sum / ((right - left) * (bottom - top));
    }

private:
    double& at(int column, int row)
    {
        return m_sums[static_cast<std::size_t>(row) * m_width + static_cast<std::size_t>(column)];
    }
    std::size_t m_width;
    std::vector<double> m_sums;
};

/// Grey means become ink in place.
void keepInk(InkPlane& cells, FaintInk faint)
{
    Totals totals(cells);
    std::vector<float> rises;
    for (int row = 0; row < cells.height; ++row)
        for (int column = 0; column < cells.width; ++column) {
            const double mean = totals.mean(std::max(0, column - Around), std::max(0, row - Around),
                                            std::min(cells.width, column + Around + 1),
                                            std::min(cells.height, row + Around + 1));
            float& here = cells.at(column, row);
            here = static_cast<float>(mean) - here;
            if (here < 0)
                rises.push_back(-here); // lighter than its surroundings: bare film, and its noise
        }
    float noise = 0;
    if (faint == FaintInk::Dropped && !rises.empty()) {
        const auto middle = rises.begin() + static_cast<std::ptrdiff_t>(rises.size() / 2);
        std::nth_element(rises.begin(), middle, rises.end());
        noise = *middle / 0.6745F; // median of the half normal distribution to its deviation
    }
    for (float& value : cells.values)
        value = std::max(0.0F, value - std::max(1.0F, TimesNoise * noise));
}

} // namespace

InkPlane inkCells(const GreyImage& image, int step, FaintInk faint)
{
    InkPlane cells(std::max(1, image.width / step), std::max(1, image.height / step));
    for (int row = 0; row < cells.height; ++row)
        for (int column = 0; column < cells.width; ++column) {
            int sum = 0, count = 0;
            for (int y = row * step; y < std::min((row + 1) * step, image.height); ++y)
                for (int x = column * step; x < std::min((column + 1) * step, image.width); ++x, ++count)
                    sum += image.at(x, y);
            cells.at(column, row) = static_cast<float>(sum) / static_cast<float>(std::max(1, count));
        }
    keepInk(cells, faint);
    return cells;
}

Result<InkPlane> readInkCells(const Scan& scan, int step, FaintInk faint)
{
    const ScanFacts& facts = scan.facts();
    InkPlane cells(std::max(1, facts.widthPx / step), std::max(1, facts.heightPx / step));
    // Bands of whole cells, so that memory stays small whatever the scan's size.
    constexpr int RowsAtOnce = 64;
    const int width = std::min(cells.width * step, facts.widthPx);
    std::vector<std::uint8_t> band;
    for (int first = 0; first < cells.height; first += RowsAtOnce) {
        const int rows = std::min(RowsAtOnce, cells.height - first);
        const PxRect window{0, first * step, width, std::min(rows * step, facts.heightPx - first * step)};
        band.resize(static_cast<std::size_t>(window.width) * static_cast<std::size_t>(window.height));
        if (const Result<void> good = scan.checkWindow(window); !good)
            return good.error();
        (void)scan.readSoundPixels(window, 1, band.data(), static_cast<std::size_t>(window.width));
        for (int row = 0; row < rows; ++row)
            for (int column = 0; column < cells.width; ++column) {
                int sum = 0, count = 0;
                for (int y = row * step; y < std::min((row + 1) * step, window.height); ++y)
                    for (int x = column * step; x < std::min((column + 1) * step, width); ++x, ++count)
                        sum += band[static_cast<std::size_t>(y) * static_cast<std::size_t>(window.width) +
                                    static_cast<std::size_t>(x)];
                cells.at(column, first + row) =
                    static_cast<float>(sum) / static_cast<float>(std::max(1, count));
            }
    }
    keepInk(cells, faint);
    return cells;
}

} // namespace inkpeg
