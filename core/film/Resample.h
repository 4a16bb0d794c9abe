// SPDX-License-Identifier: GPL-3.0-or-later
// The kernels: pixel values of a laid picture from a patch of the scan.
#pragma once

#include <array>
#include <cstdint>

#include "core/film/Lay.h"
#include "core/film/SourceCells.h"
#include "core/film/SourceTiles.h"

namespace inkpeg {

/// Where results go: one plane for each channel and one for alpha, `width` bytes a row; its first pixel is
/// (left, top) of the laid picture.
struct LaidPlanes {
    int left = 0, top = 0;
    int width = 0, height = 0;
    int channels = 1;
    std::array<std::vector<std::uint8_t>, 4> planes; ///< channels, then alpha

    /// White and transparent everywhere.
    void clear(const PxRect& area, int channelCount);
    std::vector<std::uint8_t>& alpha() { return planes[static_cast<std::size_t>(channels)]; }
};

struct ScanSize {
    int width = 0, height = 0;
};

/// Fills the pixels of `cell`. Pixels whose place is not in the scan, or whose value would need a damaged
/// pixel, stay as they are.
///
/// Nearest takes the pixel that the place lies in. Bilinear and cubic (a = -1/2) weigh the 2 x 2 and 4 x 4
/// pixels around; at the rim of the scan bilinear repeats the outermost pixels, and cubic becomes bilinear.
/// Shape:  `patch` holds all of those pixels.
/// Source: R. Keys, Cubic convolution interpolation for digital image processing, IEEE Trans. ASSP 29
/// (1981), eq. 15.
void resampleCell(Kernel kernel, const SourceCell& cell, const LocateInScan& locate,
                  const SourcePatch& patch, ScanSize scan, LaidPlanes& out);

/// How many pixels around a place a kernel needs, on each side.
int kernelReachPx(Kernel kernel);

} // namespace inkpeg
