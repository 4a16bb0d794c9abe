// SPDX-License-Identifier: GPL-3.0-or-later
// The three spaces a point can live in, as three types, so that one cannot be passed for another.
#pragma once

#include <cmath>
#include <optional>

namespace inkpeg {

/// Position in a scan, in pixels: column to the right, row down; the centre of the first pixel is (0.5, 0.5).
struct ScanPx {
    double column = 0;
    double row = 0;
    bool operator==(const ScanPx&) const = default;
};

/// Position on the film, in millimetres: x to the right, y up, origin at the lower left corner of the scan.
struct FilmMm {
    double x = 0;
    double y = 0;
    bool operator==(const FilmMm&) const = default;
};

/// Position on the ground, in metres: in the project's CRS unless a name says otherwise.
/// In a section frame `east` is the distance along the section line and `north` the level.
struct GroundM {
    double east = 0;
    double north = 0;
    bool operator==(const GroundM&) const = default;
};

inline double distance(ScanPx a, ScanPx b)
{
    return std::hypot(a.column - b.column, a.row - b.row);
}
inline double distance(FilmMm a, FilmMm b)
{
    return std::hypot(a.x - b.x, a.y - b.y);
}
inline double distance(GroundM a, GroundM b)
{
    return std::hypot(a.east - b.east, a.north - b.north);
}

inline constexpr double MillimetresPerInch = 25.4;

/// How a scan's pixels lie on the film: resolution in each direction, and whether the film lay face down.
///
/// A sheet scanned face down is mirrored: its x runs against the columns, so that film coordinates read as drawn.
/// Shape: widthPx, heightPx >= 1; dpi > 0.
struct FilmFrame {
    double widthPx = 1;
    double heightPx = 1;
    double dpiX = 400;
    double dpiY = 400;
    bool faceDown = false;

    FilmMm toFilm(ScanPx p) const
    {
        const double columns = faceDown ? widthPx - p.column : p.column;
        return {columns * MillimetresPerInch / dpiX, (heightPx - p.row) * MillimetresPerInch / dpiY};
    }
    ScanPx toScan(FilmMm p) const
    {
        const double columns = p.x * dpiX / MillimetresPerInch;
        return {faceDown ? widthPx - columns : columns, heightPx - p.y * dpiY / MillimetresPerInch};
    }
    bool operator==(const FilmFrame&) const = default;
};

/// A length on the film in mm, of a length on the ground in metres, at 1 : scaleDenominator; and back.
inline double filmMmFromGroundM(double metres, double scaleDenominator)
{
    return metres * 1000.0 / scaleDenominator;
}
inline double groundMFromFilmMm(double mm, double scaleDenominator)
{
    return mm * scaleDenominator / 1000.0;
}

} // namespace inkpeg
