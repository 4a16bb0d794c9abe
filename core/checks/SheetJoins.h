// SPDX-License-Identifier: GPL-3.0-or-later
// A context that runs over several sheets: its outlines joined on the ground, and how far they miss each
// other where one sheet ends and the next goes on.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/checks/ProjectRecords.h"

namespace inkpeg {

/// One sheet's outline of the context, on the ground. Shape: kinds[p][i] belongs to the edge that leaves
/// vertex i of parts[p].outer.
struct SheetOutline {
    std::string drawing; ///< number
    std::vector<PartOnGround> parts;
    std::vector<std::vector<EdgeKind>> kinds;
    RingOnGround footprint;    ///< of the drawing
    double standardErrorM = 0; ///< of a vertex
};

/// Where two sheets meet: from each place at which an outline runs off its sheet (its edge becomes "beyond
/// the sheet") to the nearest drawn edge of the outline on the other.
struct SheetJoin {
    std::string one, other; ///< numbers of the drawings
    int places = 0;         ///< at which an outline of one runs off onto the other, both ways counted
    double meanM = 0, worstM = 0;
    GroundM at;                ///< of the worst
    double standardErrorM = 0; ///< of the difference of two vertices, one per sheet
};

/// The joins of one context's outlines; none where no outline runs off onto ground that another sheet
/// shows.
std::vector<SheetJoin> sheetJoins(std::span<const SheetOutline> outlines);

/// The area of all sheets together; new vertices lie on a grid of a millimetre.
/// Shape:  parts valid. Errors: System (GEOS gave up).
Result<std::vector<PartOnGround>> joinedOnGround(std::span<const SheetOutline> outlines);

/// Area of parts, outer rings less holes, in square metres.
double areaM2(std::span<const PartOnGround> parts);

} // namespace inkpeg
