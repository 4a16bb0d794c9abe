// SPDX-License-Identifier: GPL-3.0-or-later
// Making a polygon of what was nearly one, and saying what was changed.
//
//   if (!checkParts(parts))
//       if (const Result<Mended> mended = mendParts(parts); mended)
//           propose(mended->parts, mended->steps);       // the person sees it before it is taken
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/outline/Outline.h"

namespace inkpeg {

/// One thing that mending changed, and where.
struct MendStep {
    std::string words;
    ScanPx at;
    bool operator==(const MendStep&) const = default;
};

struct Mended {
    std::vector<Part> parts; ///< valid, on the lattice
    std::vector<MendStep> steps;
    std::vector<Part> takenOff, addedOn; ///< areas that only the old or only the new outline holds
};

/// A loop smaller than this share of the largest part is a slip of the hand, not a part of the outline.
inline constexpr double LoopShare = 0.05;

/// Takes off repeated vertices and spikes (edges that run out and back upon themselves), cuts the outline
/// where it crosses itself, drops loops under LoopShare and holes outside; edges keep their kinds.
/// What is valid comes back as it was, without steps.
/// Errors: BadInput (no area is left: what would be right).
/// Source: OGC 06-103r4, 6.1.11; crossings by GEOS 3.11 (MakeValid, structure method).
Result<Mended> mendParts(std::span<const Part> parts);

} // namespace inkpeg
