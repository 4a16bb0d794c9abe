// SPDX-License-Identifier: GPL-3.0-or-later
// The closed ways through a network of pencil that go round a place.
#pragma once

#include <vector>

#include "core/film/InkNetwork.h"

namespace inkpeg {

struct InkRing {
    std::vector<std::size_t> runs;
    std::vector<MaskCell> cells; ///< once round, the first not repeated, gaps filled in straight
    double price = 0;
    double widestGapMm = 0; ///< of those that are not a dashed line's own
    double areaCells = 0;
};

/// The cheapest closed way round `place` through each line that a ray from there to one of the four edges
/// of the map crosses, so that every outline around the place is among them; none crosses a node twice or
/// uses a gap wider than `gapMm` unless it is a dashed line's own. Cheapest first.
///
/// Source: a closed way goes round a place when it crosses a ray from there an odd number of times; the
/// shortest such way is a shortest path in the twofold cover of the network, by Dijkstra's method (Note on
/// two problems in connexion with graphs, Numerische Mathematik 1, 1959; both from memory).
std::vector<InkRing> ringsAround(const InkNetwork& network, CellPoint place, double gapMm);

/// The smallest closed area that `place` lies in, of lines that nothing speaks against: hachures, letters
/// and gaps that ask for a turn count for nothing, loose lines neither. Empty if there is none, or its line
/// touches itself. `cellMm`: of the map.
///
/// Source: the faces of a plane graph, walked by the next edge in turn at every node (de Berg et al.,
/// Computational Geometry, 3rd ed., 2.2; from memory).
InkRing faceAround(const InkNetwork& network, CellPoint place, double gapMm, double cellMm);

/// The ring that goes along these runs one after another from a node on. Empty if a node comes twice.
InkRing ringAlong(const InkNetwork& network, std::vector<std::size_t> runs, std::size_t startNode);

} // namespace inkpeg
