// SPDX-License-Identifier: GPL-3.0-or-later
// Turns the samples of a scan, whatever their kind, into 8-bit grey or red, green, blue over white film.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace inkpeg {

/// How the samples of one pixel are to be understood.
struct ScanColour {
    enum class Kind { Grey, Palette, Rgb, Cmyk };

    Kind kind = Kind::Grey;
    int colourBands = 1;                              ///< 1, 3 or 4
    int alphaBand = -1;                               ///< index of the alpha sample, or none
    bool alphaMultiplied = false;                     ///< the colour samples already carry the alpha
    bool whiteIsZero = false;                         ///< grey counted downwards
    unsigned maximum = 255;                           ///< sample value of full strength
    std::vector<std::array<std::uint8_t, 4>> palette; ///< red, green, blue, alpha

    int bands() const { return colourBands + (alphaBand >= 0 ? 1 : 0); }
    bool hasColour() const;
};

/// `pixelCount` pixels of `colour.bands()` interleaved samples to `channelCount` (1 or 3) bytes a pixel.
///
/// CMYK is taken as ideal inks: red = (1 - C)(1 - K), and so on; no colour profile is applied.
/// Source: grey = 0.299 R + 0.587 G + 0.114 B, Recommendation ITU-R BT.601-7, 2.5.1.
void convertSamples(const ScanColour& colour, const std::uint16_t* samples, std::size_t pixelCount,
                    int channelCount, std::uint8_t* out);

/// The grey of a colour, rounded.
inline std::uint8_t greyOf(unsigned red, unsigned green, unsigned blue)
{
    return static_cast<std::uint8_t>((299 * red + 587 * green + 114 * blue + 500) / 1000);
}

} // namespace inkpeg
