// SPDX-License-Identifier: GPL-3.0-or-later
// Which drawing lies where on which film, and what happened to each film on its way into the scan.
#include <cmath>
#include <numbers>

#include "samples/generator/Recording.h"

namespace inkpeg::demo {

namespace {

struct Placed {
    std::string drawing;
    FilmMm lowerLeft;
};

struct SheetSpec {
    std::string number, filmSize, ending, writing;
    bool colour = false, faceDown = false;
    double skewDegrees = 1;
    double cockleMm = 0.05; ///< amplitude of each of three waves
    double smudging = 1;
    std::vector<Placed> drawings;
};

std::vector<SheetSpec> allSheets()
{
    const FilmMm plan{4, 62}; // leaves the foot of an A3 film for the title block
    return {
        {"F-01", "A3", "tif", "tiled", false, false, 1.4, 0.04, 1, {{"P-01", plan}}},
        {"F-02", "A3", "jpg", "jpeg", true, false, -0.9, 0.05, 1, {{"P-02", plan}}},
        {"F-03", "A3", "tif", "strips", false, true, 1.1, 0.05, 1, {{"P-03", plan}}},
        {"F-04", "A3", "png", "png", false, false, -1.7, 0.095, 2, {{"P-04", plan}}},
        {"F-05", "A2", "tif", "tiled", false, false, 0.8, 0.05, 1, {{"P-05", {28, 66}}}},
        {"F-06", "A3", "jpg", "jpeg", false, false, 2.1, 0.05, 2, {{"P-06", plan}}},
        {"F-07", "A3", "tif", "tiled", false, false, -0.6, 0.05, 1, {{"P-07", plan}}},
        {"F-08",
         "A3",
         "tif",
         "tiled",
         true,
         false,
         1.6,
         0.05,
         1,
         {{"P-08", {22, 162}}, {"P-09", {22, 30}}, {"P-10", {190, 68}}}},
        {"F-09",
         "A3",
         "jpg",
         "jpeg",
         false,
         false,
         -1.2,
         0.05,
         1,
         {{"S-01", {12, 166}}, {"S-02", {12, 12}}}},
        {"F-10",
         "A3",
         "tif",
         "strips",
         false,
         false,
         0.7,
         0.05,
         1,
         {{"S-03", {14, 158}}, {"S-04", {14, 22}}}},
    };
}

SheetMap mapOf(const SheetSpec& spec, double dpi)
{
    Dice dice("scan of " + spec.number);
    SheetMap map;
    map.filmWidthMm = spec.filmSize == "A2" ? 594 : 420;
    map.filmHeightMm = spec.filmSize == "A2" ? 420 : 297;
    map.marginMm = 9;
    map.stretchX = dice.between(-0.0006, 0.0010);
    map.stretchY = dice.between(-0.0006, 0.0010);
    map.shear = dice.between(-0.0002, 0.0002);
    for (CockleWave& wave : map.cockle) {
        const double bearing = dice.between(0, 2 * std::numbers::pi), lengthMm = dice.between(220, 480);
        wave = {spec.cockleMm * dice.between(0.7, 1), spec.cockleMm * dice.between(0.7, 1),
                std::cos(bearing) / lengthMm, std::sin(bearing) / lengthMm,
                dice.between(0, 2 * std::numbers::pi)};
    }
    map.faceDown = spec.faceDown;
    map.skewRad = spec.skewDegrees * std::numbers::pi / 180;
    map.dpi = dpi;
    map.scannerScaleX = 1 + dice.between(0.0002, 0.0012);
    map.scannerScaleY = map.scannerScaleX - dice.between(0.001, 0.003);
    return map;
}

} // namespace

std::array<FilmMm, 4> DrawingPlan::frameOnFilm() const
{
    const FilmMm low = toFilm({window.x0, window.y0}), high = toFilm({window.x1, window.y1});
    constexpr double side = 3, above = 9;
    return {FilmMm{low.x - side, low.y - side}, FilmMm{high.x + side, low.y - side},
            FilmMm{high.x + side, high.y + above}, FilmMm{low.x - side, high.y + above}};
}

void setOutSheets(Demo& demo, double dpi)
{
    for (const SheetSpec& spec : allSheets()) {
        SheetPlan sheet;
        sheet.number = spec.number;
        sheet.filmSize = spec.filmSize;
        sheet.file = "film/" + spec.number + "." + spec.ending;
        sheet.map = mapOf(spec, dpi);
        sheet.colour = spec.colour;
        sheet.writing = spec.writing;
        sheet.smudging = spec.smudging;
        sheet.framed = spec.drawings.size() > 1;
        for (const Placed& placed : spec.drawings) {
            DrawingPlan& drawing = drawingNamed(demo, placed.drawing);
            drawing.sheet = spec.number;
            drawing.lowerLeft = placed.lowerLeft;
            sheet.drawings.push_back(static_cast<int>(&drawing - demo.drawings.data()));
        }
        demo.sheets.push_back(sheet);
    }
}

} // namespace inkpeg::demo
