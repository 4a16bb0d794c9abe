// SPDX-License-Identifier: GPL-3.0-or-later
#include "samples/generator/SheetMap.h"

#include <cmath>
#include <numbers>

namespace inkpeg::demo {

namespace {

FilmMm displaced(const SheetMap& map, FilmMm drawn)
{
    const double x = drawn.x - map.filmWidthMm / 2, y = drawn.y - map.filmHeightMm / 2;
    FilmMm moved{drawn.x + map.stretchX * x + map.shear * y, drawn.y + map.stretchY * y};
    for (const CockleWave& wave : map.cockle) {
        const double angle =
            2 * std::numbers::pi * (wave.perMmX * drawn.x + wave.perMmY * drawn.y) + wave.phase;
        moved.x += wave.ax * std::sin(angle);
        moved.y += wave.ay * std::cos(angle);
    }
    return moved;
}

} // namespace

int SheetMap::widthPx() const
{
    return static_cast<int>(std::lround(scanWidthMm() * dpi / MillimetresPerInch));
}

int SheetMap::heightPx() const
{
    return static_cast<int>(std::lround(scanHeightMm() * dpi / MillimetresPerInch));
}

ScanPx SheetMap::toScan(FilmMm drawn) const
{
    const FilmMm moved = displaced(*this, drawn);
    const double x = (faceDown ? filmWidthMm - moved.x : moved.x) - filmWidthMm / 2;
    const double y = moved.y - filmHeightMm / 2;
    const double turnedX = x * std::cos(skewRad) - y * std::sin(skewRad) + scanWidthMm() / 2;
    const double turnedY = x * std::sin(skewRad) + y * std::cos(skewRad) + scanHeightMm() / 2;
    return {turnedX * dpi * scannerScaleX / MillimetresPerInch,
            (scanHeightMm() - turnedY) * dpi * scannerScaleY / MillimetresPerInch};
}

FilmMm SheetMap::toFilm(ScanPx position) const
{
    const double turnedX = position.column * MillimetresPerInch / (dpi * scannerScaleX) - scanWidthMm() / 2;
    const double turnedY =
        scanHeightMm() - position.row * MillimetresPerInch / (dpi * scannerScaleY) - scanHeightMm() / 2;
    const double x = turnedX * std::cos(skewRad) + turnedY * std::sin(skewRad) + filmWidthMm / 2;
    const double y = -turnedX * std::sin(skewRad) + turnedY * std::cos(skewRad) + filmHeightMm / 2;
    const FilmMm moved{faceDown ? filmWidthMm - x : x, y};
    FilmMm drawn = moved;
    for (int i = 0; i < 50; ++i) {
        const FilmMm back = displaced(*this, drawn);
        const double missX = moved.x - back.x, missY = moved.y - back.y;
        drawn.x += missX;
        drawn.y += missY;
        if (std::hypot(missX, missY) < 1e-9)
            break;
    }
    return drawn;
}

} // namespace inkpeg::demo
