// SPDX-License-Identifier: GPL-3.0-or-later
// The outline around a place: the closed pencil line that a click inside it means, small gaps bridged.
#pragma once

#include <vector>

#include "core/base/Result.h"
#include "core/base/Units.h"
#include "core/film/InkMap.h"

namespace inkpeg {

struct InkAreaSettings {
    double gapMm = 2.0;          ///< widest gap in the line that is bridged, on the film
    double toleranceMm = 0.15;   ///< how far thinning may move the outline (common practice, no source)
    double shortestMm = 1.2;     ///< ink of less extent is dirt
    bool onlyFacingEnds = false; ///< bridge only from one loose end to another that faces it
};

/// A place where the pencil line was missing and the outline goes straight.
struct BridgedGap {
    ScanPx from, to;
    double widthMm = 0;
};

struct InkArea {
    std::vector<ScanPx>
        vertices; ///< closed, the first not repeated; on the middle of the pencil; never crosses itself
    std::vector<BridgedGap> gaps;
    double areaMm2 = 0; ///< on the film
};

/// The area around `seed` up to the first closed line. What is drawn inside it (other outlines, words,
/// stones) and strokes that end on its line are passed over.
///
/// Gaps are bridged as far as needed: first where two loose ends face each other, then from a loose end
/// straight on to the next line, at last wherever the way out is narrower than the widest gap. Errors:
/// BadInput (seed outside the map, or on a line); Unsolvable (no closed line within the map: names the
/// width
///         of the gap through which the area runs out, where a wider bridge would close it).
Result<InkArea> encloseInk(const InkMap& map, ScanPx seed, const InkAreaSettings& settings = {});

/// The same on a scan: reads a window of 60 mm around the seed, and larger ones up to the whole sheet while
/// the area runs out of it. An outline that closes by facing ends within twice the window is preferred to a
/// smaller one that closes only with bolder bridges.
Result<InkArea> encloseInk(const Scan& scan, double dpi, ScanPx seed, const InkAreaSettings& settings = {},
                           const InkSettings& ink = {});

} // namespace inkpeg
