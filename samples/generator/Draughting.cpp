// SPDX-License-Identifier: GPL-3.0-or-later
#include "samples/generator/Draughting.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/base/Text.h"
#include "samples/generator/Details.h"
#include "samples/generator/Labels.h"
#include "samples/generator/Lettering.h"

namespace inkpeg::demo {

namespace {

const Stroke ContextLine{.widthMm = 0.38, .strength = 0.82};
const Stroke ThinLine{.widthMm = 0.22, .strength = 0.62};
constexpr double NumberHeightMm = 2.7;

/// Runs of edges of one kind, so that each is drawn in its own manner without a break at every vertex.
void drawOutline(const DrawingPlan& drawing, const DrawnOutline& outline, Pencil& pencil)
{
    const std::size_t n = outline.ring.size();
    std::size_t start = 0;
    while (start < n && outline.edges[start] == outline.edges[(start + n - 1) % n])
        ++start;
    if (start == n)
        start = 0;
    for (std::size_t done = 0; done < n;) {
        const std::string& kind = outline.edges[(start + done) % n];
        std::vector<FilmMm> run = {drawing.toFilm(outline.ring[(start + done) % n])};
        while (done < n && outline.edges[(start + done) % n] == kind) {
            ++done;
            run.push_back(drawing.toFilm(outline.ring[(start + done) % n]));
        }
        Stroke stroke = ContextLine;
        if (outline.contextKind == "structure")
            stroke.widthMm = 0.48;
        if (outline.contextKind == "fill" || outline.contextKind == "layer")
            stroke = {.widthMm = 0.32, .strength = 0.74};
        if (kind == Uncertain) {
            stroke.dashMm = 4;
            stroke.gapMm = 1.5;
        }
        if (kind == BeyondTheSheet)
            continue; // the line runs off the drawn area
        if (kind == LimitOfExcavation) {
            stroke = {.widthMm = 0.3, .strength = 0.7, .dashMm = 7, .gapMm = 1.6};
        }
        pencil.line(run, stroke);
    }
}

void drawHachures(const OutlineDetails& details, Pencil& pencil)
{
    for (const HachureStroke& stroke : details.hachures) {
        pencil.line({stroke.from, stroke.middle}, {.widthMm = 0.3, .strength = 0.66});
        pencil.line({stroke.middle, stroke.to}, {.widthMm = 0.18, .strength = 0.55});
    }
}

void drawStones(const DrawingPlan& drawing, const OutlineDetails& details, Pencil& pencil)
{
    for (const std::vector<Metres>& stone : details.stones) {
        std::vector<FilmMm> ring;
        for (const Metres& p : stone)
            ring.push_back(drawing.toFilm(p));
        ring.push_back(ring.front());
        pencil.line(ring, ThinLine);
    }
}

/// A cut's number in square brackets beside it; a deposit's in round ones inside it, if there is room.
void writeNumber(const DrawnOutline& outline, Labels& labels, Pencil& pencil)
{
    const bool isCut = outline.contextKind == "cut";
    const std::string text = isCut ? "[" + outline.context + "]" : "(" + outline.context + ")";
    double width = 0;
    for (const char letter : text)
        width += letterAdvance(letter) * NumberHeightMm / LetterHeight;
    pencil.write(text, labels.placeFor(outline, width, NumberHeightMm, !isCut), NumberHeightMm);
}

void drawCross(const DrawingPlan& drawing, const Cross& cross, Pencil& pencil)
{
    const FilmMm at = drawing.toFilm(cross.place);
    constexpr double arm = 4;
    if (drawing.upright()) {
        pencil.line({{at.x - 2.5, at.y}, {at.x + 2.5, at.y}}, ThinLine);
        pencil.line({{at.x, at.y - 3}, {at.x, at.y + 3}}, ThinLine);
        pencil.write(cross.peg.substr(cross.peg.size() - 1), {at.x + 1.2, at.y + 1.4}, 2.6);
        return;
    }
    pencil.line({{at.x - arm, at.y}, {at.x + arm, at.y}}, ThinLine);
    pencil.line({{at.x, at.y - arm}, {at.x, at.y + arm}}, ThinLine);
    const bool lastColumn = drawing.toFilm({drawing.window.x1, 0}).x - at.x < 14;
    pencil.write(cross.peg, {lastColumn ? at.x - 14 : at.x + 1.0, at.y + 1.0}, 2.0, 0.6);
}

void drawNorthArrow(FilmMm foot, double bearingRad, Pencil& pencil)
{
    const auto turned = [&](double x, double y) {
        return FilmMm{foot.x + x * std::cos(bearingRad) + y * std::sin(bearingRad),
                      foot.y - x * std::sin(bearingRad) + y * std::cos(bearingRad)};
    };
    pencil.line({turned(0, 0), turned(0, 22)}, ContextLine);
    pencil.line({turned(-2.6, 15), turned(0, 22), turned(2.6, 15)}, ContextLine);
    const FilmMm letter = turned(-1.2, 24);
    pencil.write("N", letter, 3.4);
}

/// Lines of writing in a ruled box, the drawing number large in its upper line.
void drawTitleBlock(const Demo& demo, const SheetPlan& sheet, FilmMm corner, double width, Pencil& pencil)
{
    const double height = 46;
    const std::vector<FilmMm> box = {corner,
                                     {corner.x + width, corner.y},
                                     {corner.x + width, corner.y + height},
                                     {corner.x, corner.y + height},
                                     corner};
    pencil.line(box, ThinLine);
    pencil.line({{corner.x, corner.y + height - 11}, {corner.x + width, corner.y + height - 11}}, ThinLine);
    std::string numbers;
    for (const int index : sheet.drawings)
        numbers += (numbers.empty() ? "" : " ") + demo.drawings[static_cast<std::size_t>(index)].number;
    const DrawingPlan& first = demo.drawings[static_cast<std::size_t>(sheet.drawings.front())];
    pencil.write("SKR26 " + numbers, {corner.x + 3, corner.y + height - 8},
                 std::min(4.5, 6 * (width - 6) / (5.4 * static_cast<double>(numbers.size() + 6))));
    const std::string scale = fixed(first.scale, 0);
    const std::vector<std::string> lines = {"SKELDER RIGG  TR " + first.trench, first.title, "1:" + scale,
                                            "DRAWN " + first.drawnBy + " " + first.drawnOn};
    double y = corner.y + height - 18;
    for (const std::string& line : lines) {
        const double fits = 6 * (width - 6) / (5.4 * static_cast<double>(line.size()));
        pencil.write(line, {corner.x + 3, y}, std::min(3.0, fits), 0.7);
        y -= 8;
    }
}

void writeLevels(const DrawingPlan& drawing, Pencil& pencil)
{
    for (const SpotLevelMark& level : drawing.levels) {
        const FilmMm at = drawing.toFilm(level.place);
        pencil.line({{at.x, at.y}, {at.x - 1.2, at.y + 2}, {at.x + 1.2, at.y + 2}, {at.x, at.y}}, ThinLine);
        pencil.write(fixed(level.levelM, 2), {at.x + 2, at.y}, 2.2, 0.65);
    }
}

void drawPoints(const Demo& demo, const DrawingPlan& drawing, Pencil& pencil)
{
    for (const PlacedRecord& timber : demo.timbers)
        if (timber.drawing == drawing.number) {
            const double radius = timber.diameterM.value_or(0.1) * 500 / drawing.scale;
            const FilmMm at = drawing.toFilm(timber.place);
            std::vector<FilmMm> ring;
            for (int i = 0; i <= 24; ++i)
                ring.push_back({at.x + radius * std::cos(i * std::numbers::pi / 12),
                                at.y + radius * std::sin(i * std::numbers::pi / 12)});
            pencil.line(ring, ThinLine);
            pencil.line(
                {{at.x - radius * 0.7, at.y - radius * 0.7}, {at.x + radius * 0.7, at.y + radius * 0.7}},
                ThinLine);
        }
    for (const PlacedRecord& find : demo.finds)
        if (find.drawing == drawing.number && find.context.back() % 2 == 0) {
            const FilmMm at = drawing.toFilm(find.place);
            pencil.line({{at.x - 0.9, at.y - 0.6},
                         {at.x + 0.9, at.y - 0.6},
                         {at.x, at.y + 1},
                         {at.x - 0.9, at.y - 0.6}},
                        {.widthMm = 0.2, .strength = 0.6});
        }
}

void drawDatum(const DrawingPlan& drawing, Pencil& pencil)
{
    const FilmMm from = drawing.toFilm({drawing.window.x0 + 0.03, *drawing.datumM});
    const FilmMm to = drawing.toFilm({drawing.window.x1 - 0.03, *drawing.datumM});
    pencil.line({from, to}, {.widthMm = 0.22, .strength = 0.55, .dashMm = 9, .gapMm = 1.2});
    pencil.write(fixed(*drawing.datumM, 2) + " M", {to.x - 42, to.y + 1.2}, 2.4, 0.65);
}

/// Marks that a number must not be written over.
Labels labelsOf(const Demo& demo, const DrawingPlan& drawing)
{
    Labels labels(drawing);
    const auto takeAround = [&labels](FilmMm at, double left, double below, double right, double above) {
        labels.take({at.x - left, at.y - below, at.x + right, at.y + above});
    };
    for (const Cross& cross : drawing.crosses)
        takeAround(drawing.toFilm(cross.place), 4.5, 4.5, drawing.upright() ? 4.5 : 15, 4.5);
    for (const SpotLevelMark& level : drawing.levels)
        takeAround(drawing.toFilm(level.place), 2, 1, 13, 3.5);
    if (drawing.datumM)
        takeAround(drawing.toFilm({drawing.window.x0, *drawing.datumM}), 0, 1, 400, 4);
    for (const std::vector<PlacedRecord>* records : {&demo.finds, &demo.timbers})
        for (const PlacedRecord& record : *records)
            if (record.drawing == drawing.number && !drawing.upright()) {
                const double reach = record.diameterM.value_or(0.02) * 500 / drawing.scale + 0.9;
                takeAround(drawing.toFilm(record.place), reach, reach, reach, reach);
            }
    return labels;
}

void draughtDrawing(const Demo& demo, const DrawingPlan& drawing, Pencil& pencil)
{
    const std::vector<OutlineDetails> details = detailsOf(drawing);
    for (const Cross& cross : drawing.crosses)
        drawCross(drawing, cross, pencil);
    if (drawing.datumM)
        drawDatum(drawing, pencil);
    Labels labels = labelsOf(demo, drawing);
    for (std::size_t i = 0; i < drawing.outlines.size(); ++i) {
        const DrawnOutline& outline = drawing.outlines[i];
        drawOutline(drawing, outline, pencil);
        drawHachures(details[i], pencil);
        drawStones(drawing, details[i], pencil);
        writeNumber(outline, labels, pencil);
    }
    for (const Path& limit : drawing.limits)
        pencil.line({drawing.toFilm(limit.front()), drawing.toFilm(limit.back())},
                    {.widthMm = 0.3, .strength = 0.7, .dashMm = 7, .gapMm = 1.6});
    if (!drawing.upright())
        drawPoints(demo, drawing, pencil);
    writeLevels(drawing, pencil);
}

/// A framed drawing carries its own number and scale above its upper edge.
void writeHeading(const DrawingPlan& drawing, Pencil& pencil)
{
    const FilmMm at = drawing.toFilm({drawing.window.x0, drawing.window.y1});
    std::string text = drawing.number + "  1:" + fixed(drawing.scale, 0);
    if (!drawing.facing.empty())
        text += "  FACING " + drawing.facing;
    pencil.write(text, {at.x + 2, at.y + 3}, 3.2);
}

/// A key of lines in the free half of the large sheet.
void drawKey(FilmMm corner, Pencil& pencil)
{
    const std::vector<std::pair<std::string, Stroke>> lines = {
        {"EDGE, CERTAIN", ContextLine},
        {"EDGE, UNCERTAIN", {.widthMm = 0.32, .strength = 0.74, .dashMm = 4, .gapMm = 1.5}},
        {"LIMIT OF EXCAVATION", {.widthMm = 0.3, .strength = 0.7, .dashMm = 7, .gapMm = 1.6}},
        {"GRID 2 M, SITE NORTH UP", ThinLine}};
    double y = corner.y;
    for (const auto& [words, stroke] : lines) {
        pencil.line({{corner.x, y + 1.4}, {corner.x + 26, y + 1.4}}, stroke);
        pencil.write(words, {corner.x + 32, y}, 3.2);
        y -= 10;
    }
}

} // namespace

void draughtSheet(const Demo& demo, const SheetPlan& sheet, Pencil& pencil)
{
    for (const int index : sheet.drawings) {
        const DrawingPlan& drawing = demo.drawings[static_cast<std::size_t>(index)];
        draughtDrawing(demo, drawing, pencil);
        if (sheet.framed)
            writeHeading(drawing, pencil);
    }
    const bool plans = !demo.drawings[static_cast<std::size_t>(sheet.drawings.front())].upright();
    const double turn = -14 * std::numbers::pi / 180; // grid north stands left of the site's north
    if (sheet.filmSize == "A2") {
        drawTitleBlock(demo, sheet, {440, 340}, 140, pencil);
        drawNorthArrow({400, 340}, turn, pencil);
        drawKey({380, 290}, pencil);
    } else if (!plans) {
        drawTitleBlock(demo, sheet, {352, sheet.number == "F-09" ? 226.0 : 236.0}, 62, pencil);
    } else if (sheet.framed) {
        drawTitleBlock(demo, sheet, {280, 8}, 130, pencil);
        drawNorthArrow({235, 12}, turn, pencil);
    } else {
        drawTitleBlock(demo, sheet, {282, 8}, 130, pencil);
        drawNorthArrow({250, 14}, turn, pencil);
    }
    pencil.write(sheet.number, {sheet.map.filmWidthMm - 24, sheet.map.filmHeightMm - 10}, 5, 0.8);
}

} // namespace inkpeg::demo
