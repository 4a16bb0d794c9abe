// SPDX-License-Identifier: GPL-3.0-or-later
// Follows the pencil from one place on the film to another, quickly enough to do so at every move of the
// mouse.
#pragma once

#include <optional>
#include <vector>

#include "core/base/Result.h"
#include "core/base/Units.h"
#include "core/film/InkMap.h"

namespace inkpeg {

struct InkPathSettings {
    double toleranceMm =
        0.15;             ///< how far thinning may move the line, on the film (common practice, no source)
    double roomMm = 12.0; ///< how far the way may leave the box around its ends, at most
};

struct InkPath {
    std::vector<ScanPx>
        vertices;        ///< from the first place to the last, both exactly as given; never crosses itself
    double lengthMm = 0; ///< on the film
    double inkShare = 0; ///< share of its length that runs on pencil rather than bare paper
};

/// The way from `from` to `to` that costs least, on the middle of the pencil, thinned.
///
/// A search over cells twice as big finds the corridor, a second one within it the way; then see InkLine.h.
/// Errors: BadInput (an end outside the map).
/// Source: Dijkstra, A note on two problems in connexion with graphs, Numerische Mathematik 1 (1959), with
///         buckets for the whole-number costs (from memory).
Result<InkPath> followInk(const InkMap& map, ScanPx from, ScanPx to, const InkPathSettings& settings = {});

/// The nearest middle of a pencil line within `reachMm` of `place`; nothing if there is only paper.
std::optional<ScanPx> nearestInk(const InkMap& map, ScanPx place, double reachMm = 1.0);

} // namespace inkpeg
