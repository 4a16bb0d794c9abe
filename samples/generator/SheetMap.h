// SPDX-License-Identifier: GPL-3.0-or-later
// What happens to a film between the drawing board and the scan: stretch, cockle, skew, the scanner's two
// scales.
#pragma once

#include <array>

#include "core/base/Units.h"

namespace inkpeg::demo {

/// One slow wave of the film: dx = ax sin(2 pi (fx x + fy y) + phase), dy with ay and a quarter turn
/// further.
struct CockleWave {
    double ax = 0, ay = 0;         ///< mm
    double perMmX = 0, perMmY = 0; ///< waves per mm
    double phase = 0;              ///< radians
};

/// From the film as drawn (mm, x right, y up, lower left corner of the sheet) to the pixels of its scan:
/// 1. stretch about the film's centre; 2. cockle; 3. turned over when face down; 4. turned by the skew
/// about the scan's centre; 5. pixels at the two resolutions, rows downwards.
struct SheetMap {
    double filmWidthMm = 420, filmHeightMm = 297;
    double marginMm = 6; ///< scanner bed that shows around the film
    double stretchX = 0, stretchY = 0, shear = 0;
    std::array<CockleWave, 3> cockle;
    bool faceDown = false;
    double skewRad = 0; ///< counter-clockwise, as seen in the scan
    double dpi = 400;   ///< as stated
    double scannerScaleX = 1, scannerScaleY = 1;

    double scanWidthMm() const { return filmWidthMm + 2 * marginMm; }
    double scanHeightMm() const { return filmHeightMm + 2 * marginMm; }
    int widthPx() const;
    int heightPx() const;

    ScanPx toScan(FilmMm drawn) const;
    /// Fixed-point iteration to 1e-9 mm; the cockle is a small part of the way.
    FilmMm toFilm(ScanPx position) const;
};

} // namespace inkpeg::demo
