// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkStrokes.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace inkpeg {

namespace {

constexpr std::size_t None = std::numeric_limits<std::size_t>::max();

double cosineBetween(MaskCell a, MaskCell corner, MaskCell b)
{
    const double ax = corner.column - a.column, ay = corner.row - a.row;
    const double bx = b.column - corner.column, by = b.row - corner.row;
    const double lengths = std::hypot(ax, ay) * std::hypot(bx, by);
    return lengths > 0 ? (ax * bx + ay * by) / lengths : -1;
}

/// The chain that goes on straightest from the end of `walk` at `node`, if any goes on at all.
std::optional<std::size_t> straightOn(const InkChains& joined, std::size_t node, std::size_t last,
                                      const std::vector<MaskCell>& walk)
{
    constexpr std::size_t Look = 6;
    std::optional<std::size_t> best;
    double bestCosine = 0.3;
    for (const std::size_t chain : joined.at[node]) {
        if (chain == last)
            continue;
        const std::vector<MaskCell> cells = cellsFrom(joined.chains[chain], node);
        const double cosine = cosineBetween(walk[walk.size() - 1 - std::min(Look, walk.size() - 1)],
                                            walk.back(), cells[std::min(Look, cells.size() - 1)]);
        if (cosine > bestCosine) {
            bestCosine = cosine;
            best = chain;
        }
    }
    return best;
}

/// From the first to the last.
UnitVector directionOf(const std::vector<MaskCell>& way)
{
    const double x = way.back().column - way.front().column, y = way.back().row - way.front().row,
                 length = std::hypot(x, y);
    return length > 0 ? UnitVector{x / length, y / length} : UnitVector{};
}

/// The beginning of a loop, either way round.
std::vector<MaskCell> sideways(const InkChain& loop, bool fromFront, double armCells)
{
    std::vector<MaskCell> way = loop.cells;
    if (!fromFront)
        std::reverse(way.begin(), way.end());
    way.resize(std::min(way.size(), static_cast<std::size_t>(armCells) + 1));
    return way;
}

/// A chain as it leaves a node.
struct Arm {
    std::size_t chain = 0;
    bool fromFront = true;
    double x = 0, y = 0; ///< its direction, a unit vector
};

std::vector<Arm> armsAt(const InkChains& network, std::size_t node, double armCells)
{
    std::vector<Arm> arms;
    for (std::size_t i = 0; i < network.at[node].size(); ++i) {
        const std::size_t chain = network.at[node][i];
        const InkChain& along = network.chains[chain];
        bool fromFront = along.from == node;
        if (along.from == along.to) // a loop leaves twice
            fromFront = std::ranges::none_of(arms, [&](const Arm& arm) { return arm.chain == chain; });
        // Where lines meet within an arm's length of each other, on along the line.
        const UnitVector towards = along.from == along.to
                                       ? directionOf(sideways(along, fromFront, armCells))
                                       : directionAlong(network, node, chain, armCells);
        arms.push_back({chain, fromFront, towards.x, towards.y});
    }
    return arms;
}

/// What follows what: of each chain's front and back the chain that goes on from there.
class Continuations {
public:
    Continuations(const InkChains& network, double armCells) : m_next(2 * network.chains.size(), None)
    {
        constexpr double Straight = -0.8; // thinning bends a line where another ends on it
        struct Pair {
            double cosine;
            std::size_t a, b;
        };
        for (std::size_t node = 0; node < network.nodes.size(); ++node) {
            const std::vector<Arm> arms = armsAt(network, node, armCells);
            std::vector<Pair> pairs;
            for (std::size_t a = 0; a < arms.size(); ++a)
                for (std::size_t b = a + 1; b < arms.size(); ++b)
                    if (const double cosine = arms[a].x * arms[b].x + arms[a].y * arms[b].y;
                        cosine < Straight)
                        pairs.push_back({cosine, sideOf(arms[a]), sideOf(arms[b])});
            std::sort(pairs.begin(), pairs.end(),
                      [](const Pair& p, const Pair& q) { return p.cosine < q.cosine; });
            for (const Pair& pair : pairs)
                if (m_next[pair.a] == None && m_next[pair.b] == None) {
                    m_next[pair.a] = pair.b;
                    m_next[pair.b] = pair.a;
                }
        }
    }

    /// The side of a chain that joins this one's, or None.
    std::size_t after(std::size_t side) const { return m_next[side]; }

private:
    static std::size_t sideOf(const Arm& arm) { return 2 * arm.chain + (arm.fromFront ? 0 : 1); }

    std::vector<std::size_t> m_next;
};

/// Loose ends of long chains, and which way they point.
class LongEnds {
public:
    LongEnds(const InkChains& joined, double shortestCells, double reachCells) : m_reach(reachCells)
    {
        for (std::size_t node = 0; node < joined.nodes.size(); ++node)
            if (joined.isLoose(node) &&
                lengthOf(joined.chains[joined.at[node].front()].cells) >= shortestCells) {
                const UnitVector in =
                    directionAlong(joined, node, joined.at[node].front(), shortestCells / 2);
                m_ends.push_back({joined.nodes[node], {-in.x, -in.y}});
            }
    }

    /// True if there is one within reach in that direction from a place which points back to it.
    bool isFacedFrom(MaskCell place, UnitVector towards) const
    {
        constexpr double Facing = 0.9;
        return std::ranges::any_of(m_ends, [&](const End& end) {
            const double x = end.cell.column - place.column, y = end.cell.row - place.row,
                         away = std::hypot(x, y);
            return away > 0 && away < m_reach && x * towards.x + y * towards.y > Facing * away &&
                   -(x * end.outwards.x + y * end.outwards.y) > Facing * away;
        });
    }

private:
    struct End {
        MaskCell cell;
        UnitVector outwards;
    };
    double m_reach;
    std::vector<End> m_ends;
};

void measure(const InkChains& network, InkStroke& stroke)
{
    constexpr double NearlyAsFar = 0.85;
    for (const std::size_t chain : stroke.chains)
        stroke.lengthCells += lengthOf(network.chains[chain].cells);
    const MaskCell a = network.nodes[stroke.first], b = network.nodes[stroke.last];
    stroke.straight = std::hypot(a.column - b.column, a.row - b.row) > NearlyAsFar * stroke.lengthCells;
}

} // namespace

std::vector<MaskCell> wayAlong(const InkChains& joined, std::size_t node, std::size_t first,
                               double runCells)
{
    const InkChain& begin = joined.chains[first]; // its own end, for the node may stand for several places
    std::vector<MaskCell> walk = {begin.from == node ? begin.cells.front() : begin.cells.back()};
    double length = 0;
    std::optional<std::size_t> chain = first;
    for (int chains = 0; chain && length < runCells && chains < 8; ++chains) {
        const std::vector<MaskCell> cells = cellsFrom(joined.chains[*chain], node);
        for (std::size_t i = 1; i < cells.size() && length < runCells; ++i) {
            length += std::hypot(cells[i].column - walk.back().column, cells[i].row - walk.back().row);
            walk.push_back(cells[i]);
        }
        const InkChain& piece = joined.chains[*chain];
        node = piece.from == node ? piece.to : piece.from;
        chain = straightOn(joined, node, *chain, walk);
    }
    return walk;
}

UnitVector directionAlong(const InkChains& joined, std::size_t node, std::size_t chain, double armCells)
{
    return directionOf(wayAlong(joined, node, chain, armCells));
}

InkStrokes strokesOf(const InkChains& joined, double armCells)
{
    const Continuations continuations(joined, armCells);
    InkStrokes all;
    all.ofChain.assign(joined.chains.size(), None);
    const auto nodeAt = [&](std::size_t side) {
        const InkChain& chain = joined.chains[side / 2];
        return side % 2 == 0 ? chain.from : chain.to;
    };
    const auto follow = [&](std::size_t start) { // `start`: the side where the stroke begins
        InkStroke stroke;
        stroke.first = nodeAt(start);
        for (std::size_t side = start; side != None && all.ofChain[side / 2] == None;) {
            all.ofChain[side / 2] = all.strokes.size();
            stroke.chains.push_back(side / 2);
            const std::size_t far = side ^ 1;
            stroke.last = nodeAt(far);
            side = continuations.after(far);
        }
        measure(joined, stroke);
        all.strokes.push_back(std::move(stroke));
    };
    for (const bool closed : {false, true}) // first from where one begins, then what goes round
        for (std::size_t side = 0; side < 2 * joined.chains.size(); ++side)
            if (all.ofChain[side / 2] == None && (closed || continuations.after(side) == None))
                follow(side);
    return all;
}

CellMask withoutWhiskers(CellMask skeleton, double longestCells)
{
    constexpr double StraightOn = -0.85, ShortestDash = 1.8, WidestGap = 4.5; // in whiskers
    const InkChains joined = joinedThrough(chainsOf(skeleton));
    const auto isWhisker = [&](const InkChain& chain) {
        return chain.from != chain.to && joined.isLoose(chain.from) != joined.isLoose(chain.to) &&
               lengthOf(chain.cells) <= longestCells;
    };
    const LongEnds ends(joined, ShortestDash * longestCells, WidestGap * longestCells);
    for (std::size_t node = 0; node < joined.nodes.size(); ++node) {
        if (joined.at[node].size() < 3)
            continue;
        const std::vector<Arm> arms = armsAt(joined, node, longestCells);
        std::vector<std::size_t> whiskers, lines;
        for (std::size_t arm = 0; arm < arms.size(); ++arm)
            (isWhisker(joined.chains[arms[arm].chain]) ? whiskers : lines).push_back(arm);
        if (lines.size() == 1) { // a fork
            const Arm& trunk = arms[lines.front()];
            const auto straightest = std::ranges::min_element(whiskers, {}, [&](std::size_t arm) {
                return arms[arm].x * trunk.x + arms[arm].y * trunk.y;
            });
            whiskers.erase(straightest);
        } else if (lines.empty()) {
            continue; // a small cross or star: nothing else is there
        } else {
            // The end of a dash that crosses a line stays: it alone goes on beyond it, and another faces
            // it.
            const auto goesOn = [&](std::size_t a, std::size_t b) {
                return arms[a].x * arms[b].x + arms[a].y * arms[b].y < StraightOn;
            };
            std::erase_if(whiskers, [&](std::size_t arm) {
                return std::ranges::any_of(lines, [&](std::size_t line) {
                    return goesOn(line, arm) &&
                           std::ranges::none_of(lines,
                                                [&](std::size_t other) { return goesOn(line, other); }) &&
                           ends.isFacedFrom(joined.nodes[node], {arms[arm].x, arms[arm].y});
                });
            });
        }
        for (const std::size_t arm : whiskers) {
            const std::vector<MaskCell>& cells = joined.chains[arms[arm].chain].cells;
            const bool atFront = arms[arm].fromFront;
            for (std::size_t i = 1; i < cells.size(); ++i) {
                const MaskCell cell = atFront ? cells[i] : cells[cells.size() - 1 - i];
                skeleton.set[skeleton.index(cell.column, cell.row)] = 0;
            }
        }
    }
    return withoutCrumbs(std::move(skeleton));
}

CellMask withoutHooks(CellMask skeleton, int cells)
{
    constexpr int ShortestLeft = 6; // of what is shorter nothing would be left to point anywhere
    const auto clear = [&](MaskCell cell) { skeleton.set[skeleton.index(cell.column, cell.row)] = 0; };
    const InkChains joined = joinedThrough(chainsOf(skeleton));
    for (const InkChain& chain : joined.chains) {
        const int size = static_cast<int>(chain.cells.size());
        for (const bool front : {true, false}) {
            if (size < 2 * cells + ShortestLeft || !joined.isLoose(front ? chain.from : chain.to))
                continue;
            const auto cellAt = [&](int i) {
                return chain.cells[static_cast<std::size_t>(front ? i : size - 1 - i)];
            };
            for (int i = 0; i < cells; ++i)
                clear(cellAt(i));
        }
    }
    return withoutCrumbs(std::move(skeleton));
}

} // namespace inkpeg
