// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/ScanView.h"

#include <cmath>

#include <gdal_alg.h>
#include <gdal_priv.h>
#include <gdalwarper.h>

#include <QTest>

#include "core/film/Pyramid.h"

using namespace inkpeg;

namespace {

constexpr int Width = 700, Height = 500;

/// A tile's pixels from a function of the pixel in the level.
template<typename Value>
PyramidTilePointer tileOf(int column, int row, int channels, const Value& value)
{
    auto tile = std::make_shared<PyramidTile>();
    tile->channels = channels;
    tile->width = std::min(TilePyramid::TilePx, Width - column * TilePyramid::TilePx);
    tile->height = std::min(TilePyramid::TilePx, Height - row * TilePyramid::TilePx);
    for (int y = 0; y < tile->height; ++y)
        for (int x = 0; x < tile->width; ++x)
            for (int c = 0; c < channels; ++c)
                tile->pixels.push_back(static_cast<std::uint8_t>(
                    value(column * TilePyramid::TilePx + x, row * TilePyramid::TilePx + y, c)));
    return tile;
}

template<typename Value>
void fill(ViewTiles& tiles, const Value& value)
{
    for (int row = tiles.firstRow(); row < tiles.firstRow() + tiles.rows(); ++row)
        for (int column = tiles.firstColumn(); column < tiles.firstColumn() + tiles.columns(); ++column)
            tiles.at(column, row) = tileOf(column, row, tiles.channels(), value);
}

/// scan = origin + x * across + y * down
struct Affine {
    ScanPx origin, across, down;

    ScanPx toScan(double x, double y) const
    {
        return {origin.column + x * across.column + y * down.column,
                origin.row + x * across.row + y * down.row};
    }
    ViewPlacement placement() const
    {
        const double determinant = across.column * down.row - across.row * down.column;
        return {[this](CanvasPx at) { return std::optional(toScan(at.x, at.y)); },
                [this, determinant](ScanPx at) {
                    const double c = at.column - origin.column, r = at.row - origin.row;
                    return CanvasPx{(c * down.row - r * down.column) / determinant,
                                    (r * across.column - c * across.row) / determinant};
                }};
    }
};

struct Picture {
    int width, height;
    std::vector<std::uint32_t> pixels;
    Picture(int w, int h) : width(w), height(h), pixels(static_cast<std::size_t>(w * h), 0xff123456u) {}
    Canvas canvas() { return {pixels.data(), width, height, width}; }
    int red(int x, int y) const { return static_cast<int>(pixels[index(x, y)] >> 16 & 255); }
    std::uint32_t at(int x, int y) const { return pixels[index(x, y)]; }
    std::size_t index(int x, int y) const { return static_cast<std::size_t>(y * width + x); }
};

template<typename Value>
Picture drawn(const ViewPlacement& placement, int width, int height, int channels, const Value& value,
              const ViewInk& ink = {})
{
    Picture picture(width, height);
    const ViewGrid grid(placement, Width, Height, width, height);
    if (grid.empty())
        return picture;
    ViewTiles tiles(0, grid.seen(), Width, Height, channels);
    fill(tiles, value);
    drawScan(picture.canvas(), grid, tiles, Width, Height, ink);
    return picture;
}

int noisy(int column, int row, int channel)
{
    return (column * 31 + row * 57 + column * row + channel * 91) & 255;
}

} // namespace

class ScanViewTest final : public QObject {
    Q_OBJECT

private slots:
    void onePixelToOneIsTheScanItself_data()
    {
        QTest::addColumn<int>("channels");
        QTest::newRow("grey") << 1;
        QTest::newRow("RGB") << 3;
    }
    void onePixelToOneIsTheScanItself()
    {
        QFETCH(int, channels);
        const Affine placed{{100, 50}, {1, 0}, {0, 1}};
        const Picture picture = drawn(placed.placement(), 500, 400, channels, noisy);
        for (int y = 0; y < 400; ++y)
            for (int x = 0; x < 500; ++x) {
                const int c = x + 100, r = y + 50;
                const auto value = [&](int channel) {
                    return static_cast<std::uint32_t>(noisy(c, r, channels == 1 ? 0 : channel));
                };
                QCOMPARE(picture.at(x, y), 0xff000000u | value(0) << 16 | value(1) << 8 | value(2));
            }
    }
    void quarterTurnsAndMirroringTakeEachPixelToItsPlace()
    {
        // Turned a quarter to the right: canvas x runs up the rows, canvas y along the columns.
        const Affine turned{{0, Height}, {0, -1}, {1, 0}};
        const Picture right = drawn(turned.placement(), Height, Width, 1, noisy);
        const Affine mirrored{{Width, 0}, {-1, 0}, {0, 1}};
        const Picture mirror = drawn(mirrored.placement(), Width, Height, 1, noisy);
        for (int row = 0; row < Height; row += 3)
            for (int column = 0; column < Width; column += 3) {
                QCOMPARE(right.red(Height - 1 - row, column), noisy(column, row, 0));
                QCOMPARE(mirror.red(Width - 1 - column, row), noisy(column, row, 0));
            }
    }
    void aTurnedScanIsWhatGdalsBilinearWarperMakesOfIt()
    {
        GDALAllRegister();
        GDALDriver* memory = GetGDALDriverManager()->GetDriverByName("MEM");
        GDALDatasetUniquePtr source(memory->Create("", Width, Height, 1, GDT_Byte, nullptr));
        const auto value = [](int column, int row, int) {
            return static_cast<int>(
                std::lround(128 + 60 * std::sin(column * 0.21) + 60 * std::cos(row * 0.17)));
        };
        std::vector<std::uint8_t> rows;
        for (int row = 0; row < Height; ++row)
            for (int column = 0; column < Width; ++column)
                rows.push_back(static_cast<std::uint8_t>(value(column, row, 0)));
        QVERIFY(source->GetRasterBand(1)->RasterIO(GF_Write, 0, 0, Width, Height, rows.data(), Width,
                                                   Height, GDT_Byte, 0, 0, nullptr) == CE_None);
        double upright[] = {0, 1, 0, 0, 0, 1};
        upright[0] = 1000; // GDAL takes the identity for "no placing"
        source->SetGeoTransform(upright);
        const double turn = 0.36, scale = 0.7; // enlarging: at a reduction GDAL widens its kernel
        const Affine placed{{180, 60},
                            {scale * std::cos(turn), scale * std::sin(turn)},
                            {-scale * std::sin(turn), scale * std::cos(turn)}};
        constexpr int w = 400, h = 300;
        GDALDatasetUniquePtr reference(memory->Create("", w, h, 1, GDT_Byte, nullptr));
        double turned[] = {1000 + placed.origin.column, placed.across.column, placed.down.column,
                           placed.origin.row,           placed.across.row,    placed.down.row};
        reference->SetGeoTransform(turned);
        QVERIFY(GDALReprojectImage(GDALDataset::ToHandle(source.get()), nullptr,
                                   GDALDataset::ToHandle(reference.get()), nullptr, GRA_Bilinear, 0, 0,
                                   nullptr, nullptr, nullptr) == CE_None);
        std::vector<std::uint8_t> expected(w * h);
        QVERIFY(reference->GetRasterBand(1)->RasterIO(GF_Read, 0, 0, w, h, expected.data(), w, h, GDT_Byte,
                                                      0, 0, nullptr) == CE_None);
        const Picture picture = drawn(placed.placement(), w, h, 1, value);
        int compared = 0;
        for (int y = 0; y < h; ++y)
            for (int x = 0; x < w; ++x) {
                const ScanPx at = placed.toScan(x + 0.5, y + 0.5);
                if (at.column < 2 || at.row < 2 || at.column > Width - 2 || at.row > Height - 2)
                    continue;
                ++compared;
                // 1/256 of a pixel at a slope of 13 grey levels a pixel, and two roundings
                QVERIFY(std::abs(picture.red(x, y) - int{expected[static_cast<std::size_t>(y * w + x)]}) <=
                        1);
            }
        QVERIFY(compared > 100'000);
    }
    void aBentPlacementIsFollowedToATenthOfAPixel()
    {
        // A cockle of 0.3 mm every 100 mm at 600 dpi, seen with 18 scan pixels to one of the canvas, drawn
        // here as 0.39 canvas pixels every 131: the scan is a plane of greys, so that the value tells the
        // place.
        const auto bend = [](double x) { return 0.39 * std::sin(x * 2 * 3.14159265358979 / 131); };
        const ViewPlacement placement{
            [&](CanvasPx at) {
                return std::optional(ScanPx{at.x + bend(at.y), at.y + bend(at.x)});
            },
            [&](ScanPx at) {
                return CanvasPx{at.column - bend(at.row), at.row - bend(at.column)};
            }};
        // 16 levels of grey a pixel in saw teeth, so that a tenth of a pixel is 1.6 grey levels.
        const Picture picture =
            drawn(placement, 600, 400, 1, [](int column, int, int) { return column * 16 % 256; });
        for (int y = 10; y < 390; ++y)
            for (int x = 10; x < 590; ++x) {
                const double column = x + 0.5 + bend(y + 0.5) - 0.5;
                const double tooth = std::fmod(column, 16);
                if (tooth < 0.3 || tooth > 14.7)
                    continue; // the step back, and a tenth of a pixel beside it
                const double expected = tooth * 16;
                QVERIFY(std::abs(picture.red(x, y) - expected) <= 2.2); // and half a grey level of rounding
            }
    }
    void outsideTheScanAndWhereNothingIsKnownTheCanvasStays()
    {
        const Affine placed{{-50, -50}, {1, 0}, {0, 1}};
        Picture picture(900, 700);
        const ViewGrid grid(placed.placement(), Width, Height, 900, 700);
        QVERIFY((grid.seen() == PxRect{0, 0, Width, Height}));
        QCOMPARE(grid.scanPxPerCanvasPx(), 1.0);
        ViewTiles tiles(0, grid.seen(), Width, Height, 1);
        QCOMPARE(tiles.columns(), 3);
        QCOMPARE(tiles.rows(), 2);
        fill(tiles, [](int, int, int) { return 200; });
        tiles.at(1, 0) = nullptr;
        drawScan(picture.canvas(), grid, tiles, Width, Height, {});
        QCOMPARE(picture.at(49, 300), 0xff123456u);
        QCOMPARE(picture.at(50, 50), 0xffc8c8c8u);
        QCOMPARE(picture.at(749, 549), 0xffc8c8c8u);
        QCOMPARE(picture.at(750, 300), 0xff123456u);
        QCOMPARE(picture.at(50 + 300, 50 + 100), 0xff123456u); // the missing tile
        QVERIFY(ViewGrid(Affine{{5000, 0}, {1, 0}, {0, 1}}.placement(), Width, Height, 900, 700).empty());
    }
    void onlyTheDrawingsPartOfTheSheetIsDrawnWhenAskedFor()
    {
        ViewInk ink;
        ink.frame = {{100, 100}, {400, 120}, {380, 300}, {90, 280}};
        const Affine placed{{0, 0}, {1, 0}, {0, 1}};
        const Picture picture = drawn(
            placed.placement(), Width, Height, 1, [](int, int, int) { return 7; }, ink);
        QCOMPARE(picture.red(200, 200), 7);
        QCOMPARE(picture.red(110, 110), 7);
        QCOMPARE(picture.at(390, 110), 0xff123456u); // above the sloping edge, at y = 119
        QCOMPARE(picture.red(390, 125), 7);
        QCOMPARE(picture.at(50, 200), 0xff123456u);
        QCOMPARE(picture.at(395, 290), 0xff123456u);
    }
    void opacityMixesWithWhatLiesUnder()
    {
        ViewInk ink;
        ink.opacity = 0.25;
        const Affine placed{{0, 0}, {1, 0}, {0, 1}};
        const auto value = [](int, int, int) { return 200; };
        // 0x12 = 18: 18 + (200 - 18) / 4 = 63.5; over white 255 - 55 / 4 = 241.25
        QVERIFY(std::abs(drawn(placed.placement(), 64, 64, 1, value, ink).red(9, 9) - 63.5) <= 1);
        ink.under = 0xffffffffu;
        QVERIFY(std::abs(drawn(placed.placement(), 64, 64, 1, value, ink).red(9, 9) - 241.25) <= 1);
    }
    void anEnlargedTileContinuesTheCoarserOne()
    {
        PyramidTile coarser;
        coarser.width = coarser.height = 64;
        for (int y = 0; y < 64; ++y)
            for (int x = 0; x < 64; ++x)
                coarser.pixels.push_back(static_cast<std::uint8_t>(x * 2 + y));
        // Its lower right quarter, four times as large: a plane stays a plane.
        const auto tile = enlargedTile(coarser, 128, 128, 0.25, 0.25, 32, 32);
        for (int y = 0; y < 120; ++y)
            for (int x = 0; x < 120; ++x) {
                const double expected = 2 * (32 + (x + 0.5) / 4 - 0.5) + 32 + (y + 0.5) / 4 - 0.5;
                QVERIFY(std::abs(tile->pixels[static_cast<std::size_t>(y * 128 + x)] - expected) <= 1);
            }
    }
    void theLevelIsTheOneNearestToTheCanvas()
    {
        QCOMPARE(viewLevel(0.1, 8), 0);
        QCOMPARE(viewLevel(1, 8), 0);
        QCOMPARE(viewLevel(1.6, 8), 0);
        QCOMPARE(viewLevel(1.7, 8), 1);
        QCOMPARE(viewLevel(4, 8), 2);
        QCOMPARE(viewLevel(18, 8), 4);
        QCOMPARE(viewLevel(1e6, 8), 7);
    }
};

QTEST_GUILESS_MAIN(ScanViewTest)
#include "ScanViewTest.moc"
