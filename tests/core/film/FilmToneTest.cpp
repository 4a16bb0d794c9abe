// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/FilmTone.h"

#include <algorithm>
#include <cmath>

#include <QTest>

using namespace inkpeg;

namespace {

constexpr int Side = 256;

/// Film that darkens from 235 at the left to 195 at the right (at 600 dpi within 11 mm: a smudge's edge),
/// with scanner noise of plus or minus one, and lines two pixels wide every 32 that are `inkShare` darker
/// than the film beside them.
PyramidTile unevenFilm(double inkShare)
{
    PyramidTile tile;
    tile.width = tile.height = Side;
    std::uint32_t state = 7;
    for (int y = 0; y < Side; ++y)
        for (int x = 0; x < Side; ++x) {
            state = state * 1664525u + 1013904223u;
            const double bare = 235 - 40.0 * x / Side;
            const double value = x % 32 < 2 ? bare * (1 - inkShare) : bare;
            tile.pixels.push_back(
                static_cast<std::uint8_t>(std::lround(value) + static_cast<int>(state >> 30) % 3 - 1));
        }
    return tile;
}

BareFilm bareFilmOf(const PyramidTile& tile)
{
    return {tile, Side, Side, 24};
}

struct Greys {
    double lines = 0, film = 0;
    int darkestFilm = 255;
};

/// The rim of the film is left out: the bare film is not extrapolated there.
Greys greysOf(const PyramidTile& tile)
{
    Greys greys;
    int lines = 0, film = 0;
    for (int y = 32; y < Side - 32; ++y)
        for (int x = 32; x < Side - 32; ++x) {
            const int value = tile.pixels[static_cast<std::size_t>(y * Side + x)];
            if (x % 32 < 2) {
                greys.lines += value;
                ++lines;
            } else {
                greys.film += value;
                greys.darkestFilm = std::min(greys.darkestFilm, value);
                ++film;
            }
        }
    greys.lines /= lines;
    greys.film /= film;
    return greys;
}

} // namespace

class FilmToneTest final : public QObject {
    Q_OBJECT

private slots:
    void withoutStrengthTheTileStaysAsScanned()
    {
        const PyramidTile tile = unevenFilm(0.1);
        const auto toned = withStrongerInk(tile, 0, 0, 0, bareFilmOf(tile), 0);
        for (std::size_t i = 0; i < tile.pixels.size(); ++i)
            QVERIFY(std::abs(int{toned->pixels[i]} - int{tile.pixels[i]}) <= 1); // rounding
    }
    void theBareFilmIsFoundUnderTheLines()
    {
        const BareFilm film = bareFilmOf(unevenFilm(0.5));
        for (int x = 40; x < Side - 40; x += 5)
            QVERIFY(std::abs(film.at(x, 100, 0) - (235 - 40.0 * x / Side)) <= 4); // within a cell's slope
    }
    void faintPencilOnUnevenFilmBecomesReadable()
    {
        const PyramidTile tile = unevenFilm(0.10);
        const Greys before = greysOf(tile);
        const auto toned = withStrongerInk(tile, 0, 0, 0, bareFilmOf(tile), 1);
        const Greys after = greysOf(*toned);
        QVERIFY(before.film - before.lines < 22);
        QVERIFY(after.film > 245);        // white from side to side, where it sloped by 40 before
        QVERIFY(after.darkestFilm > 225); // no noise stands out
        QVERIFY(after.film - after.lines > 4 * (before.film - before.lines));
    }
    void strongerIsNeverFainter()
    {
        const PyramidTile tile = unevenFilm(0.2);
        const BareFilm film = bareFilmOf(tile);
        double before = 0;
        for (double strength = 0; strength <= 1; strength += 0.1) {
            const Greys greys = greysOf(*withStrongerInk(tile, 0, 0, 0, film, strength));
            QVERIFY(greys.film - greys.lines >= before);
            before = greys.film - greys.lines;
        }
    }
    void tilesOfAllLevelsAgreeAboutThePlace()
    {
        // The same flat film as one tile of level 0 and as a quarter tile of level 1, at another place.
        PyramidTile look;
        look.width = look.height = 64;
        for (int y = 0; y < 64; ++y)
            for (int x = 0; x < 64; ++x)
                look.pixels.push_back(static_cast<std::uint8_t>(240 - 2 * x));
        const BareFilm film(look, 1024, 1024, 64);
        PyramidTile flat;
        flat.width = flat.height = Side;
        flat.pixels.assign(Side * Side, 100);
        const auto fine = withStrongerInk(flat, 0, 1, 1, film, 0.5); // scan columns 256 to 511
        const auto coarse = withStrongerInk(flat, 1, 0, 0, film, 0.5);
        for (int x = 0; x < Side; x += 2)
            QVERIFY(std::abs(int{fine->pixels[static_cast<std::size_t>(x)]} -
                             int{coarse->pixels[static_cast<std::size_t>(128 * Side + 128 + x / 2)]}) <= 1);
    }
    void coloursKeepTheirOwnFilm()
    {
        PyramidTile tile;
        tile.width = tile.height = Side;
        tile.channels = 3;
        for (int i = 0; i < Side * Side; ++i)
            for (const int value : {240, 220, 160}) // yellowed film
                tile.pixels.push_back(static_cast<std::uint8_t>(value));
        const auto toned = withStrongerInk(tile, 0, 0, 0, bareFilmOf(tile), 1);
        for (const std::uint8_t value : toned->pixels)
            QVERIFY(value >= 254);
    }
    void brightnessAndContrastFollowTheirFormula()
    {
        const auto same = toneTable({});
        for (int v = 0; v < 256; ++v)
            QCOMPARE(int{same[static_cast<std::size_t>(v)]}, v);
        QCOMPARE(int{toneTable({0.25, 0, 0})[100]}, 132);
        QCOMPARE(int{toneTable({0, 0.5, 0})[138]}, 148); // 128 + 10 * 2
        QCOMPARE(int{toneTable({0, 1, 0})[200]}, 255);
        QCOMPARE(int{toneTable({0, -1, 0})[28]}, 103); // 128 - 100 / 4
    }
};

QTEST_GUILESS_MAIN(FilmToneTest)
#include "FilmToneTest.moc"
