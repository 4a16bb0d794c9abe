// SPDX-License-Identifier: GPL-3.0-or-later
// Trench 1: the kiln with its bowl, flue and stoke pit, the malting floor and the steep.
#include "samples/generator/Recording.h"

namespace inkpeg::demo {

namespace {

constexpr double Step = 0.02;    // a vertex of the truth every 2 cm, 1 mm on the film at 1:20
constexpr double Wobble = 0.004; // 0.2 mm on the film at 1:20

void planKilnBowl(Demo& demo)
{
    Dice dice("P-01");
    openPlan(demo, "P-01", "Kiln bowl and flue", "1", {100, 200, 108, 204}, 20, 2);
    digOut(demo, "P-01",
           {"1004", "1006", "1", "Bowl of the kiln, steep sides, flat base", "Burnt red clay with stones",
            42.20, 41.62, "1003", "1002"},
           round({103.0, 202.05}, 1.22, 1.17, 20, 0.035, dice));
    record(demo, "1005", "structure", "1", "Kerb of burnt sandstone around the bowl", 42.32, 42.20);
    draw(demo, "P-01", "1005",
         softRing({{101.95, 203.05},
                   {102.35, 203.35},
                   {103.0, 203.46},
                   {103.6, 203.33},
                   {104.1, 202.96},
                   {104.22, 203.12},
                   {103.72, 203.55},
                   {103.0, 203.69},
                   {102.25, 203.57},
                   {101.8, 203.2}},
                  Step, Wobble, dice));
    relate(demo, "1005", "above", "1003");
    relate(demo, "1002", "above", "1005");
    relate(demo, "1005", "abuts", "1004");
    record(demo, "1007", "fill", "1", "Ash and charcoal on the floor of the bowl", 41.78, 41.62);
    relate(demo, "1007", "fills", "1004");
    relate(demo, "1006", "above", "1007");
    demo.context("1006")->bottomM = 41.78;
    digOut(demo, "P-01",
           {"1008", "1009", "1", "Flue between bowl and stoke pit", "Dark ash with burnt grain", 42.20,
            41.74, "1003", "1002", 0.08},
           softRing({{104.46, 201.72},
                     {105.2, 201.6},
                     {106.1, 201.55},
                     {107.0, 201.5},
                     {107.55, 201.55},
                     {107.6, 202.35},
                     {107.0, 202.5},
                     {106.1, 202.42},
                     {105.2, 202.4},
                     {104.46, 202.36}},
                    Step, Wobble, dice));
    relate(demo, "1008", "abuts", "1004");
    digOut(demo, "P-01",
           {"1010", "1011", "1", "Small oval pit", "Grey silt, few stones", 42.20, 42.02, "1003", "1002",
            0.06},
           round({101.1, 200.9}, 0.52, 0.36, 35, 0.02, dice));
    drawingNamed(demo, "P-01").levels = {
        {{103.3, 201.5}, 42.20}, {{105.0, 201.8}, 42.20}, {{106.6, 200.8}, 42.21}, {{101.2, 203.5}, 42.20}};
}

void planStokePit(Demo& demo)
{
    Dice dice("P-02");
    openPlan(demo, "P-02", "Stoke pit and rake-out", "1", {108, 200, 116, 204}, 20, 2);
    digOut(demo, "P-02",
           {"1012", "1013", "1", "Stoke pit of the kiln", "Mixed ash and clay lumps", 42.20, 41.70, "1003",
            "1002", 0.09},
           softRing({{108.45, 201.3},
                     {109.3, 200.75},
                     {110.5, 200.7},
                     {111.3, 201.3},
                     {111.4, 202.4},
                     {110.8, 203.2},
                     {109.6, 203.35},
                     {108.6, 202.8}},
                    Step, Wobble, dice));
    record(demo, "1014", "layer", "1", "Spread of rake-out, charcoal and ash", 42.24, 42.20);
    draw(demo, "P-02", "1014",
         softRing({{111.8, 200.8},
                   {112.8, 200.45},
                   {113.9, 200.7},
                   {114.4, 201.5},
                   {113.9, 202.2},
                   {112.7, 202.3},
                   {111.95, 201.7}},
                  Step, Wobble * 1.5, dice),
         Uncertain);
    relate(demo, "1014", "above", "1003");
    relate(demo, "1002", "above", "1014");
    digOut(demo, "P-02",
           {"1015", "1016", "1", "Post-hole, packed with stones", "Brown silt with packing stones", 42.20,
            41.83, "1003", "1002", 0.06},
           round({112.6, 203.1}, 0.29, 0.27, 0, 0.04, dice));
    record(demo, "1017", "structure", "1", "Footing of a wall, two courses of stone", 42.33, 42.20);
    draw(demo, "P-02", "1017",
         hardRing({{114.9, 200.5}, {115.45, 200.44}, {115.62, 203.4}, {115.02, 203.46}}, Step, Wobble,
                  dice));
    relate(demo, "1017", "above", "1003");
    relate(demo, "1002", "above", "1017");
    drawingNamed(demo, "P-02").levels = {{{109.9, 202.3}, 42.20}, {{113.1, 201.4}, 42.24}};
}

void planMaltingFloor(Demo& demo)
{
    Dice dice("P-03");
    openPlan(demo, "P-03", "Malting floor, west part", "1", {100, 204, 108, 208}, 20, 2);
    record(demo, "1018", "layer", "1", "Malting floor of beaten clay, worn in the middle", 42.26, 42.20);
    draw(demo, "P-03", "1018",
         softRing({{100.6, 204.7},
                   {102.5, 204.5},
                   {104.8, 204.55},
                   {107.0, 204.7},
                   {107.3, 205.8},
                   {106.8, 206.75},
                   {104.5, 206.9},
                   {102.2, 206.8},
                   {100.7, 206.6},
                   {100.45, 205.6}},
                  Step, Wobble * 1.5, dice),
         Uncertain);
    relate(demo, "1018", "above", "1003");
    record(demo, "1019", "layer", "1", "Burnt patch on the malting floor", 42.28, 42.26);
    draw(demo, "P-03", "1019", round({102.3, 205.6}, 0.62, 0.45, 10, 0.05, dice));
    relate(demo, "1019", "above", "1018");
    relate(demo, "1002", "above", "1019");
    digOut(demo, "P-03",
           {"1020", "1021", "1", "Pit dug through the malting floor", "Loose brown earth with bone", 42.26,
            41.95, "1018", "1002", 0.07},
           round({105.3, 205.75}, 0.6, 0.52, 70, 0.035, dice));
    record(demo, "1022", "structure", "1", "Wall of the malting house, clay-bonded stone", 42.34, 42.20);
    draw(
        demo, "P-03", "1022",
        hardRing({{100.5, 207.15}, {106.9, 207.3}, {106.88, 207.85}, {100.48, 207.7}}, Step, Wobble, dice));
    relate(demo, "1022", "above", "1003");
    relate(demo, "1002", "above", "1022");
    relate(demo, "1022", "abuts", "1018");
    drawingNamed(demo, "P-03").levels = {{{103.7, 206.2}, 42.26}, {{101.2, 205.2}, 42.25}};
}

void planSteep(Demo& demo)
{
    Dice dice("P-04");
    openPlan(demo, "P-04", "Steep and drain", "1", {108, 204, 116, 208}, 20, 2);
    digOut(demo, "P-04",
           {"1023", "1024", "1", "Steep, square pit with vertical sides", "Grey clay with grain and wood",
            42.20, 41.35, "1003", "1002", 0.08},
           hardRing({{108.7, 205.0}, {110.95, 204.9}, {111.05, 207.0}, {108.8, 207.1}}, Step, Wobble * 1.5,
                    dice));
    digOut(demo, "P-04",
           {"1025", "1026", "1", "Drain leading out of the steep", "Fine grey silt", 42.20, 42.04, "1003",
            "1002", 0.07},
           softRing({{111.35, 205.7},
                     {112.4, 205.55},
                     {113.6, 205.9},
                     {114.6, 206.5},
                     {115.3, 207.1},
                     {115.0, 207.4},
                     {114.2, 206.95},
                     {113.4, 206.3},
                     {112.4, 206.0},
                     {111.4, 206.12}},
                    Step, Wobble, dice));
    digOut(demo, "P-04",
           {"1027", "1028", "1", "Post-hole at the edge of the drain", "Brown silt", 42.20, 41.88, "1003",
            "1002", 0.05},
           round({112.9, 204.9}, 0.26, 0.24, 0, 0.05, dice));
    digOut(
        demo, "P-04",
        {"1029", "1030", "1", "Post-hole", "Brown silt with charcoal", 42.20, 41.85, "1003", "1002", 0.05},
        round({112.5, 207.2}, 0.28, 0.25, 0, 0.05, dice));
    drawingNamed(demo, "P-04").levels = {{{109.9, 205.5}, 42.20}, {{114.4, 205.0}, 42.20}};
}

} // namespace

void planTrench1(Demo& demo)
{
    demo.trenches.push_back(
        {"1", "trench", {{99.9, 199.9}, {116.1, 199.9}, {116.1, 208.1}, {99.9, 208.1}}});
    record(demo, "1001", "layer", "1", "Topsoil", 42.60, 42.36);
    record(demo, "1002", "layer", "1", "Subsoil, brown silty clay, seals the kiln", 42.36, 42.20);
    record(demo, "1003", "layer", "1", "Natural, yellow boulder clay", 42.20, std::nullopt);
    demo.contexts[0].period = demo.contexts[1].period = "post-medieval";
    demo.contexts[2].period = "geological";
    relate(demo, "1001", "above", "1002");
    planKilnBowl(demo);
    planStokePit(demo);
    planMaltingFloor(demo);
    planSteep(demo);
}

} // namespace inkpeg::demo
