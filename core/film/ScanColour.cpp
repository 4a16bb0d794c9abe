// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/ScanColour.h"

#include <algorithm>

namespace inkpeg {
namespace {

struct Rgb {
    unsigned red, green, blue;
};

unsigned toByte(unsigned sample, unsigned maximum)
{
    return maximum == 255 ? sample : (std::min(sample, maximum) * 255u + maximum / 2) / maximum;
}

unsigned timesByte(unsigned a, unsigned b)
{
    return (a * b + 127) / 255;
}

unsigned overWhite(unsigned value, unsigned alpha)
{
    return timesByte(value, alpha) + 255 - alpha;
}

/// One pixel as 8-bit colour, before its alpha sample is applied.
Rgb colourOf(const ScanColour& colour, const std::uint16_t* s)
{
    switch (colour.kind) {
    case ScanColour::Kind::Grey: {
        const unsigned value = toByte(s[0], colour.maximum);
        const unsigned grey = colour.whiteIsZero ? 255 - value : value;
        return {grey, grey, grey};
    }
    case ScanColour::Kind::Palette: {
        if (s[0] >= colour.palette.size())
            return {255, 255, 255};
        const auto& entry = colour.palette[s[0]];
        return {overWhite(entry[0], entry[3]), overWhite(entry[1], entry[3]),
                overWhite(entry[2], entry[3])};
    }
    case ScanColour::Kind::Rgb:
        return {toByte(s[0], colour.maximum), toByte(s[1], colour.maximum), toByte(s[2], colour.maximum)};
    case ScanColour::Kind::Cmyk:
        break;
    }
    const unsigned light = 255 - toByte(s[3], colour.maximum);
    return {timesByte(255 - toByte(s[0], colour.maximum), light),
            timesByte(255 - toByte(s[1], colour.maximum), light),
            timesByte(255 - toByte(s[2], colour.maximum), light)};
}

} // namespace

bool ScanColour::hasColour() const
{
    if (kind == Kind::Palette)
        return std::any_of(palette.begin(), palette.end(),
                           [](const auto& entry) { return entry[0] != entry[1] || entry[1] != entry[2]; });
    return kind != Kind::Grey;
}

void convertSamples(const ScanColour& colour, const std::uint16_t* samples, std::size_t pixelCount,
                    int channelCount, std::uint8_t* out)
{
    const auto bands = static_cast<std::size_t>(colour.bands());
    for (std::size_t i = 0; i < pixelCount; ++i) {
        const std::uint16_t* sample = samples + i * bands;
        Rgb pixel = colourOf(colour, sample);
        if (colour.alphaBand >= 0) {
            const unsigned alpha = toByte(sample[colour.alphaBand], colour.maximum);
            const auto over = [&](unsigned value) {
                return colour.alphaMultiplied ? std::min(value + 255 - alpha, 255u)
                                              : overWhite(value, alpha);
            };
            pixel = {over(pixel.red), over(pixel.green), over(pixel.blue)};
        }
        if (channelCount == 1) {
            out[i] = greyOf(pixel.red, pixel.green, pixel.blue);
            continue;
        }
        out[3 * i] = static_cast<std::uint8_t>(pixel.red);
        out[3 * i + 1] = static_cast<std::uint8_t>(pixel.green);
        out[3 * i + 2] = static_cast<std::uint8_t>(pixel.blue);
    }
}

} // namespace inkpeg
