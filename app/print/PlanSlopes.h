// SPDX-License-Identifier: GPL-3.0-or-later
// The hachures of a print-ready plan, drawn anew for its scale.
#pragma once

#include <array>
#include <vector>

#include "app/print/PlanField.h"
#include "core/handover/SheetContent.h"

namespace inkpeg {

/// Tapering strokes, head first, as on the board (core/outline/Hachures.h): each drawing's breaks of slope
/// go with its own levels. None on a section.
std::vector<std::array<PageMm, 3>> hachuresOnPage(const SheetContent& content, const FieldMap& map);

} // namespace inkpeg
