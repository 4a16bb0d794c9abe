// SPDX-License-Identifier: GPL-3.0-or-later
// What was drawn in one pull of the pencil: chains that go on straight into one another where lines meet.
#pragma once

#include <limits>
#include <vector>

#include "core/film/InkChains.h"

namespace inkpeg {

/// Nothing of length 0 has a direction: both are 0 then.
struct UnitVector {
    double x = 0, y = 0;
};

/// Cells from a node along one of its chains, about `runCells` of length, over further nodes the
/// straightest way.
std::vector<MaskCell> wayAlong(const InkChains& joined, std::size_t node, std::size_t first,
                               double runCells);

/// How a chain leaves a node: towards the place about `armCells` along that way.
UnitVector directionAlong(const InkChains& joined, std::size_t node, std::size_t chain, double armCells);

/// At least one chain; of a loop that no line meets, exactly one.
struct InkStroke {
    std::vector<std::size_t> chains; ///< of the network, in order
    std::size_t first = 0, last = 0; ///< nodes at its ends
    double lengthCells = 0;
    bool straight = false; ///< its ends are nearly as far apart as it is long
};

struct InkStrokes {
    std::vector<InkStroke> strokes;
    std::vector<std::size_t> ofChain; ///< of each chain: its stroke
};

/// `joined` has no node that only two chains share (joinedThrough). At a node the two chains that go on
/// straightest into each other belong together, then the next two, up to a turn of about 35 degrees.
/// `armCells`: how far along a chain its direction is looked for.
InkStrokes strokesOf(const InkChains& joined, double armCells);

/// `skeleton` without the whiskers that dirt and print beside a line leave on it: loose chains no longer
/// than `longestCells` where at least two others meet, unless they go on in the direction of one of these.
/// Where a line ends in a fork, the tine that goes on straightest stays.
CellMask withoutWhiskers(CellMask skeleton, double longestCells);

/// `skeleton` with so many cells cut off each loose end: there thinning runs into a corner of the stroke's
/// blunt end and points astray. Short chains stay whole.
CellMask withoutHooks(CellMask skeleton, int cells);

} // namespace inkpeg
