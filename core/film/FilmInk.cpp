// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/FilmInk.h"

#include <algorithm>
#include <cmath>

namespace inkpeg {

PxRect inkWindow(std::span<const ScanPx> frame, const ScanFacts& facts, double dpi, double marginMm)
{
    if (frame.empty())
        return {0, 0, facts.widthPx, facts.heightPx};
    const double margin = marginMm * dpi / MillimetresPerInch;
    const auto [left, right] = std::ranges::minmax(frame, {}, &ScanPx::column);
    const auto [top, bottom] = std::ranges::minmax(frame, {}, &ScanPx::row);
    const auto within = [](double value, int most) {
        return static_cast<int>(std::clamp(value, 0.0, static_cast<double>(most)));
    };
    const int column = within(left.column - margin, facts.widthPx),
              row = within(top.row - margin, facts.heightPx);
    return {column, row, within(right.column + margin, facts.widthPx) - column,
            within(bottom.row + margin, facts.heightPx) - row};
}

Result<FilmInk> readFilmInk(const Scan& scan, const PxRect& window, double dpi, const InkSettings& settings,
                            const Progress& progress)
{
    const Error stopped{ErrorCode::Cancelled, "reading the ink was stopped"};
    // The map takes nine tenths of the time.
    const Progress ofMap =
        progress ? Progress([&](double share) { return progress(0.9 * share); }) : Progress();
    Result<InkMap> map = readInkMap(scan, window, dpi, settings, ofMap);
    if (!map)
        return map.error();
    if (!report(progress, 0.9))
        return stopped;
    InkNetwork network = InkNetwork::of(*map);
    if (!report(progress, 1.0))
        return stopped;
    return FilmInk{std::move(map).value(), std::move(network)};
}

std::optional<ScanPx> nearestJunction(const FilmInk& ink, ScanPx place, double reachMm)
{
    const CellPoint at = ink.map.toCell(place);
    double nearest = reachMm / ink.map.cellMm();
    std::optional<CellPoint> found;
    const std::vector<MaskCell>& nodes = ink.network.nodes();
    for (std::size_t node = 0; node < nodes.size(); ++node) {
        if (!ink.network.isJunction(node))
            continue;
        const CellPoint middle = {nodes[node].column + 0.5, nodes[node].row + 0.5};
        if (const double away = distance(middle, at); away < nearest) {
            nearest = away;
            found = middle;
        }
    }
    return found ? std::optional(ink.map.toScan(*found)) : std::nullopt;
}

} // namespace inkpeg
