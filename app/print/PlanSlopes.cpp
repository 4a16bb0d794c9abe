// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/PlanSlopes.h"

#include <map>

#include "core/outline/Hachures.h"

namespace inkpeg {

namespace {

/// What one drawing says of its slopes, on the paper: y runs up there and down on the page.
struct Slopes {
    std::vector<SlopeBreak> breaks;
    std::vector<LevelOnPaper> levels;
};

FilmMm onPaper(PageMm at)
{
    return {at.x, -at.y};
}

PageMm onPage(FilmMm at)
{
    return {at.x, -at.y};
}

std::map<std::string, Slopes> slopesByDrawing(const SheetContent& content, const FieldMap& map)
{
    std::map<std::string, Slopes> slopes;
    for (const EdgeLineRow& row : content.lines) {
        if (row.line.kind != LineKind::BreakTop && row.line.kind != LineKind::BreakBottom)
            continue;
        SlopeBreak each{row.line.context, row.line.kind == LineKind::BreakTop, {}};
        for (const GroundVertex& vertex : row.vertices)
            each.line.push_back(onPaper(map(vertex.at)));
        slopes[row.drawing].breaks.push_back(std::move(each));
    }
    for (const SpotLevelRow& row : content.levels)
        if (const auto found = slopes.find(row.drawing); found != slopes.end())
            found->second.levels.push_back({onPaper(map(row.place.at)), row.level.levelM});
    return slopes;
}

} // namespace

std::vector<std::array<PageMm, 3>> hachuresOnPage(const SheetContent& content, const FieldMap& map)
{
    std::vector<std::array<PageMm, 3>> wedges;
    if (!content.section.empty())
        return wedges;
    const double scale = 1000 / map.mmPerM;
    const double reachMm = LevelReachMm * content.drawnScale / scale;
    for (const auto& [drawing, slopes] : slopesByDrawing(content, map))
        for (const SlopeBreak& top : slopes.breaks)
            if (top.isTop)
                for (const Hachure& hachure :
                     hachuresBelow(top, slopes.breaks, slopes.levels, scale, reachMm)) {
                    const std::array<FilmMm, 3> wedge = hachure.wedge();
                    wedges.push_back({onPage(wedge[0]), onPage(wedge[1]), onPage(wedge[2])});
                }
    return wedges;
}

} // namespace inkpeg
