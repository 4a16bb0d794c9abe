// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkNetwork.h"

#include <algorithm>
#include <cmath>

#include "core/film/InkDashes.h"
#include "core/film/InkDoubts.h"
#include "core/film/InkGaps.h"

namespace inkpeg {

namespace {

constexpr double FaintPerMm = 0.06;

double priceOfPencil(const InkMap& map, const std::vector<MaskCell>& cells, const InkDoubts& doubts)
{
    double price = 0;
    for (std::size_t i = 1; i < cells.size(); ++i) {
        const double mm = map.cellMm() * std::hypot(cells[i].column - cells[i - 1].column,
                                                    cells[i].row - cells[i - 1].row);
        const double faint = 1 - static_cast<double>(map.strength().at(cells[i].column, cells[i].row));
        price += mm * (InkNetwork::PencilPerMm + FaintPerMm * faint * faint) + doubts.at(cells[i]);
    }
    return price;
}

double priceOfGap(const PencilGap& gap, double widthMm, double cellMm)
{
    if (gap.toLine)
        return 0.4 + 0.25 * widthMm + (1 - gap.facing);
    const bool dashes = gap.facing > 0.85 && gap.shorterStrokeCells * cellMm > 1.6;
    if (gap.inRhythm)
        return 0.002 + 0.03 * widthMm;
    if (dashes)
        return 0.002 + 0.006 * widthMm + (widthMm > 2 ? 0.1 * (widthMm - 2) : 0);
    return 0.2 + 0.2 * widthMm + 0.5 * (1 - gap.facing);
}

} // namespace

InkNetwork InkNetwork::of(const InkMap& map, const InkNetworkSettings& settings)
{
    constexpr int HookCells = 3;
    constexpr double LineMm = 0.4;
    // Thinning to chains takes a little off either end of a stroke, and so does cutting off hooks.
    const double endsMm = 0.25 + 2 * HookCells * map.cellMm();
    const CellMask skeleton = withoutHooks(
        withoutWhiskers(skeletonOf(inkMask(map, settings.dirtMm)), settings.whiskerMm / map.cellMm()),
        HookCells);
    const InkChains joined =
        contracted(joinedThrough(chainsOf(skeleton)), settings.crossingMm / map.cellMm());
    const InkStrokes strokes = strokesOf(joined, 1.5 / map.cellMm());
    const std::vector<LooseEnd> ends = looseEnds(joined, strokes, 1.0 / map.cellMm());
    std::vector<PencilGap> gaps =
        gapsBetween(skeleton, ends, (settings.widestGapMm + endsMm) / map.cellMm());
    const InkDashes dashes(strokes, ends, gaps, map.cellMm(), endsMm);
    for (PencilGap& gap : gaps)
        gap.inRhythm = dashes.isInRhythm(gap);
    std::ranges::copy(dashes.coveredBeats(map), std::back_inserter(gaps));
    const InkDoubts doubts(joined, strokes, dashes, map.cellMm(), settings);

    std::vector<MaskCell> ties;
    for (const PencilGap& gap : gaps) {
        ties.push_back(gap.from);
        ties.push_back(gap.to);
    }
    std::vector<std::size_t> tieNodes;
    InkChains chains = chainsOf(skeleton, ties, &tieNodes);
    InkNetwork network;
    network.m_nodes = std::move(chains.nodes);
    network.m_at.resize(network.m_nodes.size());
    for (std::size_t node = 0; node < network.m_nodes.size(); ++node)
        network.m_junction.push_back(chains.at[node].size() > 2);
    const auto add = [&](InkRun run) {
        network.m_at[run.from].push_back(network.m_runs.size());
        network.m_at[run.to].push_back(network.m_runs.size());
        network.m_runs.push_back(std::move(run));
    };
    for (InkChain& chain : chains.chains) {
        const double price = priceOfPencil(map, chain.cells, doubts);
        add({chain.from, chain.to, std::move(chain.cells), price, -1, false});
    }
    for (std::size_t i = 0; i < gaps.size(); ++i) {
        const std::size_t from = tieNodes[2 * i], to = tieNodes[2 * i + 1];
        if (from == to)
            continue;
        const double widthMm = std::max(0.0, gaps[i].widthCells * map.cellMm() -
                                                 (gaps[i].toLine ? endsMm / 2 + LineMm / 2 : endsMm));
        add({from,
             to,
             {network.m_nodes[from], network.m_nodes[to]},
             priceOfGap(gaps[i], widthMm, map.cellMm()),
             widthMm,
             gaps[i].inRhythm});
    }
    return network;
}

} // namespace inkpeg
