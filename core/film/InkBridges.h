// SPDX-License-Identifier: GPL-3.0-or-later
// Straight runs of cells that bridge gaps between the chains of a skeleton.
#pragma once

#include <cmath>
#include <vector>

#include "core/film/InkSkeleton.h"

namespace inkpeg {

/// A straight run of cells, both ends on the skeleton.
struct InkBridge {
    MaskCell from, to;
};

inline double distance(MaskCell a, MaskCell b)
{
    return std::hypot(a.column - b.column, a.row - b.row);
}

std::vector<MaskCell> cellsAlong(const InkBridge& bridge);

/// `skeleton` with the bridges drawn in.
CellMask withBridges(CellMask skeleton, const std::vector<InkBridge>& bridges);

/// Pairs of loose ends that point at each other and are no further apart than `widest` cells, nearest
/// first, each end used once.
std::vector<InkBridge> bridgesBetweenEnds(const std::vector<LooseEnd>& ends, double widest);

/// From each loose end on to the first line it points at, within about thirty degrees and `widest` cells.
std::vector<InkBridge> bridgesToLines(const CellMask& barrier, const std::vector<LooseEnd>& ends,
                                      double widest);

} // namespace inkpeg
