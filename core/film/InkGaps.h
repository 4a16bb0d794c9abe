// SPDX-License-Identifier: GPL-3.0-or-later
// Where a pencil line may go on over bare paper: from a loose end to another, or to the side of a line.
#pragma once

#include <vector>

#include "core/film/InkStrokes.h"

namespace inkpeg {

/// A loose end and the way it points, outwards, as a unit vector.
struct LooseEnd {
    MaskCell cell;
    double towardsColumn = 0, towardsRow = 0;
    std::size_t node = 0, chain = 0, stroke = 0; ///< of the joined network
    double strokeCells = 0;                      ///< length of the stroke behind it
};

struct PencilGap {
    MaskCell from, to;
    double widthCells = 0; ///< between what thinning leaves, which ends a little inside the pencil
    double facing = 0;     ///< cosine of the turn that the line would make, the sharper of the two ends
    bool toLine = false;   ///< from an end to the side of a line
    double shorterStrokeCells = 0;      ///< of the strokes that it joins end to end
    std::size_t fromEnd = 0, toEnd = 0; ///< the loose ends it joins; `toEnd` says nothing where toLine
    bool inRhythm = false; ///< as its dashed line has its gaps, or a covered beat of it, see InkDashes.h
};

/// Loose ends of strokes that can be followed inwards for `runCells`, over junctions the straightest way.
std::vector<LooseEnd> looseEnds(const InkChains& joined, const InkStrokes& strokes, double runCells);

/// Gaps of at most `widestCells`: between ends that do not point away from each other, and from each end on
/// to the first line within about thirty degrees of its direction.
std::vector<PencilGap> gapsBetween(const CellMask& skeleton, const std::vector<LooseEnd>& ends,
                                   double widestCells);

} // namespace inkpeg
