// SPDX-License-Identifier: GPL-3.0-or-later
// The outline around a place: the closed pencil line that a click inside it means, small gaps bridged.
//
//   const InkNetwork network = InkNetwork::of(map);            // once for a drawing
//   const Result<InkArea> area = encloseInk(map, network, seed);
#pragma once

#include <vector>

#include "core/base/Result.h"
#include "core/base/Units.h"
#include "core/film/InkMap.h"
#include "core/film/InkNetwork.h"

namespace inkpeg {

struct InkAreaSettings {
    double gapMm = 3.0; ///< widest gap in the line that is bridged, on the film; dashes keep their own
    double toleranceMm = 0.15; ///< how far thinning may move the outline (common practice, no source)
    double smallestMm2 = 6.0;  ///< what is smaller is the eye of a letter or the space between strokes
};

/// A place where the pencil line was missing, or covered by other pencil, and the outline goes straight.
struct BridgedGap {
    ScanPx from, to;
    double widthMm = 0; ///< from tip to tip; over a covered dash that dash and the gaps on both sides of it
    bool inRhythm = false; ///< a dashed line's own, which may be wider than `gapMm`, see InkDashes.h
};

struct InkArea {
    std::vector<ScanPx>
        vertices; ///< closed, the first not repeated; on the middle of the pencil; never crosses itself
    std::vector<BridgedGap> gaps;
    double areaMm2 = 0; ///< on the film
    double doubt = 0;   ///< price of its way beyond mere length, see InkNetwork: the lower the surer
};

/// The outlines around `seed`, the likeliest first, the smallest closed area among them. What is drawn inside
/// them (other outlines, words, stones) is passed over.
///
/// Errors: BadInput (seed outside the map, or on the line of the likeliest); Unsolvable (no closed line:
///         names the width of the gap through which the area runs out, where a wider bridge would close
///         it).
Result<std::vector<InkArea>> outlinesAround(const InkMap& map, const InkNetwork& network, ScanPx seed,
                                            const InkAreaSettings& settings = {});

/// Of outlines around a place (not empty, the likeliest first): the one that is so many steps larger than
/// the likeliest, or the largest.
const InkArea& widerBy(const std::vector<InkArea>& areas, std::size_t steps);

/// The likeliest of them. Errors as there.
Result<InkArea> encloseInk(const InkMap& map, const InkNetwork& network, ScanPx seed,
                           const InkAreaSettings& settings = {});

} // namespace inkpeg
