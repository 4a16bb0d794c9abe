// SPDX-License-Identifier: GPL-3.0-or-later
// Places the nodes of a directed graph without circles in layers, every edge running downwards, with few
// crossings and lines as straight as they go.
//
//   const LayeredDrawing drawing = drawInLayers(widths, edges, 4.0);
//   drawing.layer[node], drawing.x[node]            // its row from the top, and the middle of its box
//   drawing.bends[edge]                             // x at each layer that the edge passes
//
// Source: Sugiyama, Tagawa & Toda, Methods for visual understanding of hierarchical system structures, IEEE
// Trans. SMC 11 (1981): layers by longest paths, barycentre sweeps; Barth, Mutzel & Jünger, Simple and
// efficient bilayer cross counting, J. Graph Algorithms Appl. 8 (2004); places within a layer by weighted
// isotonic regression (Best & Chakravarti, Active set algorithms for isotonic regression, Mathematical
// Programming 47, 1990).
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "core/base/Progress.h"

namespace inkpeg {

struct LayeredEdge {
    std::size_t from = 0; ///< drawn above `to`
    std::size_t to = 0;
    bool operator==(const LayeredEdge&) const = default;
};

struct LayeredDrawing {
    std::vector<std::size_t> layer; ///< of each node, 0 the topmost
    std::vector<double> x;          ///< of the middle of each node; the leftmost box begins at 0
    /// For each edge its x at the layers strictly between its ends, from the top.
    std::vector<std::vector<double>> bends;
    std::size_t layers = 0;
    double width = 0;
    std::size_t crossings = 0;
};

/// `widths`: of each node's box; `gap`: the least room between two boxes, and of a line that passes a layer.
/// All in one unit of the caller's. The edges must not run in a circle and name nodes that exist.
/// Stopped by `progress`, the drawing is that of the sweeps done so far.
/// Cost: in proportion to nodes and edges, with an edge counting once for each layer that it passes.
LayeredDrawing drawInLayers(std::span<const double> widths, std::span<const LayeredEdge> edges, double gap,
                            const Progress& progress = {});

/// Layers alone: every edge leads downwards; nodes with more below them than above lie as low as they can.
std::vector<std::size_t> layersOf(std::size_t nodes, std::span<const LayeredEdge> edges);

} // namespace inkpeg
