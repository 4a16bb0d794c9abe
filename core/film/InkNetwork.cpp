// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkNetwork.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <unordered_map>

#include "core/film/InkGaps.h"

namespace inkpeg {

namespace {

constexpr double FaintPerMm = 0.06;
constexpr double HachureOn = 5, HachureLoose = 3, LetterStroke = 1.5;

/// What looks like something else than an outline costs extra, kept by the cells of its strokes.
class Doubts {
public:
    Doubts(const InkChains& joined, const std::vector<PencilGap>& gaps, double cellMm,
           const InkNetworkSettings& settings)
        : m_joined(joined), m_cellMm(cellMm), m_settings(settings), m_group(joined.nodes.size())
    {
        groupMarks();
        findDashes(gaps);
        for (std::size_t chain = 0; chain < joined.chains.size(); ++chain)
            if (const double doubt = doubtAbout(chain); doubt > 0)
                spread(joined.chains[chain].cells, doubt);
    }

    double at(MaskCell cell) const
    {
        const auto found = m_perCell.find(key(cell));
        return found == m_perCell.end() ? 0.0 : found->second;
    }

private:
    static std::int64_t key(MaskCell cell)
    {
        return (static_cast<std::int64_t>(cell.row) << 32) | static_cast<std::uint32_t>(cell.column);
    }

    std::size_t root(std::size_t node) const
    {
        while (m_group[node] != node)
            node = m_group[node];
        return node;
    }

    /// Marks are what hangs together in pencil.
    void groupMarks()
    {
        std::iota(m_group.begin(), m_group.end(), std::size_t(0));
        for (const InkChain& chain : m_joined.chains) {
            const std::size_t a = root(chain.from), b = root(chain.to);
            m_group[std::max(a, b)] = std::min(a, b);
        }
        std::unordered_map<std::size_t, std::vector<std::size_t>> marks;
        for (std::size_t i = 0; i < m_joined.chains.size(); ++i)
            marks[root(m_joined.chains[i].from)].push_back(i);
        m_small.assign(m_joined.chains.size(), false);
        for (const auto& [node, chains] : marks)
            if (isWriting(chains))
                for (const std::size_t chain : chains)
                    m_small[chain] = true;
    }

    /// Small marks, and lines of letters that have run together: low, and with many strokes in little room.
    bool isWriting(const std::vector<std::size_t>& chains) const
    {
        const Extent extent = extentOf(chains);
        const double letter = m_settings.letterMm / m_cellMm;
        constexpr std::size_t FewestStrokes = 5; // two letters that touch
        constexpr double LongestWord = 8;        // in heights of a letter
        return extent.along < letter || (extent.across < letter && extent.along < LongestWord * letter &&
                                         chains.size() >= FewestStrokes);
    }

    struct Extent {
        double along = 0, across = 0;
    };

    /// Along and across the main axis of the cells.
    Extent extentOf(const std::vector<std::size_t>& chains) const
    {
        double n = 0, x = 0, y = 0, xx = 0, yy = 0, xy = 0;
        const auto forEach = [&](const auto& work) {
            for (const std::size_t chain : chains)
                for (const MaskCell& c : m_joined.chains[chain].cells)
                    work(static_cast<double>(c.column), static_cast<double>(c.row));
        };
        forEach([&](double column, double row) {
            ++n;
            x += column;
            y += row;
        });
        x /= n;
        y /= n;
        forEach([&](double column, double row) {
            xx += (column - x) * (column - x);
            yy += (row - y) * (row - y);
            xy += (column - x) * (row - y);
        });
        const double turn = 0.5 * std::atan2(2 * xy, xx - yy), c = std::cos(turn), s = std::sin(turn);
        double low = 0, high = 0, left = 0, right = 0;
        forEach([&](double column, double row) {
            const double along = (column - x) * c + (row - y) * s,
                         across = (row - y) * c - (column - x) * s;
            low = std::min(low, along);
            high = std::max(high, along);
            left = std::min(left, across);
            right = std::max(right, across);
        });
        return {high - low, right - left};
    }

    /// A straight stroke that another continues beyond a gap is a dash, however short.
    void findDashes(const std::vector<PencilGap>& gaps)
    {
        std::unordered_map<std::int64_t, int> continued;
        for (const PencilGap& gap : gaps)
            if (!gap.toLine && gap.facing > 0.85 && gap.widthCells * m_cellMm < 3) {
                ++continued[key(gap.from)];
                ++continued[key(gap.to)];
            }
        m_dash.assign(m_joined.chains.size(), false);
        for (std::size_t i = 0; i < m_joined.chains.size(); ++i) {
            const InkChain& chain = m_joined.chains[i];
            const double length = lengthOf(chain.cells);
            m_dash[i] = isStraight(chain, length) && length * m_cellMm >= 1.6 &&
                        (continued.contains(key(chain.cells.front())) ||
                         continued.contains(key(chain.cells.back())));
        }
    }

    static bool isStraight(const InkChain& chain, double length)
    {
        return std::hypot(chain.cells.front().column - chain.cells.back().column,
                          chain.cells.front().row - chain.cells.back().row) > 0.85 * length;
    }

    double doubtAbout(std::size_t i) const
    {
        const InkChain& chain = m_joined.chains[i];
        if (m_small[i])
            return m_dash[i] && m_joined.isLoose(chain.from) && m_joined.isLoose(chain.to) ? 0.0
                                                                                           : LetterStroke;
        const double length = lengthOf(chain.cells);
        if (length * m_cellMm > m_settings.hachureMm || chain.from == chain.to ||
            !isStraight(chain, length))
            return 0;
        const bool standsA = standsAt(chain, chain.from, i), standsB = standsAt(chain, chain.to, i);
        if (standsA && standsB)
            return HachureOn;
        if ((standsA && m_joined.isLoose(chain.to)) || (standsB && m_joined.isLoose(chain.from)))
            return m_dash[i] ? 0 : HachureLoose;
        return 0;
    }

    /// True if the chain ends at `node` on a line that goes straight on there, across.
    bool standsAt(const InkChain& chain, std::size_t node, std::size_t self) const
    {
        struct Arm {
            double x, y;
        };
        const auto arm = [&](const InkChain& of) {
            const std::size_t last = of.cells.size() - 1;
            const std::size_t look = std::min(static_cast<std::size_t>(1.0 / m_cellMm) + 1, last);
            const MaskCell far = of.from == node ? of.cells[look] : of.cells[last - look];
            const double x = far.column - m_joined.nodes[node].column,
                         y = far.row - m_joined.nodes[node].row, length = std::hypot(x, y);
            return length > 0 ? Arm{x / length, y / length} : Arm{0, 0};
        };
        // A short stroke bends where it runs into the line: its whole length tells its direction.
        const MaskCell far = chain.from == node ? chain.cells.back() : chain.cells.front();
        const double ownX = far.column - m_joined.nodes[node].column,
                     ownY = far.row - m_joined.nodes[node].row, ownLength = std::hypot(ownX, ownY);
        if (ownLength <= 0)
            return false;
        const Arm own{ownX / ownLength, ownY / ownLength};
        std::vector<Arm> others;
        for (const std::size_t other : m_joined.at[node])
            if (other != self)
                others.push_back(arm(m_joined.chains[other]));
        // What goes on beyond the line crosses it and does not stand on it.
        if (std::ranges::any_of(others,
                                [&](Arm other) { return other.x * own.x + other.y * own.y < -0.85; }))
            return false;
        for (std::size_t a = 0; a < others.size(); ++a)
            for (std::size_t b = a + 1; b < others.size(); ++b) {
                const double through = others[a].x * others[b].x + others[a].y * others[b].y;
                const double acrossA = others[a].x * own.x + others[a].y * own.y;
                const double acrossB = others[b].x * own.x + others[b].y * own.y;
                if (through < -0.6 && std::abs(acrossA) < 0.75 && std::abs(acrossB) < 0.75)
                    return true;
            }
        return false;
    }

    void spread(const std::vector<MaskCell>& cells, double doubt)
    {
        // Not on its nodes: a line that only passes there is not in doubt.
        const double each = doubt / std::max(1.0, static_cast<double>(cells.size()) - 2);
        for (std::size_t i = 1; i + 1 < cells.size(); ++i)
            m_perCell[key(cells[i])] = each;
    }

    const InkChains& m_joined;
    double m_cellMm;
    InkNetworkSettings m_settings;
    std::vector<std::size_t> m_group;
    std::vector<bool> m_small, m_dash;
    std::unordered_map<std::int64_t, double> m_perCell;
};

double priceOfPencil(const InkMap& map, const std::vector<MaskCell>& cells, const Doubts& doubts)
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
    if (dashes)
        return 0.002 + 0.006 * widthMm + (widthMm > 2 ? 0.1 * (widthMm - 2) : 0);
    return 0.2 + 0.2 * widthMm + 0.5 * (1 - gap.facing);
}

} // namespace

InkNetwork InkNetwork::of(const InkMap& map, const InkNetworkSettings& settings)
{
    constexpr double EndsMm = 0.4; // thinning to chains takes half a line's width off either end of a gap
    const CellMask skeleton = skeletonOf(inkMask(map, settings.dirtMm));
    const InkChains joined = joinedThrough(chainsOf(skeleton));
    const std::vector<LooseEnd> ends = looseEnds(joined, 1.0 / map.cellMm());
    const std::vector<PencilGap> gaps =
        gapsBetween(skeleton, ends, (settings.widestGapMm + EndsMm) / map.cellMm());
    const Doubts doubts(joined, gaps, map.cellMm(), settings);

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
        add({chain.from, chain.to, std::move(chain.cells), price, -1});
    }
    for (std::size_t i = 0; i < gaps.size(); ++i) {
        const std::size_t from = tieNodes[2 * i], to = tieNodes[2 * i + 1];
        if (from == to)
            continue;
        const double widthMm = std::max(0.0, gaps[i].widthCells * map.cellMm() - EndsMm);
        add({from,
             to,
             {network.m_nodes[from], network.m_nodes[to]},
             priceOfGap(gaps[i], widthMm, map.cellMm()),
             widthMm});
    }
    return network;
}

} // namespace inkpeg
