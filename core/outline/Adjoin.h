// SPDX-License-Identifier: GPL-3.0-or-later
// Makes a ring that was traced by itself share its edges with the outlines it was traced alongside.
#pragma once

#include <span>
#include <string>
#include <utility>
#include <vector>

#include "core/outline/DrawnOutlines.h"
#include "core/outline/Outline.h"

namespace inkpeg {

/// Lines of two contexts nearer than this on the film are one line: less than a pencil line is wide.
inline constexpr double AdjoinMm = 0.3;

/// The ring with every run that stays within `reachPx` of a ring of `outlines` laid onto it, vertex for
/// vertex; each laid run begins and ends on that ring, at a vertex if one is within reach. Edges keep the
/// kinds they were traced with. Where the result would not be valid, the ring as it was.
///
/// The line goes on passing through the places at `held`, which were set exactly: a run ends before one
/// that does not lie on the ring already. One that does lie there need not remain a vertex.
///
/// The outlines themselves get the places where a run begins and ends when they are knitted (knit).
/// Shape: runs shorter than three times `reachPx` that touch in passing are left alone.
Ring adjoined(const Ring& ring, std::span<const DrawnOutline> outlines, double reachPx,
              std::span<const ScanPx> held = {});

/// What of a new ring would be shared with outlines that are there.
struct SharedWith {
    std::vector<std::pair<ScanPx, ScanPx>> edges;
    std::vector<std::string> contexts; ///< of the outlines, each once, in their order
};
SharedWith sharedWith(const Ring& ring, std::span<const DrawnOutline> outlines);

} // namespace inkpeg
