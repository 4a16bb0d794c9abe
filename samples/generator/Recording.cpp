// SPDX-License-Identifier: GPL-3.0-or-later
#include "samples/generator/Recording.h"

#include <cmath>
#include <stdexcept>

namespace inkpeg::demo {

namespace {

/// How far the pencil goes beyond the outermost crosses of a plan, on the film.
constexpr double PlanMarginMm = 6;

std::string opposite(const std::string& word)
{
    static const std::map<std::string, std::string> pairs = {
        {"above", "below"}, {"cuts", "cut_by"}, {"fills", "filled_by"}, {"abuts", "abuts"}};
    return pairs.at(word);
}

const std::string& initialsFor(const std::string& number)
{
    static const std::array<std::string, 4> recorders = {"MH", "AB", "TK", "LS"};
    return recorders[static_cast<std::size_t>(std::stoi(number)) % recorders.size()];
}

std::string dayFor(int n)
{
    const int day = 3 + n % 25;
    return "2026-08-" + std::string(day < 10 ? "0" : "") + std::to_string(day);
}

} // namespace

void relate(Demo& demo, const std::string& first, const std::string& word, const std::string& second)
{
    ContextRecord* a = demo.context(first);
    ContextRecord* b = demo.context(second);
    if (!a || !b)
        throw std::logic_error("relation between unknown contexts " + first + " and " + second);
    a->relations[word].push_back(second);
    b->relations[opposite(word)].push_back(first);
}

void record(Demo& demo, const std::string& number, const std::string& kind, const std::string& trench,
            const std::string& description, std::optional<double> topM, std::optional<double> bottomM)
{
    demo.contexts.push_back({.number = number,
                             .kind = kind,
                             .trench = trench,
                             .description = description,
                             .period = "medieval",
                             .recordedBy = initialsFor(number),
                             .recordedOn = dayFor(std::stoi(number)),
                             .topM = topM,
                             .bottomM = bottomM,
                             .relations = {}});
}

DrawnOutline& draw(Demo& demo, const std::string& drawing, const std::string& context, const Path& ring,
                   const std::string& edge)
{
    const ContextRecord* known = demo.context(context);
    DrawingPlan& plan = drawingNamed(demo, drawing);
    plan.outlines.push_back({.context = context,
                             .contextKind = known ? known->kind : "layer",
                             .ring = ring,
                             .edges = std::vector<std::string>(ring.size(), edge)});
    return plan.outlines.back();
}

DrawingPlan& drawingNamed(Demo& demo, const std::string& number)
{
    for (DrawingPlan& drawing : demo.drawings)
        if (drawing.number == number)
            return drawing;
    throw std::logic_error("no drawing " + number);
}

void digOut(Demo& demo, const std::string& drawing, const CutAndFill& pair, const Path& cutRing)
{
    record(demo, pair.cut, "cut", pair.trench, pair.cutDescription, pair.topM, pair.bottomM);
    record(demo, pair.fill, "fill", pair.trench, pair.fillDescription, pair.topM, pair.bottomM);
    relate(demo, pair.fill, "fills", pair.cut);
    relate(demo, pair.cut, "cuts", pair.into);
    if (!pair.sealedBy.empty())
        relate(demo, pair.sealedBy, "above", pair.fill);
    draw(demo, drawing, pair.cut, cutRing);
    draw(demo, drawing, pair.fill, drawnIn(cutRing, pair.gapM));
}

DrawingPlan& openPlan(Demo& demo, const std::string& number, const std::string& title,
                      const std::string& trench, const Window& grid, double scale, double crossStepM)
{
    const double margin = PlanMarginMm * scale / 1000;
    DrawingPlan plan;
    plan.number = number;
    plan.kind = "plan";
    plan.title = title;
    plan.trench = trench;
    plan.scale = scale;
    plan.window = {grid.x0 - margin, grid.y0 - margin, grid.x1 + margin, grid.y1 + margin};
    plan.crossStepM = crossStepM;
    plan.drawnBy = initialsFor(std::to_string(demo.drawings.size()));
    plan.drawnOn = dayFor(static_cast<int>(demo.drawings.size()) * 2 + 1);
    const auto count = [crossStepM](double from, double to) {
        return std::lround((to - from) / crossStepM);
    };
    for (long j = 0; j <= count(grid.y0, grid.y1); ++j)
        for (long i = 0; i <= count(grid.x0, grid.x1); ++i) {
            const Metres place{grid.x0 + static_cast<double>(i) * crossStepM,
                               grid.y0 + static_cast<double>(j) * crossStepM};
            plan.crosses.push_back(
                {.peg = std::to_string(std::lround(place.x)) + "/" + std::to_string(std::lround(place.y)),
                 .place = place});
        }
    demo.drawings.push_back(plan);
    return demo.drawings.back();
}

} // namespace inkpeg::demo
