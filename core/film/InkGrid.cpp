// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkGrid.h"

#include <array>
#include <numbers>

namespace inkpeg {

namespace {

/// Reads a plane by rows or, turned, by columns, so that one pass serves both families of lines.
struct Turned {
    const InkPlane& plane;
    bool byColumns;

    int along() const { return byColumns ? plane.height : plane.width; }
    int across() const { return byColumns ? plane.width : plane.height; }
    float at(int s, int t) const { return byColumns ? plane.clamped(t, s) : plane.clamped(s, t); }
};

/// Mean over lines of the squared sum along them: largest when the lines run along `slope`.
double sharpness(const Turned& view, double slope)
{
    constexpr int Stretch = 160, Stride = 3;
    double energy = 0;
    for (int start = 0; start + Stretch <= view.along(); start += Stretch)
        for (int t = 0; t < view.across(); t += 1) {
            double sum = 0;
            for (int s = 0; s < Stretch; s += Stride)
                sum += std::min(view.at(start + s, t + static_cast<int>(std::lround(slope * s))), 60.0F);
            energy += sum * sum;
        }
    return energy;
}

double slopeOfLines(const Turned& view)
{
    double best = 0, bestEnergy = -1;
    constexpr double Widest = 0.07; // four degrees
    for (double slope = -Widest; slope <= Widest; slope += 0.005)
        if (const double energy = sharpness(view, slope); energy > bestEnergy) {
            bestEnergy = energy;
            best = slope;
        }
    const double centre = best;
    for (double slope = centre - 0.004; slope <= centre + 0.0041; slope += 0.001)
        if (const double energy = sharpness(view, slope); energy > bestEnergy) {
            bestEnergy = energy;
            best = slope;
        }
    return best;
}

/// Median of the darkness along the line through each cell, `reach` cells to either side; near the rim as
/// many cells further to one side.
InkPlane medianAlong(const Turned& view, double slope, int reach)
{
    InkPlane lines(view.along(), view.across());
    constexpr int Samples = 17;
    constexpr float Bare =
        1.5F; // grey levels; nothing is taken from such cells, nor do they stand for a line
    reach = std::min(reach, (view.along() - 1) / 2);
    std::array<int, Samples> offsets{};
    for (int i = 0; i < Samples; ++i)
        offsets[static_cast<std::size_t>(i)] =
            static_cast<int>(std::lround((i - Samples / 2) * (2.0 * reach / (Samples - 1))));
    std::array<float, Samples> seen{};
    for (int s = 0; s < view.along(); ++s) {
        const int centre = std::clamp(s, reach, view.along() - 1 - reach);
        const bool atRim = centre != s; // the line wanders further there: between rows, not to the nearest
        std::array<int, Samples> rows{};
        std::array<float, Samples> below{};
        for (std::size_t i = 0; i < Samples; ++i) {
            const double shift = slope * (centre + offsets[i] - s);
            rows[i] = static_cast<int>(atRim ? std::floor(shift) : std::round(shift));
            below[i] = atRim ? static_cast<float>(shift - std::floor(shift)) : 0.0F;
        }
        for (int t = 0; t < view.across(); ++t) {
            if (view.at(s, t) <= Bare)
                continue;
            for (std::size_t i = 0; i < Samples; ++i) {
                seen[i] = view.at(centre + offsets[i], t + rows[i]);
                if (below[i] > 0)
                    seen[i] += below[i] * (view.at(centre + offsets[i], t + rows[i] + 1) - seen[i]);
            }
            std::nth_element(seen.begin(), seen.begin() + Samples / 2, seen.end());
            lines.at(s, t) = std::max(seen[Samples / 2], 0.0F);
        }
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

} // namespace

InkPlane printedGrid(const InkPlane& darkness, double periodCells)
{
    InkPlane grid(darkness.width, darkness.height);
    // Six periods to either side; wanders off a printed line turned or bent by a cell in that length only.
    const int reach = static_cast<int>(std::lround(6.3 * periodCells));
    for (const bool byColumns : {false, true}) {
        const Turned view{darkness, byColumns};
        const InkPlane lines = medianAlong(view, slopeOfLines(view), reach);
        InkPlane kept(lines.width, lines.height);
        for (const double multiple : {1.0, 5.0, 10.0})
            keepPeriodic(lines, multiple * periodCells, kept);
        for (int t = 0; t < kept.height; ++t)
            for (int s = 0; s < kept.width; ++s) {
                float& share = byColumns ? grid.at(t, s) : grid.at(s, t);
                share = std::max(share, kept.at(s, t));
            }
    }
    return grid;
}

} // namespace inkpeg
