// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkGrid.h"

#include <array>
#include <future>

namespace inkpeg {

namespace {

/// The plane with rows and columns exchanged, so that one pass, going along rows, serves both families of
/// lines.
InkPlane exchanged(const InkPlane& plane)
{
    InkPlane other(plane.height, plane.width);
    for (int row = 0; row < plane.height; ++row)
        for (int column = 0; column < plane.width; ++column)
            other.at(row, column) = plane.at(column, row);
    return other;
}

/// Mean over lines of the squared sum along them: largest when the lines run along `slope`.
double sharpness(const InkPlane& plane, double slope)
{
    constexpr int Stretch = 160, Stride = 3;
    // A few hundred thousand cells tell the slope as well as all of a sheet's.
    constexpr std::size_t Enough = 400'000;
    const int every = 1 + static_cast<int>(plane.values.size() / Enough);
    double energy = 0;
    for (int start = 0; start + Stretch <= plane.width; start += Stretch * every)
        for (int t = 0; t < plane.height; ++t) {
            double sum = 0;
            for (int s = 0; s < Stretch; s += Stride)
                sum +=
                    std::min(plane.clamped(start + s, t + static_cast<int>(std::lround(slope * s))), 60.0F);
            energy += sum * sum;
        }
    return energy;
}

double slopeOfLines(const InkPlane& plane)
{
    double best = 0, bestEnergy = -1;
    constexpr double Widest = 0.07; // four degrees
    for (double slope = -Widest; slope <= Widest; slope += 0.005)
        if (const double energy = sharpness(plane, slope); energy > bestEnergy) {
            bestEnergy = energy;
            best = slope;
        }
    const double centre = best;
    for (double slope = centre - 0.004; slope <= centre + 0.0041; slope += 0.001)
        if (const double energy = sharpness(plane, slope); energy > bestEnergy) {
            bestEnergy = energy;
            best = slope;
        }
    return best;
}

/// Where the samples for one column lie: columns, rows to add, and the share of the row below that.
constexpr std::size_t Samples = 17;
struct SamplePlaces {
    std::array<int, Samples> columns{}, rows{};
    std::array<float, Samples> below{};
};

/// Near the rim the samples lie further to one side; the line wanders further there, so they are read
/// between rows, not on the nearest.
SamplePlaces samplesFor(int column, int width, int reach, double slope)
{
    const int centre = std::clamp(column, reach, width - 1 - reach);
    SamplePlaces places;
    for (std::size_t i = 0; i < Samples; ++i) {
        const double share = static_cast<double>(i) / (Samples - 1) * 2 - 1;
        places.columns[i] = centre + static_cast<int>(std::lround(share * reach));
        const double shift = slope * (places.columns[i] - column);
        places.rows[i] = static_cast<int>(centre == column ? std::round(shift) : std::floor(shift));
        places.below[i] = centre == column ? 0.0F : static_cast<float>(shift - std::floor(shift));
    }
    return places;
}

/// Median of the darkness along the line through each cell, `reach` cells to either side.
InkPlane medianAlong(const InkPlane& plane, double slope, int reach)
{
    constexpr float Bare =
        1.5F; // grey levels; nothing is taken from such cells, nor do they stand for a line
    reach = std::min(reach, (plane.width - 1) / 2);
    std::vector<SamplePlaces> places;
    for (int column = 0; column < plane.width; ++column)
        places.push_back(samplesFor(column, plane.width, reach, slope));
    InkPlane lines(plane.width, plane.height);
    std::array<float, Samples> seen{};
    for (int row = 0; row < plane.height; ++row)
        for (int column = 0; column < plane.width; ++column) {
            if (plane.at(column, row) <= Bare)
                continue;
            const SamplePlaces& place = places[static_cast<std::size_t>(column)];
            // Most cells lie on no line: once half of the samples are bare, the median is, and the rest
            // need not be read.
            std::size_t bare = 0, read = 0;
            for (; read < Samples && bare <= Samples / 2; ++read) {
                const int upper = std::clamp(row + place.rows[read], 0, plane.height - 1);
                float value = plane.at(place.columns[read], upper);
                if (place.below[read] > 0)
                    value += place.below[read] *
                             (plane.at(place.columns[read], std::min(upper + 1, plane.height - 1)) - value);
                seen[read] = value;
                bare += value <= Bare ? 1 : 0;
            }
            if (bare > Samples / 2)
                continue;
            std::nth_element(seen.begin(), seen.begin() + Samples / 2, seen.end());
            lines.at(column, row) = seen[Samples / 2];
        }
    return lines;
}

/// What is left of `lines` when each cell must agree with those one and two periods away across the lines.
/// Along a slope the neighbour line lies straight across within a cell, for slopes this small.
void keepPeriodic(const InkPlane& lines, double period, InkPlane& kept)
{
    // One cell to either side: the period of a stretched film differs by up to a cell over two periods.
    const auto around = [&](int s, double t) {
        const int row = static_cast<int>(std::lround(t));
        if (row < 1 || row >= lines.height - 1)
            return -1.0F;
        return std::max({lines.at(s, row - 1), lines.at(s, row), lines.at(s, row + 1)});
    };
    for (int t = 0; t < lines.height; ++t)
        for (int s = 0; s < lines.width; ++s) {
            if (lines.at(s, t) <= 0)
                continue;
            float least = 1e9F, second = 1e9F;
            int count = 0;
            for (const int away : {-2, -1, 1, 2})
                if (const float value = around(s, t + away * period); value >= 0) {
                    second = std::min(second, std::max(least, value));
                    least = std::min(least, value);
                    ++count;
                }
            if (count < 2)
                continue;
            // The second smallest of four: three of the four neighbours must be lines too.
            const float neighbours = count >= 3 ? second : least;
            kept.at(s, t) = std::max(kept.at(s, t), std::min(lines.at(s, t), 1.15F * neighbours));
        }
}

/// The printed lines that run along the rows, or nearly so.
InkPlane periodicLines(const InkPlane& plane, double periodCells)
{
    // Six periods to either side; wanders off a printed line turned or bent by a cell in that length only.
    const int reach = static_cast<int>(std::lround(6.3 * periodCells));
    const InkPlane lines = medianAlong(plane, slopeOfLines(plane), reach);
    InkPlane kept(lines.width, lines.height);
    for (const double multiple : {1.0, 5.0, 10.0})
        keepPeriodic(lines, multiple * periodCells, kept);
    return kept;
}

} // namespace

InkPlane printedGrid(const InkPlane& darkness, double periodCells)
{
    // Both families of lines at once: they take most of the time that a map takes.
    auto down = std::async(std::launch::async,
                           [&] { return exchanged(periodicLines(exchanged(darkness), periodCells)); });
    InkPlane grid = periodicLines(darkness, periodCells);
    const InkPlane other = down.get();
    for (std::size_t i = 0; i < grid.values.size(); ++i)
        grid.values[i] = std::max(grid.values[i], other.values[i]);
    return grid;
}

} // namespace inkpeg
