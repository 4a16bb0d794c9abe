// SPDX-License-Identifier: GPL-3.0-or-later
// Makes a ring that was traced by itself share its edges with the outlines it was traced alongside.
#pragma once

#include <span>

#include "core/outline/DrawnOutlines.h"
#include "core/outline/Outline.h"

namespace inkpeg {

/// The ring with every run that stays within `reachPx` of a ring of `outlines` laid onto it, vertex for
/// vertex; each laid run begins and ends on that ring, at a vertex if one is within reach. Edges keep the
/// kinds they were traced with. Where the result would not be valid, the ring as it was.
///
/// The outlines themselves get the places where a run begins and ends when they are knitted (knit).
/// Shape: runs shorter than three times `reachPx` that touch in passing are left alone.
Ring adjoined(const Ring& ring, std::span<const DrawnOutline> outlines, double reachPx);

} // namespace inkpeg
