// SPDX-License-Identifier: GPL-3.0-or-later
#include "samples/generator/Labels.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace inkpeg::demo {

namespace {

constexpr double ClearMm = 0.9; ///< of any line

bool overlap(const FilmBox& a, const FilmBox& b)
{
    return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;
}

FilmBox boxAt(FilmMm corner, double width, double height)
{
    return {corner.x, corner.y, corner.x + width, corner.y + height};
}

FilmBox boundsOf(const DrawingPlan& drawing, const Path& ring)
{
    FilmBox box{1e9, 1e9, -1e9, -1e9};
    for (const Metres& place : ring) {
        const FilmMm p = drawing.toFilm(place);
        box = {std::min(box.x0, p.x), std::min(box.y0, p.y), std::max(box.x1, p.x), std::max(box.y1, p.y)};
    }
    return box;
}

} // namespace

Labels::Labels(const DrawingPlan& drawing) : m_drawing(drawing) {}

bool Labels::isClear(const FilmBox& box, const DrawnOutline& outline, bool inside) const
{
    for (const FilmBox& taken : m_taken)
        if (overlap(box, taken))
            return false;
    const double metresPerMm = m_drawing.scale / 1000;
    const FilmMm origin = m_drawing.toFilm({0, 0});
    const auto metres = [&](double x, double y) {
        return Metres{(x - origin.x) * metresPerMm, (y - origin.y) * metresPerMm};
    };
    const Metres middle = metres((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2);
    if (contains(outline.ring, middle) != inside)
        return false;
    const double ownArea = std::abs(area(outline.ring));
    for (const DrawnOutline& other : m_drawing.outlines) {
        if (&other != &outline && std::abs(area(other.ring)) < ownArea * 0.999 &&
            contains(other.ring, middle))
            return false;
        for (const Metres& vertex : other.ring) {
            const FilmMm p = m_drawing.toFilm(vertex);
            if (p.x > box.x0 - ClearMm && p.x < box.x1 + ClearMm && p.y > box.y0 - ClearMm &&
                p.y < box.y1 + ClearMm)
                return false;
        }
    }
    return true;
}

std::optional<FilmBox> Labels::within(const DrawnOutline& outline, double width, double height) const
{
    const FilmBox bounds = boundsOf(m_drawing, outline.ring);
    const FilmMm middle = m_drawing.toFilm(centre(outline.ring));
    std::vector<FilmMm> corners;
    for (double y = bounds.y0; y < bounds.y1; y += 1.5)
        for (double x = bounds.x0; x < bounds.x1; x += 2.5)
            corners.push_back({x, y});
    std::sort(corners.begin(), corners.end(), [&](FilmMm a, FilmMm b) {
        const FilmMm target{middle.x - width / 2, middle.y - height / 2};
        return distance(a, target) < distance(b, target);
    });
    for (const FilmMm corner : corners)
        if (isClear(boxAt(corner, width, height), outline, true))
            return boxAt(corner, width, height);
    return std::nullopt;
}

std::optional<FilmBox> Labels::beside(const DrawnOutline& outline, double width, double height) const
{
    const FilmBox bounds = boundsOf(m_drawing, outline.ring);
    const FilmMm middle = m_drawing.toFilm(centre(outline.ring));
    for (double further = 1.5; further < 26; further += 1.5)
        for (int step = 0; step < 24; ++step) {
            const double angle = (0.6 + step * (step % 2 == 0 ? 1 : -1)) * std::numbers::pi / 12;
            const std::size_t n = outline.ring.size();
            std::size_t nearest = 0;
            double best = -1e9;
            for (std::size_t i = 0; i < n; i += 4) {
                const FilmMm p = m_drawing.toFilm(outline.ring[i]);
                const double along =
                    (p.x - middle.x) * std::cos(angle) + (p.y - middle.y) * std::sin(angle);
                const double across =
                    std::abs((p.y - middle.y) * std::cos(angle) - (p.x - middle.x) * std::sin(angle));
                if (along - 3 * across > best) {
                    best = along - 3 * across;
                    nearest = i;
                }
            }
            const FilmMm edge = m_drawing.toFilm(outline.ring[nearest]);
            const FilmMm corner{edge.x + further * std::cos(angle) - (std::cos(angle) < 0 ? width : 0),
                                edge.y + further * std::sin(angle) - (std::sin(angle) < 0 ? height : 0)};
            const FilmBox box = boxAt(corner, width, height);
            const bool onSheet = box.x0 > m_drawing.toFilm({m_drawing.window.x0, 0}).x &&
                                 box.x1 < m_drawing.toFilm({m_drawing.window.x1, 0}).x &&
                                 bounds.y0 - 30 < box.y0 && isClear(box, outline, false);
            if (onSheet)
                return box;
        }
    return std::nullopt;
}

FilmMm Labels::placeFor(const DrawnOutline& outline, double width, double height, bool inside)
{
    std::optional<FilmBox> box;
    if (inside)
        box = within(outline, width, height);
    if (!box)
        box = beside(outline, width, height);
    if (!box) { // no room anywhere near: across its middle, as happens on crowded film
        const FilmMm middle = m_drawing.toFilm(centre(outline.ring));
        box = boxAt({middle.x - width / 2, middle.y - height / 2}, width, height);
    }
    take({box->x0 - 0.8, box->y0 - 0.8, box->x1 + 0.8, box->y1 + 0.8});
    return {box->x0, box->y0};
}

} // namespace inkpeg::demo
