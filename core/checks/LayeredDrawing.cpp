// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/LayeredDrawing.h"

#include <algorithm>
#include <cassert>
#include <limits>
#include <numeric>

namespace inkpeg {

namespace {

constexpr int CrossingSweeps = 24; ///< a pair more rarely helps after ten; each is cheap
constexpr int FruitlessSweeps = 6;
constexpr int PlacingSweeps = 16;

using Neighbours = std::vector<std::vector<std::size_t>>;

/// Nodes so that every edge leads forward in the list.
std::vector<std::size_t> topDown(std::size_t nodes, const Neighbours& below,
                                 std::vector<std::size_t> unseenAbove)
{
    std::vector<std::size_t> order;
    order.reserve(nodes);
    for (std::size_t node = 0; node < nodes; ++node)
        if (unseenAbove[node] == 0)
            order.push_back(node);
    for (std::size_t i = 0; i < order.size(); ++i)
        for (const std::size_t under : below[order[i]])
            if (--unseenAbove[under] == 0)
                order.push_back(under);
    assert(order.size() == nodes);
    return order;
}

/// The graph with each long edge cut into pieces of one layer: the pieces meet in items that are no nodes.
struct Proper {
    std::vector<std::size_t> layer;
    std::vector<double> width;
    Neighbours above, below;
    std::vector<std::vector<std::size_t>> itemsOfLayer; ///< in their order from the left
    std::vector<std::vector<std::size_t>> itemsOfEdge;
    std::size_t nodes = 0;
    std::vector<std::size_t> place; ///< in its layer

    bool isNode(std::size_t item) const { return item < nodes; }
    void join(std::size_t from, std::size_t to)
    {
        below[from].push_back(to);
        above[to].push_back(from);
    }
    std::size_t addBend(std::size_t onLayer)
    {
        layer.push_back(onLayer);
        width.push_back(0);
        above.emplace_back();
        below.emplace_back();
        return layer.size() - 1;
    }
    void takePlaces(const std::vector<std::size_t>& items)
    {
        for (std::size_t i = 0; i < items.size(); ++i)
            place[items[i]] = i;
    }
};

Proper properOf(std::span<const double> widths, std::span<const LayeredEdge> edges,
                const std::vector<std::size_t>& layers)
{
    Proper graph;
    graph.nodes = widths.size();
    graph.layer = layers;
    graph.width.assign(widths.begin(), widths.end());
    graph.above.resize(graph.nodes);
    graph.below.resize(graph.nodes);
    for (const LayeredEdge& edge : edges) {
        std::vector<std::size_t>& items = graph.itemsOfEdge.emplace_back();
        std::size_t from = edge.from;
        for (std::size_t layer = layers[edge.from] + 1; layer < layers[edge.to]; ++layer) {
            const std::size_t bend = graph.addBend(layer);
            graph.join(from, bend);
            items.push_back(bend);
            from = bend;
        }
        graph.join(from, edge.to);
    }
    graph.place.assign(graph.layer.size(), 0);
    return graph;
}

/// A first order: as a walk from the top meets the items, so that what hangs together begins together.
void firstOrder(Proper& graph)
{
    const std::size_t layers =
        graph.layer.empty() ? 0 : *std::max_element(graph.layer.begin(), graph.layer.end()) + 1;
    graph.itemsOfLayer.assign(layers, {});
    std::vector<char> met(graph.layer.size(), 0);
    std::vector<std::size_t> stack;
    const auto walkFrom = [&](std::size_t start) {
        stack.push_back(start);
        while (!stack.empty()) {
            const std::size_t item = stack.back();
            stack.pop_back();
            if (met[item])
                continue;
            met[item] = 1;
            graph.itemsOfLayer[graph.layer[item]].push_back(item);
            for (auto under = graph.below[item].rbegin(); under != graph.below[item].rend(); ++under)
                stack.push_back(*under);
        }
    };
    for (std::size_t item = 0; item < graph.nodes; ++item)
        if (graph.above[item].empty())
            walkFrom(item);
    for (const std::vector<std::size_t>& items : graph.itemsOfLayer)
        graph.takePlaces(items);
}

/// Crossings of the lines between a layer and the one below, by counting inversions.
std::size_t crossingsUnder(const Proper& graph, std::size_t layer)
{
    std::vector<std::size_t> ends;
    for (const std::size_t item : graph.itemsOfLayer[layer]) {
        const std::size_t first = ends.size();
        for (const std::size_t under : graph.below[item])
            ends.push_back(graph.place[under]);
        std::sort(ends.begin() + static_cast<std::ptrdiff_t>(first), ends.end());
    }
    std::vector<std::size_t> tree(graph.itemsOfLayer[layer + 1].size() + 1, 0);
    std::size_t crossings = 0;
    for (std::size_t i = 0; i < ends.size(); ++i) {
        // Lines so far that end at this place or left of it do not cross.
        std::size_t notRight = 0;
        for (std::size_t at = ends[i] + 1; at > 0; at &= at - 1)
            notRight += tree[at];
        crossings += i - notRight;
        for (std::size_t at = ends[i] + 1; at < tree.size(); at += at & (~at + 1))
            ++tree[at];
    }
    return crossings;
}

std::size_t allCrossings(const Proper& graph)
{
    std::size_t crossings = 0;
    for (std::size_t layer = 0; layer + 1 < graph.itemsOfLayer.size(); ++layer)
        crossings += crossingsUnder(graph, layer);
    return crossings;
}

/// Orders one layer by the mean place of each item's neighbours; an item without any keeps its place.
void orderByMean(Proper& graph, std::size_t layer, const Neighbours& neighbours)
{
    std::vector<std::size_t>& items = graph.itemsOfLayer[layer];
    std::vector<std::pair<double, std::size_t>> keyed;
    keyed.reserve(items.size());
    for (const std::size_t item : items) {
        double sum = 0;
        for (const std::size_t neighbour : neighbours[item])
            sum += static_cast<double>(graph.place[neighbour]);
        const std::size_t count = neighbours[item].size();
        keyed.emplace_back(
            count == 0 ? static_cast<double>(graph.place[item]) : sum / static_cast<double>(count), item);
    }
    std::stable_sort(keyed.begin(), keyed.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    for (std::size_t i = 0; i < items.size(); ++i)
        items[i] = keyed[i].second;
    graph.takePlaces(items);
}

std::size_t reduceCrossings(Proper& graph, const Progress& progress)
{
    std::size_t least = allCrossings(graph);
    std::vector<std::vector<std::size_t>> best = graph.itemsOfLayer;
    int fruitless = 0;
    for (int sweep = 0; sweep < CrossingSweeps && least > 0 && fruitless < FruitlessSweeps; ++sweep) {
        if (!report(progress, 0.6 * sweep / CrossingSweeps))
            break;
        const std::size_t layers = graph.itemsOfLayer.size();
        for (std::size_t step = 1; step < layers; ++step) {
            if (sweep % 2 == 0)
                orderByMean(graph, step, graph.above);
            else
                orderByMean(graph, layers - 1 - step, graph.below);
        }
        const std::size_t crossings = allCrossings(graph);
        fruitless = crossings < least ? 0 : fruitless + 1;
        if (crossings < least) {
            least = crossings;
            best = graph.itemsOfLayer;
        }
    }
    graph.itemsOfLayer = std::move(best);
    for (const std::vector<std::size_t>& items : graph.itemsOfLayer)
        graph.takePlaces(items);
    return least;
}

/// Lines that pass layers should be straight before boxes are in the middle.
double pull(const Proper& graph, std::size_t a, std::size_t b)
{
    return graph.isNode(a) && graph.isNode(b) ? 1 : graph.isNode(a) || graph.isNode(b) ? 2 : 8;
}

class Placing {
public:
    Placing(const Proper& graph, double gap) : m_graph(graph), m_gap(gap), m_x(graph.layer.size(), 0)
    {
        for (const std::vector<std::size_t>& items : graph.itemsOfLayer) {
            double right = 0;
            for (std::size_t i = 0; i < items.size(); ++i) {
                right += i == 0 ? 0 : apart(items[i - 1], items[i]);
                m_x[items[i]] = right;
            }
        }
    }

    void sweepDown()
    {
        for (std::size_t layer = 1; layer < m_graph.itemsOfLayer.size(); ++layer)
            placeLayer(layer, true, false);
    }
    void sweepUp()
    {
        for (std::size_t layer = m_graph.itemsOfLayer.size(); layer-- > 0;)
            placeLayer(layer, false, true);
    }
    void settle()
    {
        for (std::size_t layer = 0; layer < m_graph.itemsOfLayer.size(); ++layer)
            placeLayer(layer, true, true);
    }
    const std::vector<double>& x() const { return m_x; }

private:
    /// The least distance between the middles of two items side by side.
    double apart(std::size_t left, std::size_t right) const
    {
        return (m_graph.width[left] + m_graph.width[right]) / 2 + m_gap;
    }
    struct Wish {
        double x = 0, weight = 0;
    };
    Wish wishOf(std::size_t item, bool byAbove, bool byBelow) const
    {
        Wish wish;
        const auto add = [&](const std::vector<std::size_t>& neighbours) {
            for (const std::size_t neighbour : neighbours) {
                const double weight = pull(m_graph, item, neighbour);
                wish.x += weight * m_x[neighbour];
                wish.weight += weight;
            }
        };
        if (byAbove)
            add(m_graph.above[item]);
        if (byBelow)
            add(m_graph.below[item]);
        if (wish.weight == 0)
            return {m_x[item], 0.1}; // stays, but gives way
        wish.x /= wish.weight;
        return wish;
    }

    /// The places nearest to the wishes that keep order and distance: with the distances taken off it is an
    /// isotonic regression, solved by pooling neighbours that are out of order.
    void placeLayer(std::size_t layer, bool byAbove, bool byBelow)
    {
        const std::vector<std::size_t>& items = m_graph.itemsOfLayer[layer];
        struct Pool {
            double x, weight;
            std::size_t size;
        };
        std::vector<Pool> pools;
        std::vector<double> offset(items.size(), 0);
        for (std::size_t i = 0; i < items.size(); ++i) {
            offset[i] = i == 0 ? 0 : offset[i - 1] + apart(items[i - 1], items[i]);
            const Wish wish = wishOf(items[i], byAbove, byBelow);
            pools.push_back({wish.x - offset[i], wish.weight, 1});
            while (pools.size() > 1 && pools[pools.size() - 2].x > pools.back().x) {
                const Pool last = pools.back();
                pools.pop_back();
                Pool& into = pools.back();
                into.x = (into.x * into.weight + last.x * last.weight) / (into.weight + last.weight);
                into.weight += last.weight;
                into.size += last.size;
            }
        }
        std::size_t i = 0;
        for (const Pool& pool : pools)
            for (std::size_t k = 0; k < pool.size; ++k, ++i)
                m_x[items[i]] = pool.x + offset[i];
    }

    const Proper& m_graph;
    double m_gap;
    std::vector<double> m_x;
};

std::vector<double> placesOf(const Proper& graph, double gap, const Progress& progress)
{
    Placing placing(graph, gap);
    for (int sweep = 0; sweep < PlacingSweeps; ++sweep) {
        if (!report(progress, 0.6 + 0.4 * sweep / PlacingSweeps))
            break;
        placing.sweepDown();
        placing.sweepUp();
    }
    placing.settle();
    return placing.x();
}

} // namespace

std::vector<std::size_t> layersOf(std::size_t nodes, std::span<const LayeredEdge> edges)
{
    Neighbours below(nodes);
    std::vector<std::size_t> aboveCount(nodes, 0);
    for (const LayeredEdge& edge : edges) {
        below[edge.from].push_back(edge.to);
        ++aboveCount[edge.to];
    }
    const std::vector<std::size_t> order = topDown(nodes, below, aboveCount);
    std::vector<std::size_t> layer(nodes, 0);
    for (const std::size_t node : order)
        for (const std::size_t under : below[node])
            layer[under] = std::max(layer[under], layer[node] + 1);
    // From the bottom up: moving down makes each line below one shorter and each line above one longer.
    for (auto node = order.rbegin(); node != order.rend(); ++node) {
        if (below[*node].size() <= aboveCount[*node])
            continue;
        std::size_t lowest = std::numeric_limits<std::size_t>::max();
        for (const std::size_t under : below[*node])
            lowest = std::min(lowest, layer[under] - 1);
        layer[*node] = lowest;
    }
    if (nodes > 0) {
        const std::size_t top = *std::min_element(layer.begin(), layer.end());
        for (std::size_t& each : layer)
            each -= top; // those at the top may all have moved down
    }
    return layer;
}

LayeredDrawing drawInLayers(std::span<const double> widths, std::span<const LayeredEdge> edges, double gap,
                            const Progress& progress)
{
    LayeredDrawing drawing;
    if (widths.empty())
        return drawing;
    drawing.layer = layersOf(widths.size(), edges);
    Proper graph = properOf(widths, edges, drawing.layer);
    firstOrder(graph);
    drawing.layers = graph.itemsOfLayer.size();
    drawing.crossings = reduceCrossings(graph, progress);
    const std::vector<double> x = placesOf(graph, gap, progress);
    double left = std::numeric_limits<double>::infinity(), right = -left;
    for (std::size_t item = 0; item < x.size(); ++item) {
        left = std::min(left, x[item] - graph.width[item] / 2);
        right = std::max(right, x[item] + graph.width[item] / 2);
    }
    drawing.width = right - left;
    for (std::size_t node = 0; node < widths.size(); ++node)
        drawing.x.push_back(x[node] - left);
    for (const std::vector<std::size_t>& items : graph.itemsOfEdge) {
        std::vector<double>& bends = drawing.bends.emplace_back();
        for (const std::size_t item : items)
            bends.push_back(x[item] - left);
    }
    return drawing;
}

} // namespace inkpeg
