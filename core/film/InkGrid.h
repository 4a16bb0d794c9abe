// SPDX-License-Identifier: GPL-3.0-or-later
// Takes a printed grid out of a plane of darkness.
#pragma once

#include "core/film/InkPlane.h"

namespace inkpeg {

/// How much of the darkness of each cell belongs to straight lines that repeat with a period: the share to
/// take away.
///
/// A printed line is dark over a long stretch (median along it) and so are its neighbours one period to
/// either side (median across them): a pencil line is not, however straight, unless it lies on a printed
/// line, and there only the printed share is taken away. Nothing is assumed of the phase, so a film that
/// has stretched does no harm. Units: periodCells = period in cells, > 3. The grid may be turned by up to
/// four degrees; the turn is found.
InkPlane printedGrid(const InkPlane& darkness, double periodCells);

} // namespace inkpeg
