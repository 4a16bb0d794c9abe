// SPDX-License-Identifier: GPL-3.0-or-later
// The pixel grid a scan is laid into, and the outline of what is laid.
#pragma once

#include <cstdint>
#include <vector>

#include "core/base/Result.h"
#include "core/base/Units.h"
#include "core/film/Lay.h"

namespace inkpeg {

/// A place in the laid picture, in pixels; the upper left corner is (0, 0).
struct LaidPx {
    double column = 0, row = 0;
};

struct LayGrid {
    double pixelM = 0;
    GroundM upperLeft; ///< a whole multiple of pixelM
    int widthPx = 0, heightPx = 0;
    int finer = 1;            ///< pixels of the kernel's grid for each pixel laid, in each direction
    std::vector<LaidPx> ring; ///< outline of what is laid, its edges cut into short pieces
    bool framed = false;      ///< the ring is a frame smaller than the sheet, and cuts

    GroundM groundAt(double column, double row) const
    {
        return {upperLeft.east + column * pixelM, upperLeft.north - row * pixelM};
    }

    /// False when no pixel of `area` can lie within the ring.
    bool touches(const PxRect& area) const;

    /// Makes pixels whose centre lies outside the ring transparent. `alpha` has area.width bytes a row.
    void cut(const PxRect& area, std::vector<std::uint8_t>& alpha) const;
};

/// Errors: BadInput (frame of fewer than three corners, pixel size or exactness not above 0, or a grid that
///         would be too large).
Result<LayGrid> planGrid(const Scan& scan, const FilmFrame& film, const GroundTransform& transform,
                         const LaySettings& settings);

} // namespace inkpeg
