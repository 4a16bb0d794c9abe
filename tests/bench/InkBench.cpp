// SPDX-License-Identifier: GPL-3.0-or-later
// Prints how long the pencil takes to be followed at a move of the mouse, at 400 dpi and spans up to 80 mm,
// against a plain shortest path on the same costs: Dijkstra's method with the standard library's heap, over
// the box around both ends and the same room about it. In turn A B A B, processor time of this thread.
//   build/dev/tests/bench/inkpeg_ink_bench [pairs]
#include <algorithm>
#include <cstdio>
#include <ctime>
#include <limits>
#include <queue>
#include <random>

#include "core/base/Text.h"
#include "core/film/FilmInk.h"
#include "core/film/InkArea.h"
#include "core/film/InkPath.h"
#include "tests/core/film/DrawnFilm.h"

using namespace inkpeg;
using Mm = DrawnFilm::Mm;

namespace {

double processorMs()
{
    timespec spent{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &spent);
    return static_cast<double>(spent.tv_sec) * 1e3 + static_cast<double>(spent.tv_nsec) / 1e6;
}

double quantile(std::vector<double> values, double share)
{
    std::sort(values.begin(), values.end());
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

/// Cost of the cheapest way over the fine cells, as a textbook has it.
std::uint32_t plainShortest(const InkMap& map, ScanPx from, ScanPx to, double roomMm)
{
    const CostGrid& grid = map.fineCosts();
    const CellPoint a = map.toCell(from), b = map.toCell(to);
    const int room = static_cast<int>(roomMm / map.cellMm());
    const int left = std::max(0, static_cast<int>(std::min(a.column, b.column)) - room);
    const int top = std::max(0, static_cast<int>(std::min(a.row, b.row)) - room);
    const int width =
        std::min(grid.width, static_cast<int>(std::max(a.column, b.column)) + room + 1) - left;
    const int height = std::min(grid.height, static_cast<int>(std::max(a.row, b.row)) + room + 1) - top;
    const auto at = [&](int column, int row) {
        return static_cast<std::size_t>((row - top) * width + column - left);
    };
    std::vector<std::uint32_t> reached(static_cast<std::size_t>(width) * static_cast<std::size_t>(height),
                                       std::numeric_limits<std::uint32_t>::max());
    using Entry = std::pair<std::uint32_t, std::pair<int, int>>;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> waiting;
    const std::pair<int, int> goal = {static_cast<int>(b.column), static_cast<int>(b.row)};
    waiting.push({0, {static_cast<int>(a.column), static_cast<int>(a.row)}});
    reached[at(waiting.top().second.first, waiting.top().second.second)] = 0;
    while (!waiting.empty()) {
        const auto [cost, cell] = waiting.top();
        waiting.pop();
        if (cost > reached[at(cell.first, cell.second)])
            continue;
        if (cell == goal)
            return cost;
        constexpr int steps[8][3] = {{1, 0, 0},  {1, 1, 1},   {0, 1, 2},  {-1, 1, 3},
                                     {-1, 0, 0}, {-1, -1, 1}, {0, -1, 2}, {1, -1, 3}};
        for (const auto& [dx, dy, direction] : steps) {
            const int column = cell.first + dx, row = cell.second + dy;
            if (column < left || row < top || column >= left + width || row >= top + height)
                continue;
            const std::uint32_t next =
                cost + grid.at(cell.first, cell.second)[static_cast<std::size_t>(direction)] +
                grid.at(column, row)[static_cast<std::size_t>(direction)];
            if (next < reached[at(column, row)]) {
                reached[at(column, row)] = next;
                waiting.push({next, {column, row}});
            }
        }
    }
    return 0;
}

Mm wavy(double t)
{
    return {8 + 180 * t, 60 + 14 * std::sin(9 * t) + 2 * std::sin(60 * t)};
}
Mm ring(double t)
{
    const double a = 2 * std::numbers::pi * t;
    return {100 + 70 * std::cos(a) + 2 * std::sin(7 * a), 60 + 45 * std::sin(a)};
}

} // namespace

int main(int count, char** words)
{
    const int pairs = count > 1 ? std::max(20, static_cast<int>(parseWhole(words[1]).value_or(400))) : 400;
    DrawnFilm film(200, 120, 3);
    film.grid(28, 0.012);
    film.stroke(wavy, 0, 1, 0.35, 85);
    film.stroke(ring, 0, 1, 0.35, 70);
    double start = processorMs();
    InkMap map = InkMap::build(film.scanned(5), film.place(), DrawnFilm::Dpi).value();
    const double built = processorMs();
    InkNetwork network = InkNetwork::of(map);
    std::printf("200 by 120 mm at 400 dpi: map %.0f ms (the grid of one direction in another thread), "
                "network %.0f ms\n",
                built - start, processorMs() - built);
    const FilmInk ink{std::move(map), std::move(network)};

    std::mt19937 random(7);
    std::uniform_real_distribution<> share(0, 1);
    std::vector<double> ours, plain, spans, snaps;
    while (static_cast<int>(ours.size()) < pairs) {
        // From a place on a line to wherever the pointer happens to be, up to 80 mm off; on a line half the
        // time.
        const bool onRing = share(random) < 0.5;
        const Mm from = onRing ? ring(share(random)) : wavy(share(random));
        Mm to = share(random) < 0.5 ? ring(share(random)) : wavy(share(random));
        if (share(random) < 0.5)
            to = {to.x + 8 * (share(random) - 0.5), to.y + 8 * (share(random) - 0.5)};
        const double span = std::hypot(to.x - from.x, to.y - from.y);
        if (span < 5 || span > 80)
            continue;
        const ScanPx a = DrawnFilm::px(from), b = DrawnFilm::px(to);
        start = processorMs();
        const auto path = followInk(ink.map, a, b);
        ours.push_back(processorMs() - start);
        start = processorMs();
        const std::uint32_t cost = plainShortest(ink.map, a, b, std::min(12.0, 3 + 0.35 * span));
        plain.push_back(processorMs() - start);
        start = processorMs();
        const bool snapped =
            nearestJunction(ink, b, 2).has_value() || nearestInk(ink.map, b, 2).has_value();
        snaps.push_back(processorMs() - start);
        spans.push_back(span);
        if (!path || cost == 0)
            std::printf("no way found%s\n", snapped ? " to a line" : "");
    }
    std::printf("%d moves, spans 5 to 80 mm, median %.0f mm\n", pairs, quantile(spans, 0.5));
    for (const auto& [name, times] : {std::pair{"followed", &ours}, {"plain", &plain}, {"snap", &snaps}})
        std::printf("  %-9s median %7.2f  95 %% %7.2f  most %7.2f ms\n", name, quantile(*times, 0.5),
                    quantile(*times, 0.95), quantile(*times, 1.0));
    std::printf("  plain / followed: %.1f at the median, %.1f at 95 %%\n",
                quantile(plain, 0.5) / quantile(ours, 0.5), quantile(plain, 0.95) / quantile(ours, 0.95));
    std::vector<double> longest;
    for (std::size_t i = 0; i < ours.size(); ++i)
        if (spans[i] > 60)
            longest.push_back(ours[i]);
    if (!longest.empty())
        std::printf("  followed over 60 to 80 mm: 95 %% %.2f ms of %zu\n", quantile(longest, 0.95),
                    longest.size());
    start = processorMs();
    const auto area = encloseInk(ink.map, ink.network, DrawnFilm::px({100, 85}));
    std::printf("  outline around a place: %.2f ms%s\n", processorMs() - start, area ? "" : " FAILED");
    return 0;
}
