// SPDX-License-Identifier: GPL-3.0-or-later
// All that is to be known of the pencil on one drawing: made once, away from the window's thread, then
// asked at every move of the mouse.
#pragma once

#include <optional>
#include <span>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/film/InkMap.h"
#include "core/film/InkNetwork.h"

namespace inkpeg {

/// A value; may be read from many threads.
struct FilmInk {
    InkMap map;
    InkNetwork network;
};

/// The whole pixels that `frame` spans (all of the scan if it is empty) and `marginMm` around it, within
/// the scan.
PxRect inkWindow(std::span<const ScanPx> frame, const ScanFacts& facts, double dpi, double marginMm = 5);

/// Reads `window` of a scan. Errors: as readInkMap; Cancelled.
Result<FilmInk> readFilmInk(const Scan& scan, const PxRect& window, double dpi,
                            const InkSettings& settings = {}, const Progress& progress = {});

/// The nearest place within `reachMm` where three lines or more of pencil meet.
std::optional<ScanPx> nearestJunction(const FilmInk& ink, ScanPx place, double reachMm);

} // namespace inkpeg
