// SPDX-License-Identifier: GPL-3.0-or-later
// The upright drawings. Where a section line crosses the outline of a cut in plan, the section shows its
// edge at that very place: both are drawings of one truth.
#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "samples/generator/Recording.h"

namespace inkpeg::demo {

namespace {

constexpr double Step = 0.01; // 1 mm on the film at 1:10

struct Line {
    std::string number, kind, title, trench, facing;
    Metres nailA, nailB;  ///< site grid
    double datumM, baseM; ///< level of nails A and B; level at which the drawing ends
};

double lengthOf(const Line& line)
{
    return distance(line.nailA, line.nailB);
}

/// The upright drawing with its six nails: A, B on the datum and M between them; C, D and E near the base.
DrawingPlan& openSection(Demo& demo, const Line& line)
{
    DrawingPlan plan;
    plan.number = line.number;
    plan.kind = line.kind;
    plan.title = line.title;
    plan.trench = line.trench;
    plan.scale = 10;
    plan.facing = line.facing;
    plan.datumM = line.datumM;
    const double length = lengthOf(line);
    plan.window = {-0.06, line.baseM - 0.06, length + 0.06, line.datumM + 0.16};
    plan.lineStart = line.nailA;
    plan.lineDirection = {(line.nailB.x - line.nailA.x) / length, (line.nailB.y - line.nailA.y) / length};
    plan.drawnBy = "JO";
    plan.drawnOn = "2026-08-2" + line.number.substr(3);
    const double low = line.baseM + 0.02;
    plan.crosses = {
        {line.number + " A", {0, line.datumM}},      {line.number + " M", {length / 2, line.datumM}},
        {line.number + " B", {length, line.datumM}}, {line.number + " C", {0, low}},
        {line.number + " E", {length / 2, low}},     {line.number + " D", {length, low}}};
    demo.drawings.push_back(plan);
    return demo.drawings.back();
}

/// Where the line crosses the plan outline of a context: two distances from nail A.
std::pair<double, double> seenAt(Demo& demo, const std::string& plan, const std::string& context,
                                 const Line& line)
{
    for (const DrawnOutline& outline : drawingNamed(demo, plan).outlines)
        if (outline.context == context) {
            const std::vector<double> shares = crossings(outline.ring, line.nailA, line.nailB);
            if (shares.size() == 2)
                return {shares[0] * lengthOf(line), shares[1] * lengthOf(line)};
        }
    throw std::logic_error("section " + line.number + " does not cross " + context + " on " + plan);
}

/// The area between two lines, each from left to right.
Path band(const Path& top, const Path& bottom)
{
    Path ring = bottom;
    ring.insert(ring.end(), top.rbegin(), top.rend());
    return ring;
}

/// A line at a level across the whole section, as even as such boundaries are.
Path boundary(double length, double levelM, double roughM, Dice& dice)
{
    Path corners;
    for (int i = 0; i <= 8; ++i)
        corners.push_back({length * i / 8, levelM + roughM * dice.between(-1, 1)});
    return softLine(corners, Step, 0.001, dice);
}

Path flat(double length, double levelM)
{
    return {{0, levelM}, {length, levelM}};
}

/// A dug shape from `left` to `right` with its mouth above any boundary, down to `bottomM`.
Path dug(double left, double right, double topM, double bottomM, double lean, Dice& dice)
{
    const double width = right - left, deep = topM - bottomM;
    const Path side = softLine({{left, topM},
                                {left + width * lean, bottomM + deep * 0.45},
                                {left + width * (lean + 0.12), bottomM + deep * 0.08},
                                {left + width * 0.5, bottomM},
                                {right - width * (lean + 0.12), bottomM + deep * 0.07},
                                {right - width * lean, bottomM + deep * 0.5},
                                {right, topM}},
                               Step, 0.001, dice);
    return side; // closed by its mouth, the level line from right to left
}

/// Marks what the drawing ends at: both ends of the line and its base.
void markLimits(DrawnOutline& outline, const Line& line)
{
    const double length = lengthOf(line);
    for (std::size_t i = 0; i < outline.ring.size(); ++i) {
        const Metres a = outline.ring[i], b = outline.ring[(i + 1) % outline.ring.size()];
        for (const double x : {0.0, length})
            if (std::abs(a.x - x) < 1e-9 && std::abs(b.x - x) < 1e-9)
                outline.edges[i] = LimitOfExcavation;
        if (std::abs(a.y - line.baseM) < 1e-9 && std::abs(b.y - line.baseM) < 1e-9)
            outline.edges[i] = LimitOfExcavation;
    }
}

void drawBand(Demo& demo, const Line& line, const std::string& context, const Path& top, const Path& bottom,
              const std::vector<Path>& cuts = {})
{
    Path ring = band(top, bottom);
    for (const Path& cut : cuts)
        ring = without(ring, cut);
    markLimits(draw(demo, line.number, context, ring), line);
}

/// A cut with a lower and an upper fill parted at `partedAtM`; without a lower fill if that is empty.
void drawFilled(Demo& demo, const Line& line, const Path& cut, const std::string& cutNumber,
                const std::string& upper, const std::string& lower, double partedAtM, Dice& dice)
{
    draw(demo, line.number, cutNumber, cut);
    if (lower.empty()) {
        draw(demo, line.number, upper, cut);
        return;
    }
    const Path parting = boundary(lengthOf(line), partedAtM, 0.012, dice);
    const Path below = band(parting, flat(lengthOf(line), line.baseM - 1));
    draw(demo, line.number, upper, without(cut, below));
    draw(demo, line.number, lower, inCommon(cut, below));
}

void drawBowlSection(Demo& demo)
{
    const Line line{"S-01", "section", "Bowl of the kiln", "1", "S", {101.2, 202.0}, {104.4, 202.0},
                    42.50,  41.50};
    Dice dice("S-01");
    openSection(demo, line);
    const double length = lengthOf(line);
    const Path surface = boundary(length, 42.60, 0.015, dice),
               subsoil = boundary(length, 42.36, 0.02, dice);
    const Path natural = flat(length, 42.20);
    const auto [left, right] = seenAt(demo, "P-01", "1004", line);
    const Path cut = dug(left, right, 42.20, 41.62, 0.05, dice);
    drawBand(demo, line, "1001", surface, subsoil);
    drawBand(demo, line, "1002", subsoil, natural);
    drawBand(demo, line, "1003", natural, flat(length, line.baseM), {cut});
    drawFilled(demo, line, cut, "1004", "1006", "1007", 41.78, dice);
}

void drawDitchSection(Demo& demo)
{
    const Line line{"S-02", "section", "Boundary ditch", "2", "N", {134.2, 198.0}, {130.6, 198.0},
                    42.50,  41.28};
    Dice dice("S-02");
    openSection(demo, line);
    const double length = lengthOf(line);
    const Path surface = boundary(length, 42.60, 0.02, dice), natural = flat(length, 42.20);
    const auto [left, right] = seenAt(demo, "P-06", "1052", line);
    const Path cut = dug(left, right, 42.20, 41.40, 0.14, dice);
    drawBand(demo, line, "1061", surface, natural);
    drawBand(demo, line, "1062", natural, flat(length, line.baseM), {cut});
    drawFilled(demo, line, cut, "1052", "1053", "1054", 41.72, dice);
}

void drawTestPitSection(Demo& demo)
{
    const Line line{"S-03",         "section",      "Test pit 3", "TP3", "S",
                    {140.0, 204.0}, {142.0, 204.0}, 42.50,        41.80};
    Dice dice("S-03");
    openSection(demo, line);
    const double length = lengthOf(line);
    const Path surface = boundary(length, 42.60, 0.01, dice), natural = flat(length, 42.30);
    const auto [left, right] = seenAt(demo, "P-08", "1068", line);
    const auto [layerLeft, layerRight] = seenAt(demo, "P-09", "1066", line);
    const Path cut = dug(left, right, 42.30, 41.98, 0.08, dice);
    const Path layer = dug(layerLeft, layerRight, 42.30, 42.12, 0.1, dice);
    drawBand(demo, line, "1065", surface, natural);
    drawBand(demo, line, "1067", natural, flat(length, line.baseM), {cut, layer});
    drawFilled(demo, line, cut, "1068", "1069", "", 0, dice);
    draw(demo, line.number, "1066", layer);
}

void drawPostRowProfile(Demo& demo)
{
    const Line line{"S-04", "profile",         "Posts 1 to 4 of the row", "2",
                    "S",    {122.25, 197.024}, {125.4, 198.257},          42.50,
                    41.60};
    Dice dice("S-04");
    openSection(demo, line);
    const double length = lengthOf(line);
    const Path surface = boundary(length, 42.60, 0.01, dice), natural = flat(length, 42.20);
    std::vector<Path> holes;
    for (int i = 0; i < 4; ++i) {
        const auto [left, right] = seenAt(demo, "P-05", std::to_string(1031 + 2 * i), line);
        holes.push_back(
            dug(left, right, 42.20, *demo.context(std::to_string(1031 + 2 * i))->bottomM, 0.07, dice));
    }
    drawBand(demo, line, "1061", surface, natural);
    drawBand(demo, line, "1062", natural, flat(length, line.baseM), holes);
    for (int i = 0; i < 4; ++i)
        drawFilled(demo, line, holes[static_cast<std::size_t>(i)], std::to_string(1031 + 2 * i),
                   std::to_string(1032 + 2 * i), "", 0, dice);
}

} // namespace

void drawSections(Demo& demo)
{
    drawBowlSection(demo);
    drawDitchSection(demo);
    drawTestPitSection(demo);
    drawPostRowProfile(demo);
}

} // namespace inkpeg::demo
