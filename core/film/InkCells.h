// SPDX-License-Identifier: GPL-3.0-or-later
// The ink of a whole sheet in coarse cells, for what needs to see all of it at once.
#pragma once

#include "core/base/Result.h"
#include "core/film/InkPlane.h"
#include "core/film/Scan.h"

namespace inkpeg {

enum class FaintInk {
    Kept,    ///< everything darker than its surroundings: noise and a fine printed grid as well
    Dropped, ///< what is no darker than three times the usual swing of bare film to the lighter side
};

/// Cells of `step` x `step` pixels: by how many grey levels each is darker than the film around it (the
/// mean within 16 cells); 0 where it is not.
InkPlane inkCells(const GreyImage& image, int step, FaintInk faint);

/// The same of a scan; damaged parts count as bare. Errors: as Scan::readGrey.
Result<InkPlane> readInkCells(const Scan& scan, int step, FaintInk faint);

} // namespace inkpeg
