// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/LinePattern.h"

#include <cmath>

namespace inkpeg {
namespace {

FilmMm between(FilmMm a, FilmMm b, double share)
{
    return {a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
}

/// Goes along a line and is told, edge by edge, how far it has come.
template<typename Visit>
void alongEdges(std::span<const FilmMm> vertices, bool closed, Visit visit)
{
    double at = 0;
    const std::size_t edges = vertices.size() - (closed ? 0 : 1);
    for (std::size_t i = 0; i < edges; ++i) {
        const FilmMm a = vertices[i], b = vertices[(i + 1) % vertices.size()];
        const double length = distance(a, b);
        if (length > 0)
            visit(a, b, at, length);
        at += length;
    }
}

void layTicks(std::span<const FilmMm> vertices, bool closed, const LinePattern& pattern,
              PatternStrokes& laid)
{
    double next = pattern.tickEveryMm / 2;
    alongEdges(vertices, closed, [&](FilmMm a, FilmMm b, double at, double length) {
        const double halfX = -(b.y - a.y) / length * pattern.tickLengthMm / 2;
        const double halfY = (b.x - a.x) / length * pattern.tickLengthMm / 2;
        for (; next <= at + length; next += pattern.tickEveryMm) {
            const FilmMm foot = between(a, b, (next - at) / length);
            laid.ticks.push_back({{foot.x - halfX, foot.y - halfY}, {foot.x + halfX, foot.y + halfY}});
        }
    });
}

void layDashes(std::span<const FilmMm> vertices, bool closed, const LinePattern& pattern,
               PatternStrokes& laid)
{
    std::size_t dash = 0;
    double until = pattern.dashesMm.front(); // where the dash or gap in hand ends
    bool drawn = true;
    PaperLine line{vertices.front()};
    alongEdges(vertices, closed, [&](FilmMm a, FilmMm b, double at, double length) {
        while (until < at + length) {
            const FilmMm turn = between(a, b, (until - at) / length);
            if (drawn) {
                line.push_back(turn);
                laid.lines.push_back(std::move(line));
            }
            drawn = !drawn;
            line = {turn};
            dash = (dash + 1) % pattern.dashesMm.size();
            until += pattern.dashesMm[dash];
        }
        line.push_back(b);
    });
    constexpr double nothingMm = 1e-9; // a dash that rounding begins just before the end
    if (drawn && line.size() > 1 && distance(line.front(), line.back()) > nothingMm)
        laid.lines.push_back(std::move(line));
}

} // namespace

LinePattern patternOf(EdgeKind kind)
{
    switch (kind) {
    case EdgeKind::Certain:
        return {};
    case EdgeKind::Uncertain:
        return {{2.0, 1.2}, 0, 0};
    case EdgeKind::Truncated:
        return {{2.8, 1.0, 0.4, 1.0}, 0, 0};
    case EdgeKind::LimitOfExcavation:
        return {{4.2, 1.0}, 5.2, 2.4};
    case EdgeKind::BeyondTheSheet:
        return {{0.4, 1.1}, 0, 0};
    }
    return {};
}

PatternStrokes layPattern(std::span<const FilmMm> vertices, bool closed, const LinePattern& pattern)
{
    PatternStrokes laid;
    if (vertices.size() < 2)
        return laid;
    if (pattern.tickEveryMm > 0)
        layTicks(vertices, closed, pattern, laid);
    if (!pattern.dashesMm.empty()) {
        layDashes(vertices, closed, pattern, laid);
        return laid;
    }
    laid.lines.emplace_back(vertices.begin(), vertices.end());
    if (closed)
        laid.lines.back().push_back(vertices.front());
    return laid;
}

std::vector<KindStretch> kindStretches(std::span<const EdgeKind> kinds)
{
    const std::size_t count = kinds.size();
    std::size_t start = 0;
    while (start < count && kinds[start] == kinds[(start + count - 1) % count])
        ++start;
    if (count == 0)
        return {};
    if (start == count) {
        KindStretch whole{kinds.front(), {}, true};
        for (std::size_t i = 0; i < count; ++i)
            whole.vertices.push_back(i);
        return {whole};
    }
    std::vector<KindStretch> stretches;
    for (std::size_t step = 0; step < count; ++step) {
        const std::size_t i = (start + step) % count;
        if (stretches.empty() || stretches.back().kind != kinds[i])
            stretches.push_back({kinds[i], {i}, false});
        stretches.back().vertices.push_back((i + 1) % count);
    }
    return stretches;
}

} // namespace inkpeg
