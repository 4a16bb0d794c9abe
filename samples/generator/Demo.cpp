// SPDX-License-Identifier: GPL-3.0-or-later
#include "samples/generator/Demo.h"

#include <algorithm>

namespace inkpeg::demo {

Demo skelderRigg(double dpi)
{
    Demo demo;
    demo.people = {{"MH", "Maren Holt", "site director"},
                   {"AB", "Asger Brandt", "supervisor"},
                   {"TK", "Tova Kesk", "illustrator"},
                   {"LS", "Lene Sorrel", "finds officer"},
                   {"JO", "Jon Oakes", "surveyor"}};
    planTrench1(demo);
    planTrench2(demo);
    planTestPit(demo);
    drawSections(demo);
    const auto byNumber = [](const auto& a, const auto& b) { return a.number < b.number; };
    std::sort(demo.contexts.begin(), demo.contexts.end(), byNumber);
    std::sort(demo.drawings.begin(), demo.drawings.end(), byNumber);
    setOutSheets(demo, dpi);
    surveyPegs(demo);
    scatterFinds(demo);
    placeTimbers(demo);
    takeSamples(demo);
    placePins(demo);
    plantFaults(demo);
    return demo;
}

void wearFilm(Demo& demo)
{
    for (SheetPlan& sheet : demo.sheets) {
        sheet.smudging = 3;
        sheet.pressing = 0.67;
    }
}

} // namespace inkpeg::demo
