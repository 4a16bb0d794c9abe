// SPDX-License-Identifier: GPL-3.0-or-later
// Pencil on film: strokes of varying width and density, and lettering by hand, laid into the pixels of the
// scan.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/Units.h"
#include "samples/generator/SheetMap.h"

namespace inkpeg::demo {

/// How much graphite lies on each pixel of the scan, 0 to 255.
struct Graphite {
    int width = 0, height = 0;
    std::vector<std::uint8_t> pixels;
};

struct Stroke {
    double widthMm = 0.35;
    double strength = 0.8; ///< 0 to 1
    double dashMm = 0;     ///< 0 = unbroken
    double gapMm = 0;
};

/// Draws in film millimetres; the sheet's map says where that lies in the scan.
class Pencil {
public:
    Pencil(const SheetMap& map, std::uint32_t seed, double pressing = 1);

    void line(const std::vector<FilmMm>& path, const Stroke& stroke);
    void dot(FilmMm centre, double diameterMm, double strength);

    /// Capital letters, figures and signs, `heightMm` high, the first letter's lower left corner at `at`,
    /// running upwards to the right by `turnRad`. Returns the width in mm.
    double write(std::string_view text, FilmMm at, double heightMm, double strength = 0.75,
                 double turnRad = 0);

    const Graphite& graphite() const { return m_graphite; }

private:
    void piece(ScanPx a, ScanPx b, double widthPx, double strength);

    SheetMap m_map;
    Graphite m_graphite;
    std::uint32_t m_seed;
    std::uint32_t m_strokes = 0;
    double m_pressing; ///< of every stroke, as a share of the usual
};

} // namespace inkpeg::demo
