// SPDX-License-Identifier: GPL-3.0-or-later
// Pegs as surveyed, pins as a person would place them, and the faults planted in both and in the records.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "samples/generator/Recording.h"

namespace inkpeg::demo {

namespace {

constexpr double GridTurnRad = 14 * std::numbers::pi / 180;
constexpr GroundM GridOrigin{553120.000, 6203040.000}; // of 100/200
constexpr Metres OriginOnSite{100, 200};

double toMillimetres(double metres)
{
    return std::round(metres * 1000) / 1000;
}

PegRecord peg(const std::string& name, Metres place, bool inSiteFrame, double standardErrorM, Dice& dice)
{
    PegRecord peg;
    peg.name = name;
    peg.inSiteFrame = inSiteFrame;
    peg.true_ = place;
    peg.standardErrorM = standardErrorM;
    const GroundM ground = groundOfSite(place);
    const double east = inSiteFrame ? place.x : ground.east, north = inSiteFrame ? place.y : ground.north;
    peg.east = toMillimetres(east + standardErrorM * dice.normalWithin(2));
    peg.north = toMillimetres(north + standardErrorM * dice.normalWithin(2));
    return peg;
}

void surveyCross(Demo& demo, const DrawingPlan& drawing, const Cross& cross, Dice& dice)
{
    const auto known = [&cross](const PegRecord& other) { return other.name == cross.peg; };
    if (std::any_of(demo.pegs.begin(), demo.pegs.end(), known))
        return; // neighbouring plans share it
    if (!drawing.upright()) {
        PegRecord surveyed = peg(cross.peg, cross.place, false, 0.0015, dice);
        surveyed.levelM = toMillimetres(42.20 + dice.between(0, 0.08));
        surveyed.standardErrorLevelM = 0.003;
        surveyed.note = "grid cross";
        demo.pegs.push_back(surveyed);
        return;
    }
    const Metres foot{drawing.lineStart.x + drawing.lineDirection.x * cross.place.x,
                      drawing.lineStart.y + drawing.lineDirection.y * cross.place.x};
    PegRecord surveyed = peg(cross.peg, foot, false, 0.001, dice);
    surveyed.levelM = toMillimetres(cross.place.y + 0.001 * dice.normalWithin(2));
    surveyed.standardErrorLevelM = 0.001;
    surveyed.note = "nail";
    demo.pegs.push_back(surveyed);
}

/// The 5 m pegs around the trenches: those marked are given in both frames, so that the site grid can be
/// related.
void surveyBasePegs(Demo& demo, Dice& dice)
{
    struct Base {
        double x, y;
        bool both;
    };
    for (const Base& base :
         {Base{95, 195, true}, Base{105, 195, false}, Base{115, 195, true}, Base{140, 195, true},
          Base{95, 210, true}, Base{105, 210, false}, Base{120, 210, true}, Base{130, 210, false},
          Base{140, 210, true}, Base{120, 190, false}}) {
        const std::string name =
            std::to_string(std::lround(base.x)) + "/" + std::to_string(std::lround(base.y));
        PegRecord inSite = peg(name, {base.x, base.y}, true, 0.002, dice);
        inSite.levelM = toMillimetres(42.6 + dice.between(-0.1, 0.1));
        inSite.standardErrorLevelM = 0.003;
        inSite.note = "5 m peg";
        if (base.both) {
            PegRecord inCrs = peg(name, {base.x, base.y}, false, 0.002, dice);
            inCrs.levelM = inSite.levelM;
            inCrs.standardErrorLevelM = inSite.standardErrorLevelM;
            inCrs.note = inSite.note;
            demo.pegs.push_back(inCrs);
        }
        demo.pegs.push_back(inSite);
    }
}

void transposePeg(Demo& demo, const std::string& name)
{
    for (PegRecord& record : demo.pegs) {
        if (record.name != name)
            continue;
        const double metres = std::floor(record.north), rest = record.north - metres;
        const double units = std::fmod(metres, 10), tens = std::fmod(std::floor(metres / 10), 10);
        if (units == tens)
            throw std::logic_error("peg " + name + " has equal digits; choose another to transpose");
        record.north = toMillimetres(metres - tens * 10 - units + units * 10 + tens + rest);
        demo.faults.push_back(
            {"transposed digits", name, "pegs.csv",
             "the last two digits of the whole metres of north are exchanged; used on P-05"});
    }
}

void swapPins(Demo& demo, const std::string& drawing, const std::string& a, const std::string& b)
{
    PinRecord *first = nullptr, *second = nullptr;
    for (PinRecord& pin : demo.pins) {
        if (pin.drawing == drawing && pin.peg == a)
            first = &pin;
        if (pin.drawing == drawing && pin.peg == b)
            second = &pin;
    }
    if (!first || !second)
        throw std::logic_error("no such pins to swap on " + drawing);
    std::swap(first->clicked, second->clicked);
    demo.faults.push_back(
        {"swapped pins", drawing, "pins.csv", "pins " + a + " and " + b + " are exchanged"});
}

} // namespace

GroundM groundOfSite(Metres site)
{
    const double x = (site.x - OriginOnSite.x) * ProjectedScale,
                 y = (site.y - OriginOnSite.y) * ProjectedScale;
    return {GridOrigin.east + x * std::cos(GridTurnRad) + y * std::sin(GridTurnRad),
            GridOrigin.north - x * std::sin(GridTurnRad) + y * std::cos(GridTurnRad)};
}

Metres siteOfGround(GroundM ground)
{
    const double east = (ground.east - GridOrigin.east) / ProjectedScale;
    const double north = (ground.north - GridOrigin.north) / ProjectedScale;
    return {OriginOnSite.x + east * std::cos(GridTurnRad) - north * std::sin(GridTurnRad),
            OriginOnSite.y + east * std::sin(GridTurnRad) + north * std::cos(GridTurnRad)};
}

ContextRecord* Demo::context(const std::string& number)
{
    for (ContextRecord& record : contexts)
        if (record.number == number)
            return &record;
    return nullptr;
}

const SheetPlan& Demo::sheetOf(const DrawingPlan& drawing) const
{
    for (const SheetPlan& sheet : sheets)
        if (sheet.number == drawing.sheet)
            return sheet;
    throw std::logic_error("drawing " + drawing.number + " lies on no sheet");
}

void surveyPegs(Demo& demo)
{
    Dice dice("survey");
    for (const DrawingPlan& drawing : demo.drawings)
        for (const Cross& cross : drawing.crosses)
            surveyCross(demo, drawing, cross, dice);
    surveyBasePegs(demo, dice);
}

void placePins(Demo& demo)
{
    constexpr double clickMm = 0.07; // in each direction: about 0.1 mm in length
    for (DrawingPlan& drawing : demo.drawings) {
        Dice dice("pins of " + drawing.number);
        const SheetMap& map = demo.sheetOf(drawing).map;
        for (std::size_t i = 0; i < drawing.crosses.size(); ++i) {
            Cross& cross = drawing.crosses[i];
            if (drawing.crosses.size() >= 15 && (i == 6 || i == 8))
                cross.use = "check";
            if (drawing.number == "P-03" && i == 12)
                cross.use = "out";
            const ScanPx mark = map.toScan(drawing.toFilm(cross.place));
            const double clickPx = clickMm * map.dpi / MillimetresPerInch;
            demo.pins.push_back(
                {drawing.number,
                 cross.peg,
                 cross.use,
                 {mark.column + clickPx * dice.normalWithin(2), mark.row + clickPx * dice.normalWithin(2)},
                 mark});
        }
    }
}

void plantFaults(Demo& demo)
{
    transposePeg(demo, "124/198");
    swapPins(demo, "P-02", "112/202", "114/204");

    Dice dice("stray");
    draw(demo, "P-07", "1072", round({135.0, 202.7}, 0.34, 0.3, 0, 0.04, dice));
    demo.faults.push_back({"drawn but not in the register", "1072", "P-07",
                           "an outline numbered 1072, which contexts.csv does not hold"});

    record(demo, "1071", "layer", "2", "Trampled layer around the well", 42.21, 42.20);
    relate(demo, "1061", "above", "1071");
    relate(demo, "1071", "above", "1062");
    demo.faults.push_back(
        {"registered but not drawn", "1071", "contexts.csv", "on no plan and in no section"});

    relate(demo, "1060", "above", "1055");
    demo.faults.push_back(
        {"stratigraphic loop", "1055 1059 1058 1060", "contexts.csv",
         "1055 above 1059, 1059 fills 1058, 1058 cuts 1060, and (wrongly) 1060 above 1055"});

    // On a drawing without a planted fault of its own, so that it can be told from the start.
    for (PlacedRecord& find : demo.finds)
        if (find.context == "1028") {
            for (const DrawnOutline& outline : drawingNamed(demo, "P-04").outlines)
                if (outline.context == "1030")
                    find.place = {centre(outline.ring).x + 0.09, centre(outline.ring).y}; // beside its post
            demo.faults.push_back({"find whose context disagrees with its position", find.number,
                                   "finds.csv",
                                   "registered in 1028, lies in the fill 1030, more than a metre away"});
            break;
        }
}

} // namespace inkpeg::demo
