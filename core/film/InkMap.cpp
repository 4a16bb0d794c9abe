// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkMap.h"

#include <iterator>
#include <numbers>
#include <string>

#include "core/film/InkGrid.h"

namespace inkpeg {

namespace {

InkPlane averagedCells(const GreyImage& window, int step)
{
    InkPlane cells(window.width / step, window.height / step);
    const float share = 1.0F / static_cast<float>(step * step);
    for (int row = 0; row < cells.height; ++row)
        for (int column = 0; column < cells.width; ++column) {
            int sum = 0;
            for (int y = 0; y < step; ++y)
                for (int x = 0; x < step; ++x)
                    sum += window.at(column * step + x, row * step + y);
            cells.at(column, row) = static_cast<float>(sum) * share;
        }
    return cells;
}

/// Grey of the paper around each cell: the upper quartile of blocks, smoothed and spread over their cells.
InkPlane paperAround(const InkPlane& grey, int block)
{
    InkPlane blocks((grey.width + block - 1) / block, (grey.height + block - 1) / block);
    std::vector<float> seen;
    for (int br = 0; br < blocks.height; ++br)
        for (int bc = 0; bc < blocks.width; ++bc) {
            seen.clear();
            for (int row = br * block; row < std::min(grey.height, (br + 1) * block); ++row)
                for (int column = bc * block; column < std::min(grey.width, (bc + 1) * block); ++column)
                    seen.push_back(grey.at(column, row));
            const auto quartile = seen.begin() + static_cast<std::ptrdiff_t>(seen.size() * 3 / 4);
            std::nth_element(seen.begin(), quartile, seen.end());
            blocks.at(bc, br) = *quartile;
        }
    InkPlane paper(grey.width, grey.height);
    for (int row = 0; row < grey.height; ++row)
        for (int column = 0; column < grey.width; ++column)
            paper.at(column, row) = blocks.sample({(column + 0.5) / block, (row + 0.5) / block});
    return paper;
}

float quantile(std::vector<float> values, double share)
{
    if (values.empty())
        return 0;
    const auto place =
        values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), place, values.end());
    return *place;
}

/// Second derivatives at a cell that has neighbours all around, and what they say of a ridge there.
struct Curvature {
    float xx = 0, yy = 0, xy = 0;

    Curvature(const InkPlane& plane, int column, int row)
    {
        const float* here = &plane.values[plane.index(column, row)];
        const float *above = here - plane.width, *below = here + plane.width;
        xx = here[1] + here[-1] - 2 * here[0];
        yy = below[0] + above[0] - 2 * here[0];
        xy = (below[1] + above[-1] - above[1] - below[-1]) / 4;
    }

    /// Downward curvature across the ridge; a blot curves down along it too, and half of that is held
    /// against it, so that junctions keep some.
    float ridge() const
    {
        const float mean = (xx + yy) / 2, half = (xx - yy) / 2, root = std::sqrt(half * half + xy * xy);
        return root - mean - 0.5F * std::max(0.0F, -mean - root);
    }
    /// Direction of the ridge: that of the eigenvector with the greater eigenvalue; 256 = half a turn.
    std::uint8_t direction() const
    {
        const double radians = 0.5 * std::atan2(2.0 * xy, static_cast<double>(xx) - yy);
        return static_cast<std::uint8_t>(std::lround(radians * 256 / std::numbers::pi) & 255);
    }
};

/// How much rougher than usual the film is around each cell, at least 1: under a smudge the grain and what
/// is left of a printed grid swing more. Told by the weaker third of the strengths in blocks, which are
/// paper; of a block and those around it the middle one, for lines fill a few and smudges many.
InkPlane roughnessAround(const InkPlane& strength, int block)
{
    constexpr double PaperShare = 0.3;
    const float usual = std::max(1e-3F, quantile(strength.values, PaperShare));
    InkPlane blocks((strength.width + block - 1) / block, (strength.height + block - 1) / block);
    for (int br = 0; br < blocks.height; ++br)
        for (int bc = 0; bc < blocks.width; ++bc) {
            std::vector<float> seen;
            for (int row = br * block; row < std::min(strength.height, (br + 1) * block); ++row)
                for (int column = bc * block; column < std::min(strength.width, (bc + 1) * block); ++column)
                    seen.push_back(strength.at(column, row));
            blocks.at(bc, br) = quantile(std::move(seen), PaperShare) / usual;
        }
    InkPlane roughness(blocks.width, blocks.height);
    for (int br = 0; br < blocks.height; ++br)
        for (int bc = 0; bc < blocks.width; ++bc) {
            std::vector<float> around;
            for (int row = br - 1; row <= br + 1; ++row)
                for (int column = bc - 1; column <= bc + 1; ++column)
                    around.push_back(blocks.clamped(column, row));
            constexpr float Chance = 1.25F; // paper itself differs by that much from block to block
            const float middle = quantile(std::move(around), 0.5);
            roughness.at(bc, br) = middle > Chance ? middle : 1.0F;
        }
    return roughness;
}

/// Never below what one grey level in ten cells gives.
float noiseOf(const std::vector<float>& strengths)
{
    return std::max(0.35F, quantile(strengths, 0.5));
}

/// Ridge strength that is as likely ink as not. Most cells are paper: their median tells the noise. Where
/// there is strong pencil, its flanks and blots rise above that too: a tenth of the usual line is asked
/// for.
float halfStrength(const std::vector<float>& strengths)
{
    const float noise = noiseOf(strengths);
    std::vector<float> lines;
    std::copy_if(strengths.begin(), strengths.end(), std::back_inserter(lines),
                 [&](float strength) { return strength > 10 * noise; });
    return std::max(4 * noise, 0.1F * quantile(std::move(lines), 0.75));
}

/// Printed lines go altogether: a third more than their usual darkness is taken, for they are darker where
/// they fall on the middle of a cell. Of pencil on top of one only the usual share goes. Paper never turns
/// lighter than it is, which would break the pencil beside it.
float withoutPrint(float darkness, float print)
{
    if (darkness <= 1.35F * print)
        return std::min(darkness, 0.0F);
    return std::min(darkness - print, 2 * (darkness - 1.35F * print));
}

} // namespace

InkPlane smoothed(const InkPlane& plane, double sigma)
{
    const int reach = std::max(1, static_cast<int>(std::ceil(3 * sigma)));
    std::vector<float> weights(static_cast<std::size_t>(reach) + 1);
    float total = 0;
    for (int i = 0; i <= reach; ++i) {
        weights[static_cast<std::size_t>(i)] = static_cast<float>(std::exp(-0.5 * i * i / (sigma * sigma)));
        total += (i == 0 ? 1 : 2) * weights[static_cast<std::size_t>(i)];
    }
    for (float& weight : weights)
        weight /= total;
    InkPlane byRows(plane.width, plane.height), result(plane.width, plane.height);
    std::vector<float> padded(static_cast<std::size_t>(plane.width + 2 * reach));
    for (int row = 0; row < plane.height; ++row) {
        for (int i = 0; i < plane.width + 2 * reach; ++i)
            padded[static_cast<std::size_t>(i)] = plane.clamped(i - reach, row);
        for (int column = 0; column < plane.width; ++column) {
            const float* at = padded.data() + column + reach;
            float sum = weights[0] * at[0];
            for (int i = 1; i <= reach; ++i)
                sum += weights[static_cast<std::size_t>(i)] * (at[-i] + at[i]);
            byRows.at(column, row) = sum;
        }
    }
    for (int row = 0; row < plane.height; ++row)
        for (int i = 0; i <= reach; ++i) {
            const int above = std::max(0, row - i), below = std::min(plane.height - 1, row + i);
            const float weight = weights[static_cast<std::size_t>(i)] * (i == 0 ? 0.5F : 1.0F);
            float* out = &result.at(0, row);
            const float *up = byRows.values.data() + byRows.index(0, above),
                        *down = byRows.values.data() + byRows.index(0, below);
            for (int column = 0; column < plane.width; ++column)
                out[column] += weight * (up[column] + down[column]);
        }
    return result;
}

Result<InkMap> InkMap::build(const GreyImage& window, const PxRect& place, double dpi,
                             const InkSettings& settings, const Progress& progress)
{
    const Error stopped{ErrorCode::Cancelled, "reading the ink was stopped"};
    if (!(dpi > 0))
        return Error{ErrorCode::BadInput,
                     "ink map: the resolution of the scan is not known; give it in dpi"};
    InkMap map;
    map.m_step = std::max(1, static_cast<int>(dpi / 180.0));
    map.m_place = place;
    map.m_cellMm = map.m_step * MillimetresPerInch / dpi;
    constexpr int SmallestCells = 16;
    if (window.width != place.width || window.height != place.height ||
        std::min(window.width, window.height) < SmallestCells * map.m_step)
        return Error{ErrorCode::BadInput, "ink map: the window of " + std::to_string(window.width) +
                                              " by " + std::to_string(window.height) +
                                              " pixels is too small to look for ink"};
    const InkPlane grey = averagedCells(window, map.m_step);
    InkPlane darkness = paperAround(grey, std::max(8, static_cast<int>(4.0 / map.m_cellMm)));
    for (std::size_t i = 0; i < darkness.values.size(); ++i)
        darkness.values[i] -= grey.values[i];
    if (!report(progress, 0.25))
        return stopped;
    if (settings.suppressGrid && settings.gridMm / map.m_cellMm > 3) {
        const InkPlane grid = printedGrid(darkness, settings.gridMm / map.m_cellMm);
        for (std::size_t i = 0; i < darkness.values.size(); ++i)
            darkness.values[i] = withoutPrint(darkness.values[i], grid.values[i]);
    }
    if (!report(progress, 0.65))
        return stopped;
    map.measureRidges(darkness, settings);
    if (!report(progress, 0.9))
        return stopped;
    map.priceSteps();
    return map;
}

void InkMap::measureRidges(const InkPlane& darkness, const InkSettings& settings)
{
    m_darkness = smoothed(darkness, std::max(0.6, 0.1 / m_cellMm));
    m_strength = InkPlane(darkness.width, darkness.height);
    m_direction.assign(darkness.values.size(), 0);
    const double usualSigma =
        settings.lineMm / m_cellMm / (2 * std::numbers::sqrt3); // of a bar of that width
    for (const double factor : {0.9, 1.45, 2.3}) {
        const double sigma = std::max(0.7, usualSigma * factor);
        const InkPlane plane = smoothed(darkness, sigma);
        const auto scale = static_cast<float>(sigma * sigma);
        for (int row = 1; row < plane.height - 1; ++row)
            for (int column = 1; column < plane.width - 1; ++column) {
                const Curvature curvature(plane, column, row);
                float& strongest = m_strength.at(column, row);
                if (const float strength = curvature.ridge() * scale; strength > strongest) {
                    strongest = strength;
                    m_direction[plane.index(column, row)] = curvature.direction();
                }
            }
    }
    const int block = std::max(8, static_cast<int>(4.0 / m_cellMm));
    const InkPlane roughness = roughnessAround(m_strength, block);
    const float usualHalf = halfStrength(m_strength.values), noise = noiseOf(m_strength.values);
    for (int row = 0; row < m_strength.height; ++row)
        for (int column = 0; column < m_strength.width; ++column) {
            float& strength = m_strength.at(column, row);
            const float rough = roughness.sample({(column + 0.5) / block, (row + 0.5) / block});
            const float half = std::max(usualHalf, 4 * noise * rough);
            strength = strength * strength / (strength * strength + half * half);
        }
    m_inkAbove =
        std::max(2.0F, 3 * quantile(m_darkness.values, 0.7) - 2 * quantile(m_darkness.values, 0.5));
}

void InkMap::priceSteps()
{
    constexpr double Ink = 4, Paper = 52;
    std::array<std::array<float, 256>, 4> agreement{};
    for (int d = 0; d < 4; ++d)
        for (int angle = 0; angle < 256; ++angle) {
            const double cosine = std::cos(angle * std::numbers::pi / 256 - d * std::numbers::pi / 4);
            agreement[static_cast<std::size_t>(d)][static_cast<std::size_t>(angle)] =
                static_cast<float>(0.6 + 0.4 * cosine * cosine);
        }
    m_fine = {width(), height(), std::vector<StepCosts>(m_strength.values.size())};
    for (std::size_t i = 0; i < m_fine.costs.size(); ++i)
        for (std::size_t d = 0; d < 4; ++d) {
            const double length = d % 2 == 0 ? 1.0 : std::numbers::sqrt2;
            const double inkiness = m_strength.values[i] * agreement[d][m_direction[i]];
            m_fine.costs[i][d] =
                static_cast<std::uint8_t>(std::lround(length * (Ink + (Paper - Ink) * (1 - inkiness))));
        }
    const int coarseWidth = (width() + 1) / 2, coarseHeight = (height() + 1) / 2;
    m_coarse = {coarseWidth, coarseHeight,
                std::vector<StepCosts>(static_cast<std::size_t>(coarseWidth) *
                                           static_cast<std::size_t>(coarseHeight),
                                       StepCosts{255, 255, 255, 255})};
    for (int row = 0; row < height(); ++row)
        for (int column = 0; column < width(); ++column) {
            StepCosts& coarse =
                m_coarse.costs[static_cast<std::size_t>(row / 2 * coarseWidth + column / 2)];
            for (std::size_t d = 0; d < 4; ++d)
                coarse[d] = std::min(coarse[d], m_fine.at(column, row)[d]);
        }
}

CellPoint InkMap::toCell(ScanPx position) const
{
    return {(position.column - m_place.column) / m_step, (position.row - m_place.row) / m_step};
}

ScanPx InkMap::toScan(CellPoint cell) const
{
    return {m_place.column + cell.column * m_step, m_place.row + cell.row * m_step};
}

bool InkMap::covers(ScanPx position) const
{
    const CellPoint cell = toCell(position);
    return cell.column >= 0 && cell.row >= 0 && cell.column < width() && cell.row < height();
}

double InkMap::directionAt(int column, int row) const
{
    return m_direction[m_strength.index(column, row)] * std::numbers::pi / 256;
}

Result<InkMap> readInkMap(const Scan& scan, const PxRect& window, double dpi, const InkSettings& settings,
                          const Progress& progress)
{
    const int left = std::clamp(window.column, 0, scan.facts().widthPx);
    const int top = std::clamp(window.row, 0, scan.facts().heightPx);
    const PxRect cut = {left, top, std::min(window.column + window.width, scan.facts().widthPx) - left,
                        std::min(window.row + window.height, scan.facts().heightPx) - top};
    if (cut.width <= 0 || cut.height <= 0)
        return Error{ErrorCode::BadInput, "ink map: the window lies outside the scan"};
    const Result<GreyImage> grey = scan.readGrey(cut, cut.width, cut.height);
    if (!grey)
        return grey.error();
    if (!report(progress, 0.1))
        return Error{ErrorCode::Cancelled, "reading the ink was stopped"};
    return InkMap::build(*grey, cut, dpi, settings, progress);
}

} // namespace inkpeg
