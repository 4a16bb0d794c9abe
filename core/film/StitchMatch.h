// SPDX-License-Identifier: GPL-3.0-or-later
// Pieces of one half of a sheet found again on the other, and the similarity through them.
#pragma once

#include "core/film/InkPlane.h"
#include "core/film/SourceTiles.h"
#include "core/film/Stitch.h"

namespace inkpeg {

/// One half, as the search sees it.
struct Half {
    const Scan& scan;
    SourceTiles& tiles; ///< opened with one channel
    double dpi = 400;

    double pxPerMm() const { return dpi / MillimetresPerInch; }
    bool holds(ScanPx place, double marginPx) const
    {
        return place.column >= marginPx && place.row >= marginPx &&
               place.column <= scan.facts().widthPx - marginPx &&
               place.row <= scan.facts().heightPx - marginPx;
    }
};

/// Places of the first half, spread over the overlap, around which there is ink to compare: at most
/// `most`. `ink` are cells of `cellPx` pixels of the first half.
std::vector<ScanPx> placesWithInk(const Half& first, const Half& second, const Stitching& guess,
                                  const InkPlane& ink, double cellPx, std::size_t most);

struct PieceSearch {
    double pieceMm = 12;
    double reachMm = 3;  ///< how far the guess may be off
    double stepMm = 0.2; ///< of the comparison; 0 = the first half's pixels
};

/// Looks for the piece of the first half around each place on the second, near where `guess` puts it. Kept
/// are those that agree (correlation at least 0.5) at one spot and not along a line. The place on the
/// second half lies where the parabola through the correlations about the best one has its top.
std::vector<StitchPlace> findPieces(const Half& first, const Half& second, const Stitching& guess,
                                    const std::vector<ScanPx>& places, const PieceSearch& search);

/// The places that most of them agree with (to `toleranceMm`), and the similarity through them; misfits
/// are filled in. Fewer than three places: none kept.
Stitching agreeing(const std::vector<StitchPlace>& places, double toleranceMm, double secondPxPerMm);

} // namespace inkpeg
