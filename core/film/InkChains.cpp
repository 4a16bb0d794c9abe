// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkChains.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace inkpeg {

namespace {

constexpr std::array<MaskCell, 8> Around = {
    {{0, -1}, {1, 0}, {0, 1}, {-1, 0}, {1, -1}, {1, 1}, {-1, 1}, {-1, -1}}};

class Tracing {
public:
    explicit Tracing(const CellMask& skeleton)
        : m_skeleton(skeleton), m_owner(skeleton.set.size(), Free), m_walked(skeleton.set.size(), false)
    {
    }

    InkChains network(std::span<const MaskCell> alsoNodes, std::vector<std::size_t>* nodeOf)
    {
        for (const MaskCell& cell : alsoNodes)
            m_owner[index(cell)] = Node;
        markNodes();
        gatherNodes();
        for (std::size_t node = 0; node < m_members.size(); ++node)
            for (const MaskCell& cell : m_members[node])
                walkFrom(node, cell);
        walkLoops();
        if (nodeOf) {
            nodeOf->clear();
            for (const MaskCell& cell : alsoNodes)
                nodeOf->push_back(static_cast<std::size_t>(m_owner[index(cell)]));
        }
        return std::move(m_network);
    }

private:
    static constexpr std::int32_t Free = -1, Node = -2;

    std::size_t index(MaskCell c) const { return m_skeleton.index(c.column, c.row); }
    bool isSet(MaskCell c) const { return m_skeleton.at(c.column, c.row); }

    template<typename Do>
    void forEachSet(Do work)
    {
        for (int row = 0; row < m_skeleton.height; ++row)
            for (int column = 0; column < m_skeleton.width; ++column)
                if (m_skeleton.set[m_skeleton.index(column, row)])
                    work(MaskCell{column, row});
    }

    void markNodes()
    {
        forEachSet([&](MaskCell cell) {
            int neighbours = 0;
            for (const MaskCell& step : Around)
                neighbours += isSet({cell.column + step.column, cell.row + step.row}) ? 1 : 0;
            if (neighbours != 2 && neighbours != 0)
                m_owner[index(cell)] = Node;
        });
    }

    void gatherNodes()
    {
        forEachSet([&](MaskCell start) {
            if (m_owner[index(start)] != Node)
                return;
            const auto id = static_cast<std::int32_t>(m_members.size());
            std::vector<MaskCell> cells = {start};
            m_owner[index(start)] = id;
            for (std::size_t i = 0; i < cells.size(); ++i)
                for (const MaskCell& step : Around) {
                    const MaskCell next = {cells[i].column + step.column, cells[i].row + step.row};
                    if (isSet(next) && m_owner[index(next)] == Node) {
                        m_owner[index(next)] = id;
                        cells.push_back(next);
                    }
                }
            addNode(std::move(cells));
        });
    }

    void addNode(std::vector<MaskCell> cells)
    {
        double column = 0, row = 0;
        for (const MaskCell& c : cells) {
            column += c.column / static_cast<double>(cells.size());
            row += c.row / static_cast<double>(cells.size());
        }
        const auto middle = std::min_element(cells.begin(), cells.end(), [&](MaskCell a, MaskCell b) {
            return std::hypot(a.column - column, a.row - row) < std::hypot(b.column - column, b.row - row);
        });
        m_network.nodes.push_back(*middle);
        m_network.at.emplace_back();
        m_members.push_back(std::move(cells));
    }

    /// Walks every chain that leaves a cell of a node.
    void walkFrom(std::size_t node, MaskCell cell)
    {
        for (const MaskCell& step : Around) {
            const MaskCell first = {cell.column + step.column, cell.row + step.row};
            if (!isSet(first) || m_owner[index(first)] != Free || m_walked[index(first)])
                continue;
            walk(node, cell, first);
        }
    }

    void walk(std::size_t node, MaskCell leaving, MaskCell first)
    {
        InkChain chain{node, node, {m_network.nodes[node]}};
        MaskCell before = leaving, here = first;
        for (;;) {
            m_walked[index(here)] = true;
            chain.cells.push_back(here);
            std::optional<MaskCell> next;
            for (const MaskCell& step : Around) {
                const MaskCell cell = {here.column + step.column, here.row + step.row};
                if (isSet(cell) && !(cell == before))
                    next = cell;
            }
            if (!next) // only a cell beside a node that holds both of its neighbours
                break;
            if (const std::int32_t owner = m_owner[index(*next)]; owner != Free) {
                chain.to = static_cast<std::size_t>(owner);
                break;
            }
            if (m_walked[index(*next)])
                break;
            before = here;
            here = *next;
        }
        chain.cells.push_back(m_network.nodes[chain.to]);
        constexpr std::size_t TinyLoop = 6; // a knot of the skeleton, no line
        if (chain.from == chain.to && chain.cells.size() <= TinyLoop)
            return;
        add(std::move(chain));
    }

    void add(InkChain chain)
    {
        m_network.at[chain.from].push_back(m_network.chains.size());
        m_network.at[chain.to].push_back(m_network.chains.size());
        m_network.chains.push_back(std::move(chain));
    }

    void walkLoops()
    {
        forEachSet([&](MaskCell cell) {
            if (m_owner[index(cell)] != Free || m_walked[index(cell)])
                return;
            const std::size_t node = m_members.size();
            m_owner[index(cell)] = static_cast<std::int32_t>(node);
            addNode({cell});
            walkFrom(node, cell);
        });
    }

    const CellMask& m_skeleton;
    std::vector<std::int32_t> m_owner; ///< node of each cell, or Free, or Node before it has its number
    std::vector<bool> m_walked;
    std::vector<std::vector<MaskCell>> m_members;
    InkChains m_network;
};

} // namespace

std::vector<MaskCell> cellsFrom(const InkChain& chain, std::size_t node)
{
    std::vector<MaskCell> cells = chain.cells;
    if (chain.from != node)
        std::reverse(cells.begin(), cells.end());
    return cells;
}

InkChains chainsOf(const CellMask& skeleton, std::span<const MaskCell> alsoNodes,
                   std::vector<std::size_t>* nodeOf)
{
    return Tracing(skeleton).network(alsoNodes, nodeOf);
}

InkChains joinedThrough(const InkChains& network)
{
    InkChains joined{network.nodes, {}, std::vector<std::vector<std::size_t>>(network.nodes.size())};
    std::vector<bool> used(network.chains.size(), false);
    const auto passes = [&](std::size_t node) { return network.at[node].size() == 2; };
    const auto follow = [&](std::size_t start, std::size_t first) {
        InkChain whole{start, start, {network.nodes[start]}};
        for (std::size_t node = start, chain = first;;) {
            used[chain] = true;
            const InkChain& piece = network.chains[chain];
            const std::vector<MaskCell> cells = cellsFrom(piece, node);
            whole.cells.insert(whole.cells.end(), cells.begin() + 1, cells.end());
            node = piece.from == node ? piece.to : piece.from;
            whole.to = node;
            if (!passes(node) || node == start)
                break;
            const std::size_t next =
                network.at[node][0] == chain ? network.at[node][1] : network.at[node][0];
            if (used[next])
                break;
            chain = next;
        }
        joined.at[whole.from].push_back(joined.chains.size());
        joined.at[whole.to].push_back(joined.chains.size());
        joined.chains.push_back(std::move(whole));
    };
    for (const bool loops : {false, true}) // first from where lines meet or end, then what goes round
        for (std::size_t node = 0; node < network.nodes.size(); ++node)
            if (loops || !passes(node))
                for (const std::size_t chain : network.at[node])
                    if (!used[chain])
                        follow(node, chain);
    return joined;
}

InkChains contracted(const InkChains& joined, double longestCells)
{
    std::vector<std::size_t> group(joined.nodes.size());
    std::iota(group.begin(), group.end(), std::size_t(0));
    const auto root = [&](std::size_t node) {
        while (group[node] != node)
            node = group[node] = group[group[node]];
        return node;
    };
    const auto isTie = [&](const InkChain& chain) {
        return chain.from != chain.to && !joined.isLoose(chain.from) && !joined.isLoose(chain.to) &&
               lengthOf(chain.cells) <= longestCells;
    };
    for (const InkChain& chain : joined.chains)
        if (isTie(chain))
            group[root(chain.from)] = root(chain.to);
    InkChains network{joined.nodes, {}, std::vector<std::vector<std::size_t>>(joined.nodes.size())};
    for (const InkChain& chain : joined.chains) {
        if (isTie(chain))
            continue;
        const std::size_t from = root(chain.from), to = root(chain.to);
        network.at[from].push_back(network.chains.size());
        network.at[to].push_back(network.chains.size());
        network.chains.push_back({from, to, chain.cells});
    }
    return joinedThrough(network);
}

double lengthOf(const std::vector<MaskCell>& cells)
{
    double length = 0;
    for (std::size_t i = 1; i < cells.size(); ++i)
        length += std::hypot(cells[i].column - cells[i - 1].column, cells[i].row - cells[i - 1].row);
    return length;
}

} // namespace inkpeg
