// SPDX-License-Identifier: GPL-3.0-or-later
// Finds the grid from two pinned neighbours: all remaining crosses of a drawing, with the pegs they are
// likely to be.
//
//   const Result<GridProposal> grid = proposeGrid(project, drawing, pins, progress);
//   for (const ProposedPin& each : grid->pins) if (!each.doubtful) edit.put(pinOf(each, drawing));
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/film/Crosses.h"
#include "core/store/Project.h"

namespace inkpeg {

/// A cross that could become a pin.
struct ProposedPin {
    CrossMark cross;
    int column = 0, row = 0; ///< steps of the lattice from the first pinned cross
    std::string peg;         ///< by its coordinates; by its name where doubtful; empty: no peg stands there
    double awayM = 0;        ///< the peg from where the grid puts it
    bool doubtful = false;
    std::string doubt; ///< why, for people
};

struct GridProposal {
    std::string first, second; ///< pegs of the two neighbours that it was found from
    double stepM = 0;          ///< of the grid
    std::vector<ProposedPin> pins;
};

/// Looks on the drawing's part of its sheet, from the two pins nearest to each other on the ground that lie
/// on one line of drawn crosses; other pegs between them make them so many steps apart. Crosses that are
/// pinned already are left out. Each cross is named by the nearest free peg; the place a cross should have
/// follows from all those named before. Where the names of pegs count the grid ("124/198"), a cross without
/// a peg at its place is proposed the peg whose name fits, as doubtful: its coordinates may be wrong.
///
/// Errors: NotFound (no sheet, no scan); Unsolvable (fewer than two pins, none of them neighbours on a line
///         of crosses); Cancelled; as Scan::open and findLattice.
Result<GridProposal> proposeGrid(const Project& project, const Drawing& drawing, std::span<const Pin> pins,
                                 const Progress& progress = {});

/// The pin that a proposal becomes, placed by the lattice.
Pin pinOf(const ProposedPin& proposed, const Drawing& drawing);

/// Names of named lattice places continued: what the peg at (column, row) would be called, where the names
/// given ("124/198", "A3") hold numbers that grow evenly with column and row; empty where they do not.
/// Shape: `columns`, `rows` and `names` of one length; at least three, not all on one line.
std::string continuedName(std::span<const int> columns, std::span<const int> rows,
                          std::span<const std::string> names, int column, int row);

} // namespace inkpeg
