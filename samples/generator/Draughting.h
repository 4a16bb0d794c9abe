// SPDX-License-Identifier: GPL-3.0-or-later
// Everything that a draughtsman puts on a sheet of film, in pencil.
#pragma once

#include "samples/generator/Demo.h"
#include "samples/generator/Pencil.h"

namespace inkpeg::demo {

/// Draws all drawings of a sheet, its title block and notes.
void draughtSheet(const Demo& demo, const SheetPlan& sheet, Pencil& pencil);

} // namespace inkpeg::demo
