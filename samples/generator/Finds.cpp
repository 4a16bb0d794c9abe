// SPDX-License-Identifier: GPL-3.0-or-later
// Small finds, timbers and samples: each in the outline of the context that it is registered in.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "samples/generator/Recording.h"

namespace inkpeg::demo {

namespace {

/// Nothing lies closer than this to the edge of its context: four times its standard error.
constexpr double EdgeGapM = 0.08;

std::string numbered(const std::string& prefix, std::size_t n, std::size_t digits)
{
    std::string text = std::to_string(n);
    return prefix + std::string(digits - std::min(digits, text.size()), '0') + text;
}

/// True if no smaller outline of the drawing holds or nearly holds the place.
bool innermost(const DrawingPlan& drawing, const DrawnOutline& outline, Metres place)
{
    for (const DrawnOutline& other : drawing.outlines) {
        if (&other == &outline || std::abs(area(other.ring)) >= std::abs(area(outline.ring)))
            continue;
        if (contains(other.ring, place) || distanceToEdge(other.ring, place) < EdgeGapM)
            return false;
    }
    return true;
}

std::optional<Metres> placeWithin(const DrawingPlan& drawing, const DrawnOutline& outline, double gapM,
                                  Dice& dice)
{
    Window box{1e300, 1e300, -1e300, -1e300};
    for (const Metres& p : outline.ring)
        box = {std::min(box.x0, p.x), std::min(box.y0, p.y), std::max(box.x1, p.x), std::max(box.y1, p.y)};
    for (int attempt = 0; attempt < 400; ++attempt) {
        const Metres place{dice.between(box.x0, box.x1), dice.between(box.y0, box.y1)};
        if (contains(outline.ring, place) && distanceToEdge(outline.ring, place) > gapM &&
            innermost(drawing, outline, place))
            return place;
    }
    return std::nullopt;
}

/// A level inside the context, 1 cm clear of its top and bottom.
double levelWithin(const ContextRecord& context, Dice& dice)
{
    const double top = context.topM.value_or(42.22), bottom = context.bottomM.value_or(top - 0.02);
    const double gap = std::min(0.01, (top - bottom) / 3);
    return std::round(dice.between(bottom + gap, top - gap) * 1000) / 1000;
}

const DrawnOutline& outlineOf(const Demo& demo, const std::string& drawing, const std::string& context)
{
    for (const DrawingPlan& plan : demo.drawings)
        if (plan.number == drawing)
            for (const DrawnOutline& outline : plan.outlines)
                if (outline.context == context)
                    return outline;
    throw std::logic_error("context " + context + " is not drawn on " + drawing);
}

void addFind(Demo& demo, const DrawingPlan& drawing, const ContextRecord& context, Metres place, Dice& dice)
{
    struct Kind {
        const char *material, *description;
    };
    static const std::array<Kind, 10> kinds = {{{"ceramic", "rim sherd, grey ware"},
                                                {"ceramic", "body sherd, red ware"},
                                                {"ceramic", "handle of a jug, glazed"},
                                                {"iron", "nail"},
                                                {"iron", "knife blade, broken"},
                                                {"bone", "comb fragment"},
                                                {"stone", "whetstone"},
                                                {"copper alloy", "buckle"},
                                                {"slag", "hearth slag"},
                                                {"fired clay", "kiln lining"}}};
    const Kind kind = kinds[static_cast<std::size_t>(dice.whole(0, 9))];
    PlacedRecord find;
    find.number = numbered("SF-", demo.finds.size() + 1, 3);
    find.context = context.number;
    find.trench = context.trench;
    find.kind = kind.material;
    find.description = kind.description;
    find.place = place;
    find.topM = levelWithin(context, dice);
    find.drawing = drawing.number;
    demo.finds.push_back(find);
}

PlacedRecord& addTimber(Demo& demo, const std::string& drawing, const std::string& context,
                        const std::string& kind, Metres place, double diameterM, Dice& dice)
{
    const ContextRecord& record = *demo.context(context);
    PlacedRecord timber;
    timber.number = numbered("T-", demo.timbers.size() + 1, 2);
    timber.context = context;
    timber.trench = record.trench;
    timber.kind = kind;
    timber.place = place;
    timber.topM = std::round((*record.topM - dice.between(0.01, 0.06)) * 100) / 100;
    timber.bottomM = std::round((*record.bottomM + 0.01) * 100) / 100;
    const double lean = std::round(dice.between(0, 9));
    timber.leanDegrees = lean;
    timber.leanBearingDegrees = std::round(dice.between(0, 359));
    timber.lengthM =
        std::round((timber.topM - *timber.bottomM) / std::cos(lean * std::numbers::pi / 180) * 1000) / 1000;
    timber.diameterM = std::round(diameterM * 100) / 100;
    timber.drawing = drawing;
    demo.timbers.push_back(timber);
    return demo.timbers.back();
}

void placeWellStakes(Demo& demo, Dice& dice)
{
    const Metres middle = centre(outlineOf(demo, "P-05", "1051").ring);
    for (int i = 0; i < 8; ++i) {
        const double angle = 2 * std::numbers::pi * i / 8 + 0.2;
        addTimber(demo, "P-05", "1051", "stake",
                  {middle.x + 0.36 * std::cos(angle), middle.y + 0.36 * std::sin(angle)}, 0.07, dice);
    }
}

void placeDitchStakes(Demo& demo, Dice& dice)
{
    for (int i = 0; i < 12; ++i) {
        const double y = 196.4 + 0.55 * i;
        const Metres place{132.25 + 0.04 * i + 0.02 * dice.normalWithin(2), y};
        addTimber(demo, y < 200 ? "P-06" : "P-07", "1053", "stake", place, dice.between(0.06, 0.09), dice);
    }
}

void addSample(Demo& demo, const std::string& drawing, const std::string& context, const std::string& kind,
               const std::string& description, Metres place, double levelM)
{
    PlacedRecord sample;
    sample.number = numbered("SS-", demo.samples.size() + 1, 2);
    sample.context = context;
    sample.trench = demo.context(context)->trench;
    sample.kind = kind;
    sample.description = description;
    sample.place = place;
    sample.topM = levelM;
    sample.drawing = drawing;
    demo.samples.push_back(sample);
}

} // namespace

void scatterFinds(Demo& demo)
{
    Dice dice("finds");
    for (const DrawingPlan& drawing : demo.drawings) {
        if (drawing.upright())
            continue;
        for (const DrawnOutline& outline : drawing.outlines) {
            if (outline.contextKind != "fill" && outline.contextKind != "layer")
                continue;
            const int wanted = 3 + static_cast<int>(std::min(10.0, std::abs(area(outline.ring)) * 3));
            for (int i = 0; i < wanted; ++i)
                if (const auto place = placeWithin(drawing, outline, EdgeGapM, dice))
                    addFind(demo, drawing, *demo.context(outline.context), *place, dice);
        }
    }
}

void placeTimbers(Demo& demo)
{
    Dice dice("timbers");
    for (int i = 0; i < 7; ++i) {
        const std::string fill = std::to_string(1032 + 2 * i);
        addTimber(demo, "P-05", fill, "post", centre(outlineOf(demo, "P-05", fill).ring),
                  dice.between(0.14, 0.19), dice);
    }
    for (const auto& [drawing, fill] : {std::pair<std::string, std::string>{"P-02", "1016"},
                                        {"P-04", "1028"},
                                        {"P-04", "1030"},
                                        {"P-10", "1064"}})
        addTimber(demo, drawing, fill, "post", centre(outlineOf(demo, drawing, fill).ring),
                  dice.between(0.14, 0.18), dice);
    placeWellStakes(demo, dice);
    placeDitchStakes(demo, dice);
    for (const Metres corner : {Metres{109.1, 205.25}, {110.6, 205.2}, {110.65, 206.7}, {109.15, 206.75}})
        addTimber(demo, "P-04", "1024", "corner post", corner, 0.12, dice);
}

void takeSamples(Demo& demo)
{
    Dice dice("samples");
    const std::array<std::string, 3> kinds = {"bulk", "bulk", "micromorphology"};
    for (const DrawingPlan& drawing : demo.drawings) {
        if (drawing.upright())
            continue;
        for (const DrawnOutline& outline : drawing.outlines) {
            const bool wanted = outline.contextKind == "fill" && std::abs(area(outline.ring)) > 0.25;
            if (!wanted)
                continue;
            if (const auto place = placeWithin(drawing, outline, EdgeGapM, dice))
                addSample(demo, drawing.number, outline.context, kinds[demo.samples.size() % 3],
                          "10 litres", *place, levelWithin(*demo.context(outline.context), dice));
        }
    }
    for (int i = 0; i < 5; ++i) // a column in the upper fill of the ditch, beside the section
        addSample(demo, "P-06", "1053", "column", "pollen, " + std::to_string(i + 1) + " of 5",
                  {132.6, 198.02}, 42.16 - 0.09 * i);
    for (int i = 0; i < 6; ++i) {
        const PlacedRecord& timber = demo.timbers[static_cast<std::size_t>(i)];
        addSample(demo, timber.drawing, timber.context, "dendro", "disc of timber " + timber.number,
                  timber.place, timber.topM - 0.1);
    }
}

} // namespace inkpeg::demo
