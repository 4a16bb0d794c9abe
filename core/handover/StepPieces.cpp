// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/StepPieces.h"

#include <algorithm>
#include <utility>

#include "core/outline/Overlay.h"

namespace inkpeg {

namespace {

/// What was drawn up to a step ends there only to the lattice of scan positions. Less than this beyond it is
/// not drawn over the step: far below the width of a line at any scale.
constexpr double SliverM = 1e-4;

/// Of distances along the line, or of levels.
using Reach = std::pair<double, double>;

std::pair<Reach, Reach> reachOf(const std::vector<Part>& parts, const DrawingGround& ground)
{
    Reach along{1e300, -1e300}, levels{1e300, -1e300};
    for (const Part& part : parts)
        for (const ScanPx vertex : part.outer.vertices) {
            const GroundM face = ground.toGround(vertex);
            along = {std::min(along.first, face.east), std::max(along.second, face.east)};
            levels = {std::min(levels.first, face.north), std::max(levels.second, face.north)};
        }
    return {along, levels};
}

/// A step as it runs over the film, from well below what is drawn to well above it.
Result<std::vector<ScanPx>> stepOnFilm(double alongM, Reach levels, const DrawingGround& ground)
{
    constexpr double BesideM = 0.1;
    constexpr int Stretches = 16; // a fit may bend
    std::vector<ScanPx> line;
    for (int i = 0; i <= Stretches; ++i) {
        const double share = double(i) / Stretches;
        const double level = levels.first - BesideM + share * (levels.second - levels.first + 2 * BesideM);
        const Result<ScanPx> at = ground.toScan({alongM, level});
        if (!at)
            return at.error();
        line.push_back(*at);
    }
    return line;
}

} // namespace

Result<std::vector<StepPiece>> cutAtSteps(const std::vector<Part>& parts, const DrawingGround& ground)
{
    const std::vector<double> steps = ground.section->stepsM();
    std::vector<std::vector<Part>> whole{parts};
    for (const double step : steps) {
        std::vector<std::vector<Part>> cut;
        for (std::vector<Part>& one : whole) {
            const auto [along, levels] = reachOf(one, ground);
            if (along.first >= step - SliverM || along.second <= step + SliverM) {
                cut.push_back(std::move(one));
                continue;
            }
            const Result<std::vector<ScanPx>> line = stepOnFilm(step, levels, ground);
            if (!line)
                return line.error();
            Result<std::vector<std::vector<Part>>> pieces = piecesAlong(one, *line, EdgeKind::Truncated);
            if (!pieces)
                return pieces.error();
            std::ranges::move(*pieces, std::back_inserter(cut));
        }
        whole = std::move(cut);
    }
    std::vector<StepPiece> pieces;
    for (std::vector<Part>& one : whole) {
        const Reach along = reachOf(one, ground).first;
        const double middle = (along.first + along.second) / 2;
        const auto passed = std::ranges::count_if(steps, [&](double step) { return step < middle; });
        pieces.push_back({static_cast<std::size_t>(passed), std::move(one)});
    }
    return pieces;
}

} // namespace inkpeg
