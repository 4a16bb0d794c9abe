// SPDX-License-Identifier: GPL-3.0-or-later
// All outlines of one drawing as one value, edited together so that what adjoins stays joined.
//
//   Result<void> done = editOutlines(outlines, [&](DrawnOutlines& all) { return cutOut(all, 1, 0); });
//   // refused: `outlines` is as it was; done: every changed outline is valid and knitted to its neighbours
#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/outline/Mend.h"
#include "core/outline/Outline.h"

namespace inkpeg {

/// An outline among those of its drawing. `id` is its row in the project file, 0 for one that is new.
struct DrawnOutline {
    std::int64_t id = 0;
    std::string context;
    std::vector<Part> parts;
    bool operator==(const DrawnOutline&) const = default;
};

using DrawnOutlines = std::vector<DrawnOutline>;

/// What had to be mended in an outline for an edit to be done.
struct MendedOutline {
    std::int64_t id = 0;
    std::string context;
    Mended mended;
};
using Mendings = std::vector<MendedOutline>;

/// Runs `change` on a copy. Outlines that it changed are knitted to those about them (knit) and checked;
/// only then does the copy take the place of `outlines`. Where an outline would not be valid the edit is
/// refused; with `mendings` it is mended (mendParts) and told there, to be shown before it is taken.
/// Errors: those of `change`; BadInput (an outline would not be valid: names its context and the place).
Result<void> editOutlines(DrawnOutlines& outlines,
                          const std::function<Result<void>(DrawnOutlines&)>& change,
                          Mendings* mendings = nullptr);

/// How near a vertex must lie to a foreign edge to belong on it: rounding to the lattice moves it by up to
/// half the diagonal of a step.
inline constexpr double KnitReachPx = 0.75 / 256;

/// Where a vertex of one outline lies upon the edge of another, the other gets it too, so that both hold
/// the same two positions one after the other. Looks at pairs with a changed outline in them.
/// Shape:  changed.size() == outlines.size().
void knit(DrawnOutlines& outlines, const std::vector<bool>& changed);

/// An edge that several outlines hold, from the lesser position to the greater (by column, then row).
struct SharedEdge {
    ScanPx a, b;
    std::vector<std::size_t> outlines; ///< indices, rising
    bool operator==(const SharedEdge&) const = default;
};

/// Every edge that two outlines or more hold.
std::vector<SharedEdge> sharedEdges(std::span<const DrawnOutline> outlines);

/// Positions at which the edges of three outlines or more, or of two with different neighbours, come
/// together: a vertex from which more than two different edges go.
std::vector<ScanPx> junctions(std::span<const DrawnOutline> outlines);

} // namespace inkpeg
