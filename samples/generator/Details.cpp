// SPDX-License-Identifier: GPL-3.0-or-later
#include "samples/generator/Details.h"

#include <algorithm>
#include <cmath>

#include "samples/generator/Dice.h"

namespace inkpeg::demo {

namespace {

/// Starting just inside the edge of a cut.
std::vector<HachureStroke> hachuresOf(const DrawingPlan& drawing, const DrawnOutline& cut, Dice& dice)
{
    std::vector<HachureStroke> strokes;
    const double metresPerMm = drawing.scale / 1000;
    double sinceLast = 0;
    for (std::size_t i = 0; i < cut.ring.size(); ++i) {
        const Metres a = cut.ring[i], b = cut.ring[(i + 1) % cut.ring.size()];
        const double length = distance(a, b);
        sinceLast += length / metresPerMm;
        if (sinceLast < 3.4 || length <= 0 || cut.edges[i] != Certain)
            continue;
        sinceLast = dice.between(-0.5, 0.5);
        const double inX = -(b.y - a.y) / length * metresPerMm, inY = (b.x - a.x) / length * metresPerMm;
        const double reach = dice.between(1.6, 2.2);
        const FilmMm from = drawing.toFilm({a.x + inX * 0.45, a.y + inY * 0.45});
        const FilmMm to = drawing.toFilm({a.x + inX * reach, a.y + inY * reach});
        strokes.push_back({from, {(from.x + to.x) / 2, (from.y + to.y) / 2}, to});
    }
    return strokes;
}

/// Rounded shapes that touch neither the edge of a wall nor each other.
std::vector<std::vector<Metres>> stonesOf(const DrawingPlan& drawing, const DrawnOutline& wall, Dice& dice)
{
    std::vector<std::vector<Metres>> rings;
    std::vector<std::pair<Metres, double>> stones;
    const double metresPerMm = drawing.scale / 1000;
    Window box{1e9, 1e9, -1e9, -1e9};
    for (const Metres& p : wall.ring)
        box = {std::min(box.x0, p.x), std::min(box.y0, p.y), std::max(box.x1, p.x), std::max(box.y1, p.y)};
    for (int attempt = 0; attempt < 1500; ++attempt) {
        const Metres at{dice.between(box.x0, box.x1), dice.between(box.y0, box.y1)};
        const double radius = dice.between(2.2, 5.0) * metresPerMm;
        bool isFree =
            contains(wall.ring, at) && distanceToEdge(wall.ring, at) > radius * 1.25 + 0.9 * metresPerMm;
        for (const auto& [other, size] : stones)
            isFree = isFree && distance(other, at) > (radius + size) * 1.25 + 0.5 * metresPerMm;
        // The middle stays free for the number.
        if (!isFree || distance(centre(wall.ring), at) < 10 * metresPerMm + radius)
            continue;
        stones.emplace_back(at, radius);
        rings.push_back(round(at, radius, radius * dice.between(0.7, 1), dice.between(0, 180), 0.09, dice));
    }
    return rings;
}

} // namespace

std::vector<OutlineDetails> detailsOf(const DrawingPlan& drawing)
{
    Dice dice("pencil of " + drawing.number);
    std::vector<OutlineDetails> details;
    for (const DrawnOutline& outline : drawing.outlines) {
        OutlineDetails& of = details.emplace_back();
        if (outline.contextKind == "cut" && !drawing.upright())
            of.hachures = hachuresOf(drawing, outline, dice);
        // The kerb 1005 is drawn without its stones.
        if (outline.context == "1017" || outline.context == "1022")
            of.stones = stonesOf(drawing, outline, dice);
    }
    return details;
}

} // namespace inkpeg::demo
