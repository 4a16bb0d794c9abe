// SPDX-License-Identifier: GPL-3.0-or-later
#include "samples/generator/Clicks.h"

#include <algorithm>
#include <cmath>
#include <fstream>

#include "core/base/Text.h"
#include "samples/generator/Details.h"
#include "samples/generator/Dice.h"

namespace inkpeg::demo {

namespace {

constexpr double CrossArmMm = 4;

struct Place {
    Metres at;
    double clearM = 0;
    int covers = 0; ///< smaller closed lines that hold it: outlines, stones
};

/// `at` inside `outline`, with what is around it: edges, stones, the arms of crosses, and timbers and finds
/// drawn as small marks. What lies within a stone is the stone's: there the outline is the next larger one.
Place judged(const Demo& demo, const DrawingPlan& drawing, const std::vector<OutlineDetails>& details,
             const DrawnOutline& outline, Metres at)
{
    Place place{at, distanceToEdge(outline.ring, at), 0};
    const double own = std::abs(area(outline.ring));
    for (const DrawnOutline& other : drawing.outlines) {
        if (&other == &outline)
            continue;
        place.clearM = std::min(place.clearM, distanceToEdge(other.ring, at));
        if (std::abs(area(other.ring)) < own * 0.999 && contains(other.ring, at))
            ++place.covers;
    }
    for (const OutlineDetails& of : details)
        for (const std::vector<Metres>& stone : of.stones) {
            place.clearM = std::min(place.clearM, distanceToEdge(stone, at));
            place.covers += contains(stone, at) ? 1 : 0;
        }
    for (const Cross& cross : drawing.crosses) // on the film as Draughting.cpp draws them, the larger arms
        for (const double upright : {0.0, 1.0}) {
            const double arm = CrossArmMm * drawing.scale / 1000;
            const double along = std::abs(upright > 0 ? at.y - cross.place.y : at.x - cross.place.x),
                         away = std::abs(upright > 0 ? at.x - cross.place.x : at.y - cross.place.y);
            place.clearM = std::min(place.clearM, std::hypot(std::max(0.0, along - arm), away));
        }
    for (const std::vector<PlacedRecord>* records : {&demo.finds, &demo.timbers})
        for (const PlacedRecord& record : *records)
            if (record.drawing == drawing.number && !drawing.upright())
                place.clearM = std::min(place.clearM,
                                        distance(record.place, at) - record.diameterM.value_or(0.05) / 2);
    return place;
}

Place placeInside(const Demo& demo, const DrawingPlan& drawing, const DrawnOutline& outline)
{
    Dice dice("clicks in " + outline.context + " on " + drawing.number);
    Window box{1e9, 1e9, -1e9, -1e9};
    for (const Metres& p : outline.ring)
        box = {std::min(box.x0, p.x), std::min(box.y0, p.y), std::max(box.x1, p.x), std::max(box.y1, p.y)};
    const std::vector<OutlineDetails> details = detailsOf(drawing);
    std::vector<Place> places;
    for (int attempt = 0; attempt < 40'000 && places.size() < 1'500; ++attempt) {
        const Metres at{dice.between(box.x0, box.x1), dice.between(box.y0, box.y1)};
        if (contains(outline.ring, at))
            places.push_back(judged(demo, drawing, details, outline, at));
    }
    // Clear paper of its own if there is any to speak of; else where the fewest other outlines lie over it.
    const double leastClear = 0.6 * drawing.scale / 1000;
    int fewest = 1000;
    for (const Place& place : places)
        if (place.clearM > leastClear)
            fewest = std::min(fewest, place.covers);
    std::erase_if(places, [&](const Place& place) { return place.covers != fewest; });
    double clearest = 0;
    for (const Place& place : places)
        clearest = std::max(clearest, place.clearM);
    std::erase_if(places, [&](const Place& place) { return place.clearM < 0.7 * clearest; });
    return places[static_cast<std::size_t>(dice.whole(0, static_cast<int>(places.size()) - 1))];
}

/// The click for a place on the drawing, missing it as a hand does.
ScanPx clicked(const SheetPlan& sheet, const DrawingPlan& drawing, Metres place, Dice& dice)
{
    constexpr double HandMm = 0.1;
    FilmMm at = drawing.toFilm(place);
    at.x += HandMm * dice.normalWithin(2);
    at.y += HandMm * dice.normalWithin(2);
    return sheet.map.toScan(at);
}

/// Way-points every so often and wherever the kind of edge changes.
std::vector<Click> wayPoints(const Demo& demo, const DrawingPlan& drawing, const DrawnOutline& outline)
{
    constexpr double EveryMm = 40;
    Dice dice("way-points of " + outline.context + " on " + drawing.number);
    const SheetPlan& sheet = demo.sheetOf(drawing);
    const std::size_t n = outline.ring.size();
    const auto kindBefore = [&](std::size_t i) { return outline.edges[(i + n - 1) % n]; };
    std::vector<Click> clicks;
    double sinceMm = EveryMm;
    for (std::size_t i = 0; i < n; ++i) {
        const std::string& edge = outline.edges[i];
        const bool turns = edge != kindBefore(i);
        const bool drawn = edge != BeyondTheSheet;
        if (turns || (drawn && sinceMm >= EveryMm)) {
            clicks.push_back({drawing.number, outline.context, drawn ? "ink" : "straight", edge,
                              clicked(sheet, drawing, outline.ring[i], dice), 0});
            sinceMm = 0;
        }
        sinceMm += distance(outline.ring[i], outline.ring[(i + 1) % n]) * 1000 / drawing.scale;
    }
    return clicks;
}

} // namespace

Click clickInside(const Demo& demo, const DrawingPlan& drawing, const DrawnOutline& outline)
{
    const Place place = placeInside(demo, drawing, outline);
    return {drawing.number,
            outline.context,
            "area",
            outline.edges[0],
            demo.sheetOf(drawing).map.toScan(drawing.toFilm(place.at)),
            place.covers};
}

std::vector<Click> clicksFor(const Demo& demo, const DrawingPlan& drawing, const DrawnOutline& outline)
{
    const bool even = std::ranges::all_of(
        outline.edges, [&](const std::string& edge) { return edge == outline.edges[0]; });
    if (even)
        return {clickInside(demo, drawing, outline)};
    return wayPoints(demo, drawing, outline);
}

std::string writeClicks(const Demo& demo, const std::filesystem::path& folder)
{
    const std::string header = "drawing,context,way,column,row,edge,wider\r\n";
    const auto line = [](const Click& click) {
        return click.drawing + ',' + click.context + ',' + click.way + ',' + fixed(click.at.column, 1) +
               ',' + fixed(click.at.row, 1) + ',' + click.edge + ',' + std::to_string(click.wider) + "\r\n";
    };
    std::string seeds = header, areas = header;
    for (const DrawingPlan& drawing : demo.drawings)
        for (const DrawnOutline& outline : drawing.outlines) {
            for (const Click& click : clicksFor(demo, drawing, outline))
                seeds += line(click);
            if (std::ranges::find(outline.edges, BeyondTheSheet) == outline.edges.end())
                areas += line(clickInside(demo, drawing, outline));
        }
    std::error_code failed;
    std::filesystem::create_directories(folder, failed);
    for (const auto& [name, text] : {std::pair{"seeds.csv", &seeds}, {"areas.csv", &areas}}) {
        std::ofstream stream(folder / name, std::ios::binary);
        stream << *text;
        stream.close();
        if (!stream)
            return "cannot write " + (folder / name).string();
    }
    return "";
}

} // namespace inkpeg::demo
