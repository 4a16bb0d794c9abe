// SPDX-License-Identifier: GPL-3.0-or-later
// Made-up sites of any size for the benches: pits with fills in a layer, drawn on plans side by side, with finds
// scattered over them.
#pragma once

#include "core/checks/ProjectRecords.h"

namespace inkpeg::bench {

struct SiteSize {
    int contexts = 0, drawings = 0, finds = 0;
};

/// Every other context is a cut, the one after it its fill; each pair has an outline for each on the plan of its
/// place, and lies on layers recorded in chains. Drawings are pinned by six pins.
ProjectRecords siteOf(const SiteSize& size);

/// Cells of a finds register: number, context, trench, material, description.
std::vector<std::vector<std::string>> findCells(std::size_t count);

} // namespace inkpeg::bench
