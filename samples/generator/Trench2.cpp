// SPDX-License-Identifier: GPL-3.0-or-later
// Trench 2: a row of posts, pits, the well and the ditch that runs over two sheets.
#include <cmath>

#include "samples/generator/Recording.h"

namespace inkpeg::demo {

namespace {

constexpr double Step = 0.02;
constexpr double Wobble = 0.004;

std::string number(int n)
{
    return std::to_string(n);
}

/// Marks the edges whose two ends satisfy `test`.
template<typename Test>
void markEdges(DrawnOutline& outline, const std::string& kind, Test test)
{
    for (std::size_t i = 0; i < outline.ring.size(); ++i)
        if (test(outline.ring[i]) && test(outline.ring[(i + 1) % outline.ring.size()]))
            outline.edges[i] = kind;
}

void planPostRow(Demo& demo)
{
    Dice dice("P-05");
    openPlan(demo, "P-05", "Row of posts, pits and well", "2", {122, 196, 128, 202}, 20, 2);
    for (int i = 0; i < 7; ++i) {
        // A row from 122.7/197.2 to 127.3/199.0, as well as a gang of builders would set it.
        const Metres place{122.7 + 4.6 * i / 6 + 0.02 * dice.normalWithin(1.5),
                           197.2 + 1.8 * i / 6 + 0.02 * dice.normalWithin(1.5)};
        const double bottom = 41.80 + 0.01 * dice.whole(-5, 5);
        digOut(demo, "P-05",
               {number(1031 + 2 * i), number(1032 + 2 * i), "2",
                "Post-hole " + number(i + 1) + " of the row", "Grey-brown silt with packing", 42.20, bottom,
                "1062", "1061", 0.05},
               round(place, dice.between(0.24, 0.29), dice.between(0.22, 0.27), dice.between(0, 180), 0.05,
                     dice));
    }
    digOut(demo, "P-05",
           {"1045", "1046", "2", "Rubbish pit", "Dark humic silt with bone and shell", 42.20, 41.72, "1062",
            "1061", 0.07},
           round({123.3, 199.6}, 0.78, 0.62, 25, 0.04, dice));
    digOut(demo, "P-05",
           {"1047", "1048", "2", "Pit with burnt stones", "Charcoal and burnt stones", 42.20, 41.93, "1062",
            "1061", 0.06},
           round({124.2, 201.2}, 0.5, 0.42, 80, 0.04, dice));
    digOut(demo, "P-05",
           {"1049", "1050", "2", "Construction pit of the well", "Backfill of blue clay", 42.20, 41.05,
            "1062", "1061", 0.08},
           round({126.4, 200.7}, 0.95, 0.9, 0, 0.03, dice));
    record(demo, "1051", "structure", "2", "Stake lining of the well, upright stakes in a ring", 42.20,
           41.05);
    draw(demo, "P-05", "1051", round({126.42, 200.68}, 0.48, 0.47, 0, 0.015, dice));
    relate(demo, "1050", "abuts", "1051");
    relate(demo, "1061", "above", "1051");
    relate(demo, "1051", "above", "1049");
    drawingNamed(demo, "P-05").levels = {{{125.2, 196.6}, 42.20}, {{122.5, 200.9}, 42.21}};
}

/// The ditch from the southern limit of Trench 2 to its rounded end; drawn in two pieces.
void planDitch(Demo& demo)
{
    Dice dice("ditch");
    openPlan(demo, "P-06", "Ditch, south part", "2", {128, 196, 136, 200}, 20, 2);
    openPlan(demo, "P-07", "Ditch, north part", "2", {128, 200, 136, 204}, 20, 2);
    const Path ditch = softRing({{131.3, 195.6},
                                 {131.25, 197.5},
                                 {131.2, 199.0},
                                 {131.5, 200.6},
                                 {131.75, 202.0},
                                 {132.1, 203.0},
                                 {132.9, 203.3},
                                 {133.6, 202.8},
                                 {133.75, 201.6},
                                 {133.5, 200.2},
                                 {133.35, 199.0},
                                 {133.4, 197.5},
                                 {133.35, 195.6}},
                                Step, Wobble, dice);
    const Path inner = drawnIn(ditch, 0.12);
    record(demo, "1052", "cut", "2", "Boundary ditch, rounded end in the north", 42.20, 41.40);
    record(demo, "1053", "fill", "2", "Upper fill of the ditch, brown silt", 42.20, 41.72);
    record(demo, "1054", "fill", "2", "Lower fill of the ditch, grey waterlogged silt", 41.72, 41.40);
    relate(demo, "1053", "fills", "1052");
    relate(demo, "1054", "fills", "1052");
    relate(demo, "1053", "above", "1054");
    relate(demo, "1061", "above", "1053");
    for (const std::string& plan : {std::string("P-06"), std::string("P-07")}) {
        Window window = drawingNamed(demo, plan).window;
        if (plan == "P-06")
            window.y0 = 196.0; // the limit of excavation
        for (const auto& [context, ring] : {std::pair<std::string, Path>{"1052", ditch}, {"1053", inner}}) {
            DrawnOutline& outline = draw(demo, plan, context, within(ring, window));
            const double seam = plan == "P-06" ? window.y1 : window.y0;
            markEdges(outline, BeyondTheSheet, [seam](Metres p) { return std::abs(p.y - seam) < 1e-9; });
            markEdges(outline, LimitOfExcavation, [](Metres p) { return std::abs(p.y - 196.0) < 1e-9; });
        }
    }
    drawingNamed(demo, "P-06").limits = {{{128.0, 196.0}, {136.0, 196.0}}};
    // A pit that the ditch has cut away in part, with its fill.
    const Path whole = round({130.85, 199.05}, 0.62, 0.55, 0, 0.03, dice);
    digOut(demo, "P-06",
           {"1056", "1057", "2", "Pit, cut away by the ditch in the east", "Yellow-brown silt", 42.20,
            41.96, "1062", "", 0.07},
           whole);
    relate(demo, "1052", "cuts", "1057");
    for (DrawnOutline& outline : drawingNamed(demo, "P-06").outlines) {
        if (outline.context != "1056" && outline.context != "1057")
            continue;
        outline.ring = without(outline.ring, ditch);
        outline.edges.assign(outline.ring.size(), Certain);
        markEdges(outline, Truncated, [&ditch](Metres p) { return distanceToEdge(ditch, p) < 1e-7; });
    }
    drawingNamed(demo, "P-06").levels = {{{129.4, 197.4}, 42.20}, {{134.9, 198.6}, 42.20}};
}

void planSpread(Demo& demo)
{
    Dice dice("P-07");
    record(demo, "1060", "layer", "2", "Spread of trampled clay", std::nullopt, std::nullopt);
    draw(demo, "P-07", "1060",
         softRing({{128.4, 200.6},
                   {129.6, 200.35},
                   {130.9, 200.7},
                   {131.2, 201.8},
                   {130.8, 203.2},
                   {129.4, 203.5},
                   {128.5, 202.9},
                   {128.25, 201.8}},
                  Step, Wobble * 1.5, dice),
         Uncertain);
    relate(demo, "1060", "above", "1062");
    digOut(demo, "P-07",
           {"1058", "1059", "2", "Pit dug through the spread", "Dark silt with pottery", 42.22, 41.90,
            "1060", "", 0.08},
           round({129.7, 201.9}, 0.85, 0.75, 15, 0.03, dice));
    record(demo, "1055", "layer", "2", "Capping of clean clay on the pit", std::nullopt, std::nullopt);
    draw(demo, "P-07", "1055", round({129.75, 201.95}, 0.42, 0.36, 40, 0.04, dice));
    relate(demo, "1055", "above", "1059");
    relate(demo, "1061", "above", "1055");
    drawingNamed(demo, "P-07").levels = {{{134.7, 201.2}, 42.20}, {{130.3, 203.0}, 42.22}};
}

void planPostPit(Demo& demo)
{
    Dice dice("P-10");
    openPlan(demo, "P-10", "Post-pit", "2", {123, 202, 125, 204}, 10, 1);
    digOut(demo, "P-10",
           {"1063", "1064", "2", "Large post-pit", "Clay packing", 42.20, 41.55, "1062", "1061", 0.09},
           round({123.88, 203.12}, 0.62, 0.55, 50, 0.035, dice));
}

} // namespace

void planTrench2(Demo& demo)
{
    demo.trenches.push_back(
        {"2", "trench", {{121.9, 195.98}, {136.1, 195.98}, {136.1, 204.1}, {121.9, 204.1}}});
    record(demo, "1061", "layer", "2", "Topsoil", 42.60, 42.20);
    record(demo, "1062", "layer", "2", "Natural, yellow boulder clay", 42.20, std::nullopt);
    demo.context("1061")->period = "post-medieval";
    demo.context("1062")->period = "geological";
    planPostRow(demo);
    planDitch(demo);
    planSpread(demo);
    planPostPit(demo);
}

void planTestPit(Demo& demo)
{
    Dice dice("TP3");
    demo.trenches.push_back(
        {"TP3", "test pit", {{139.95, 202.95}, {142.05, 202.95}, {142.05, 205.05}, {139.95, 205.05}}});
    record(demo, "1065", "layer", "TP3", "Topsoil", 42.60, 42.30);
    record(demo, "1066", "layer", "TP3", "Occupation layer with charcoal", 42.30, 42.12);
    record(demo, "1067", "layer", "TP3", "Natural, yellow boulder clay", 42.30, std::nullopt);
    demo.context("1065")->period = "post-medieval";
    demo.context("1067")->period = "geological";
    relate(demo, "1066", "above", "1067");
    relate(demo, "1065", "above", "1066");
    openPlan(demo, "P-08", "Test pit 3, level 1", "TP3", {140, 203, 142, 205}, 20, 1);
    digOut(demo, "P-08",
           {"1068", "1069", "TP3", "Pit, seen at the base of the topsoil", "Brown silt with slag", 42.30,
            41.98, "1067", "1065", 0.06},
           round({140.65, 204.1}, 0.38, 0.46, 10, 0.035, dice));
    openPlan(demo, "P-09", "Test pit 3, level 2", "TP3", {140, 203, 142, 205}, 20, 1);
    draw(demo, "P-09", "1066",
         softRing({{141.25, 203.3},
                   {141.7, 203.25},
                   {141.85, 203.9},
                   {141.8, 204.6},
                   {141.4, 204.75},
                   {141.2, 204.1}},
                  Step, Wobble, dice),
         Uncertain);
    record(demo, "1070", "layer", "TP3", "Hearth, burnt clay", 42.30, 42.22);
    draw(demo, "P-09", "1070", round({140.55, 203.35}, 0.3, 0.24, 0, 0.04, dice));
    relate(demo, "1070", "above", "1067");
    relate(demo, "1065", "above", "1070");
}

} // namespace inkpeg::demo
