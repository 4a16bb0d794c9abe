// SPDX-License-Identifier: GPL-3.0-or-later
// A sheet that was scanned in two halves becomes one scan again.
//
//   const Result<Stitching> match = matchHalves(left, right, {400, 400}, scratch);
//   if (!match) return match.error();            // "... found on both: 3; at least 8 are needed"
//   const Result<StitchedScan> sheet = stitchHalves(left, right, *match, {400, 400}, "film/F-07.tif");
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/base/Units.h"
#include "core/film/Scan.h"

namespace inkpeg {

/// Resolution of the two halves; they may differ.
struct HalvesDpi {
    double first = 400, second = 400;
};

/// One place found on both.
struct StitchPlace {
    ScanPx first, second;
    double likeness = 0; ///< normalised correlation of the two pieces, -1 to 1
    double misfitMm = 0; ///< on the film, after the fit
};

/// How the second half lies on the first: turned, scaled and moved.
struct Stitching {
    /// second column = a x - b y + c, second row = b x + a y + d, of a place (x, y) of the first.
    double a = 1, b = 0, c = 0, d = 0;
    std::vector<StitchPlace> places; ///< that the fit rests on
    double misfitMm = 0;             ///< root mean square, on the film, per place
    double worstMisfitMm = 0;

    ScanPx toSecond(ScanPx first) const
    {
        return {a * first.column - b * first.row + c, b * first.column + a * first.row + d};
    }
    ScanPx toFirst(ScanPx second) const
    {
        const double x = second.column - c, y = second.row - d, square = a * a + b * b;
        return {(a * x + b * y) / square, (a * y - b * x) / square};
    }
};

/// Finds the overlap by the ink that both show: all shifts and turns of up to three degrees (and the second
/// half upside down) in cells of a millimetre; then pieces of 12 mm, and last of 7 mm at full resolution to
/// fractions of a pixel, through which a similarity is fitted; pieces that lie three times as far off as
/// their fellows are left out.
///
/// `scratchFolder` takes the pixels of scans that cannot be entered anywhere.
/// Errors: Unsolvable (too few pieces found on both, or they disagree: says how many and by how much);
///         BadInput (resolution not above 0); Cancelled; as SourceTiles::open.
Result<Stitching> matchHalves(const Scan& first, const Scan& second, HalvesDpi dpi,
                              const std::filesystem::path& scratchFolder, const Progress& progress = {});

struct StitchedScan {
    std::filesystem::path file;
    int widthPx = 0, heightPx = 0;
    ScanPx firstAt; ///< where the first half's upper left corner lies in it
    /// Unreadable parts of the halves, white in it where neither shows them.
    std::vector<std::string> damage;
};

/// Writes both as one tiled TIFF, packed by DEFLATE, at the first half's resolution. The first half's
/// pixels stay as they are; the second is resampled (cubic) to where it belongs. Where both lie, the one is
/// taken whose own edge is farther away, with a strip of a millimetre in which one passes into the other;
/// where neither lies it is white. Written to a temporary name, synced, renamed.
/// Errors: Conflict (the output is one of the halves); OutOfSpace; System; Cancelled.
Result<StitchedScan> stitchHalves(const Scan& first, const Scan& second, const Stitching& stitching,
                                  HalvesDpi dpi, const std::filesystem::path& output,
                                  const Progress& progress = {});

} // namespace inkpeg
