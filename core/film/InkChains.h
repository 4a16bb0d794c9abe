// SPDX-License-Identifier: GPL-3.0-or-later
// A skeleton as a network: chains of cells between the nodes where lines meet or end.
#pragma once

#include <span>
#include <vector>

#include "core/film/InkSkeleton.h"

namespace inkpeg {

/// A run of cells from one node to another, both nodes' own cells included; never empty.
struct InkChain {
    std::size_t from = 0, to = 0; ///< the same for a loop
    std::vector<MaskCell> cells;
};

struct InkChains {
    std::vector<MaskCell> nodes;
    std::vector<InkChain> chains;
    std::vector<std::vector<std::size_t>> at; ///< of each node: its chains; a loop twice

    bool isLoose(std::size_t node) const { return at[node].size() == 1; }
};

/// Every cell with other than two neighbours becomes a node, neighbouring ones together one, and so does
/// each of `alsoNodes`; a closed line without any gets one somewhere. `nodeOf` (if not null) receives the
/// node of each of `alsoNodes`, in their order; they must be set in the skeleton.
InkChains chainsOf(const CellMask& skeleton, std::span<const MaskCell> alsoNodes = {},
                   std::vector<std::size_t>* nodeOf = nullptr);

/// The same network with the chains joined through every node that only two of them share. Such nodes stay
/// in the list without chains.
InkChains joinedThrough(const InkChains& network);

/// The same network with nodes taken for one that only a chain of at most `longestCells` parts: lines that
/// cross at nearly the same place, or the two ends of a thick crossing. `joined` as from joinedThrough, and
/// so is what is returned. Chains keep their cells; those that parted the nodes are gone.
InkChains contracted(const InkChains& joined, double longestCells);

/// The chain's cells as one walks it away from `node`, one of its two.
std::vector<MaskCell> cellsFrom(const InkChain& chain, std::size_t node);

/// Length along the cells, in cells.
double lengthOf(const std::vector<MaskCell>& cells);

} // namespace inkpeg
