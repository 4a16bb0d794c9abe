// SPDX-License-Identifier: GPL-3.0-or-later
// How a scan is made readable on the screen: brightness, contrast and ink strength. Only what is seen
// changes; the scan and everything measured in it stay as they are.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "core/film/TileCache.h"

namespace inkpeg {

struct FilmTone {
    double brightness = 0;  ///< -1 to 1; 0 = as scanned
    double contrast = 0;    ///< -1 to 1; 0 = as scanned
    double inkStrength = 0; ///< 0 to 1; 0 = as scanned
    bool operator==(const FilmTone&) const = default;
};

/// What brightness b and contrast c make of each value v: (v - 128) * 4^c + 128 + 128 b, kept within 0 to
/// 255.
std::array<std::uint8_t, 256> toneTable(const FilmTone& tone);

/// How bright the bare film is about each place of a scan: in cells, the brightness that four fifths of the
/// cell do not exceed, smoothed over neighbouring cells.
class BareFilm {
public:
    BareFilm() = default;
    /// `look` is the whole scan made small; the cells are about `cellScanPx` wide (4 mm on the film serve
    /// well: wider than any line, narrower than a smudge or the shade of a fold).
    BareFilm(const PyramidTile& look, int scanWidth, int scanHeight, double cellScanPx);

    bool isEmpty() const { return m_values.empty(); }
    /// At a place of the scan, 1 to 255; between cells it is interpolated.
    double at(double column, double row, int channel) const;

private:
    double value(int column, int row, int channel) const;
    void smooth();

    int m_columns = 0, m_rows = 0, m_channels = 1;
    double m_cellWidth = 1, m_cellHeight = 1; ///< in scan pixels
    std::vector<float> m_values;
};

/// The tile with its ink made stronger by s = `inkStrength`: with B the bare film at the place, the
/// darkness d = 1 - v/B becomes d' = max(d - n, 0) + (1 - s) min(d, n), where n = 0.02 s is taken for
/// noise, and the value (B + s (255 - B)) (1 - min(1, (1 + 5 s) d')). With s = 0 that is v; with s = 1 bare
/// film is white and a line 10 % darker than the film beside it is half black.
///
/// `level`, `tileColumn`, `tileRow` tell where the tile lies. Source: division by the background is the
/// usual shading correction (Gonzalez & Woods, Digital Image Processing, section 2.6; from memory); the
/// noise floor and the gain are our own.
PyramidTilePointer withStrongerInk(const PyramidTile& tile, int level, int tileColumn, int tileRow,
                                   const BareFilm& film, double inkStrength);

} // namespace inkpeg
