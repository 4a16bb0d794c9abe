// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkDoubts.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace inkpeg {

namespace {

constexpr double HachureOn = 5, HachureLoose = 3, LetterStroke = 1.5, Mark = 0.6;

bool isStraight(const InkChain& chain, double length)
{
    return std::hypot(chain.cells.front().column - chain.cells.back().column,
                      chain.cells.front().row - chain.cells.back().row) > 0.85 * length;
}

} // namespace

InkDoubts::InkDoubts(const InkChains& joined, const InkStrokes& strokes, const InkDashes& dashes,
                     double cellMm, const InkNetworkSettings& settings)
    : m_joined(joined), m_strokes(strokes), m_dashes(dashes), m_cellMm(cellMm), m_settings(settings)
{
    groupMarks();
    std::vector<double> doubts;
    for (std::size_t chain = 0; chain < joined.chains.size(); ++chain)
        doubts.push_back(std::max(doubtAbout(chain), doubtAboutMark(chain)));
    doubtRows(doubts);
    for (std::size_t chain = 0; chain < joined.chains.size(); ++chain)
        if (doubts[chain] > 0)
            spread(joined.chains[chain].cells, doubts[chain]);
}

/// Hachures stand in rows. Where other marks get in the way, one does not show by its ends that it stands
/// on a line, but it is as long as those beside it, runs as they do, and no line goes on from it.
void InkDoubts::doubtRows(std::vector<double>& doubts) const
{
    constexpr double ShortestMm = 0.8, BesideMm = 7, Apart = 1.0, Alike = 1.8, Parallel = 0.7, Beside = 0.7;
    constexpr int FewestBeside = 2;
    struct Short {
        std::size_t stroke;
        CellPoint middle;
        UnitVector along;
        double length;
    };
    std::vector<Short> hachures, others;
    for (std::size_t i = 0; i < m_strokes.strokes.size(); ++i) {
        const InkStroke& stroke = m_strokes.strokes[i];
        const double lengthMm = stroke.lengthCells * m_cellMm;
        if (!stroke.straight || lengthMm < ShortestMm || lengthMm > m_settings.hachureMm ||
            m_small[stroke.chains.front()])
            continue;
        const MaskCell a = m_joined.nodes[stroke.first], b = m_joined.nodes[stroke.last];
        const double length = std::hypot(b.column - a.column, b.row - a.row);
        const bool isHachure = std::ranges::any_of(
            stroke.chains, [&](std::size_t chain) { return doubts[chain] >= HachureLoose; });
        (isHachure ? hachures : others)
            .push_back({i,
                        {(a.column + b.column) / 2.0, (a.row + b.row) / 2.0},
                        {(b.column - a.column) / length, (b.row - a.row) / length},
                        length});
    }
    for (const Short& of : others) {
        const auto isBeside = [&](const Short& hachure) {
            const double x = hachure.middle.column - of.middle.column,
                         y = hachure.middle.row - of.middle.row, away = std::hypot(x, y);
            return away * m_cellMm > Apart && away * m_cellMm < BesideMm &&
                   std::abs(x * of.along.x + y * of.along.y) < Beside * away &&
                   hachure.length < Alike * of.length && of.length < Alike * hachure.length &&
                   std::abs(of.along.x * hachure.along.x + of.along.y * hachure.along.y) > Parallel;
        };
        const InkStroke& stroke = m_strokes.strokes[of.stroke];
        if (std::ranges::count_if(hachures, isBeside) >= FewestBeside &&
            !isLedOn(stroke.first, of.stroke, {-of.along.x, -of.along.y}) &&
            !isLedOn(stroke.last, of.stroke, of.along))
            for (const std::size_t chain : stroke.chains)
                doubts[chain] = HachureOn;
    }
}

/// True if a long stroke begins at a node in that direction, more or less: thinning bends a line where
/// others cross it. (One that passes through the node is the line that the mark stands on.)
bool InkDoubts::isLedOn(std::size_t node, std::size_t stroke, UnitVector towards) const
{
    constexpr double MoreOrLess = 0.75;
    return std::ranges::any_of(m_joined.at[node], [&](std::size_t chain) {
        const std::size_t other = m_strokes.ofChain[chain];
        const InkStroke& line = m_strokes.strokes[other];
        if (other == stroke || line.lengthCells * m_cellMm <= m_settings.hachureMm ||
            (line.first != node && line.last != node))
            return false;
        const UnitVector on = directionAlong(m_joined, node, chain, 1.5 / m_cellMm);
        return on.x * towards.x + on.y * towards.y > MoreOrLess;
    });
}

/// Marks are what hangs together in pencil.
void InkDoubts::groupMarks()
{
    std::vector<std::size_t> group(m_joined.nodes.size());
    std::iota(group.begin(), group.end(), std::size_t(0));
    const auto root = [&](std::size_t node) {
        while (group[node] != node)
            node = group[node] = group[group[node]];
        return node;
    };
    for (const InkChain& chain : m_joined.chains) {
        const std::size_t a = root(chain.from), b = root(chain.to);
        group[std::max(a, b)] = std::min(a, b);
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
bool InkDoubts::isWriting(const std::vector<std::size_t>& chains) const
{
    const Extent extent = extentOf(chains);
    const double letter = m_settings.letterMm / m_cellMm;
    constexpr std::size_t FewestStrokes = 5; // two letters that touch
    constexpr double LongestWord = 8;        // in heights of a letter
    return extent.along < letter || (extent.across < letter && extent.along < LongestWord * letter &&
                                     chains.size() >= FewestStrokes);
}

InkDoubts::Extent InkDoubts::extentOf(const std::vector<std::size_t>& chains) const
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
        const double along = (column - x) * c + (row - y) * s, across = (row - y) * c - (column - x) * s;
        low = std::min(low, along);
        high = std::max(high, along);
        left = std::min(left, across);
        right = std::max(right, across);
    });
    return {high - low, right - left};
}

bool InkDoubts::isLooseAtBothEnds(const InkStroke& stroke) const
{
    return m_joined.isLoose(stroke.first) && m_joined.isLoose(stroke.last);
}

double InkDoubts::doubtAbout(std::size_t i) const
{
    const InkChain& chain = m_joined.chains[i];
    const std::size_t stroke = m_strokes.ofChain[i];
    const bool isDash = m_dashes.isDash(stroke);
    const double length = lengthOf(chain.cells);
    const bool straight = isStraight(chain, length);
    if (m_small[i]) {
        // A dash may touch letters, at one end or on both sides.
        const bool leadsOn = straight && length * m_cellMm >= InkDashes::ShortestMm &&
                             (m_dashes.goesOnAsDashes(chain.from) || m_dashes.goesOnAsDashes(chain.to));
        return leadsOn || (isDash && isLooseAtBothEnds(m_strokes.strokes[stroke])) ? 0.0 : LetterStroke;
    }
    if (length * m_cellMm > m_settings.hachureMm || chain.from == chain.to || !straight)
        return 0;
    const bool standsA = standsAt(chain, chain.from, i), standsB = standsAt(chain, chain.to, i);
    if (standsA && standsB)
        return HachureOn;
    if ((standsA && m_joined.isLoose(chain.to)) || (standsB && m_joined.isLoose(chain.from)))
        return isDash ? 0 : HachureLoose;
    return 0;
}

/// A short straight stroke that ends in the open and goes on nowhere is a cross, a tick or an arrow, where
/// it crosses an outline as well. What two lines share that cross at a low angle may be either's.
double InkDoubts::doubtAboutMark(std::size_t i) const
{
    constexpr double SharedMm = 1.2;
    const std::size_t of = m_strokes.ofChain[i];
    const InkStroke& stroke = m_strokes.strokes[of];
    const bool endsInTheOpen = m_joined.isLoose(stroke.first) || m_joined.isLoose(stroke.last);
    if (!endsInTheOpen || !stroke.straight || stroke.lengthCells * m_cellMm > m_settings.markMm ||
        m_dashes.isDash(of))
        return 0;
    return stroke.chains.size() > 1 && lengthOf(m_joined.chains[i].cells) * m_cellMm < SharedMm ? 0.0
                                                                                                : Mark;
}

/// True if the chain ends at `node` on a line that goes straight on there, across.
bool InkDoubts::standsAt(const InkChain& chain, std::size_t node, std::size_t self) const
{
    // A short stroke bends where it runs into the line: its whole length tells its direction.
    const MaskCell near = chain.from == node ? chain.cells.front() : chain.cells.back(),
                   far = chain.from == node ? chain.cells.back() : chain.cells.front();
    const double x = far.column - near.column, y = far.row - near.row, length = std::hypot(x, y);
    if (length <= 0)
        return false;
    const UnitVector own{x / length, y / length};
    std::vector<UnitVector> others;
    const auto isWhisker = [&](const InkChain& of) {
        return m_joined.isLoose(of.from == node ? of.to : of.from) &&
               lengthOf(of.cells) * m_cellMm <= m_settings.whiskerMm;
    };
    for (const std::size_t other : m_joined.at[node])
        if (other != self && !isWhisker(m_joined.chains[other]))
            others.push_back(directionAlong(m_joined, node, other, 1.0 / m_cellMm));
    // What goes on beyond the line crosses it and does not stand on it.
    if (std::ranges::any_of(others,
                            [&](UnitVector other) { return other.x * own.x + other.y * own.y < -0.85; }))
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

void InkDoubts::spread(const std::vector<MaskCell>& cells, double doubt)
{
    // Not on its nodes: a line that only passes there is not in doubt.
    const double each = doubt / std::max(1.0, static_cast<double>(cells.size()) - 2);
    for (std::size_t i = 1; i + 1 < cells.size(); ++i)
        m_perCell[key(cells[i])] = each;
}

} // namespace inkpeg
