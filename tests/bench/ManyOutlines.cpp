// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/bench/ManyOutlines.h"

#include <algorithm>
#include <cmath>
#include <ctime>
#include <random>

namespace inkpeg::bench {

std::vector<Outline> manyOutlines(int count, std::int64_t drawing, std::int64_t firstId)
{
    std::mt19937 random(static_cast<unsigned>(6 + drawing));
    std::uniform_real_distribution<double> column(0, widthPx), row(0, heightPx), size(10, 60),
        share(0.7, 1);
    std::vector<Outline> all;
    for (int i = 0; i < count; ++i) {
        const ScanPx middle{column(random), row(random)};
        const double far = size(random);
        Ring ring;
        for (int k = 0; k < 20; ++k) {
            const double turn = 6.283185307179586 * k / 20, out = far * share(random);
            ring.vertices.push_back(
                onLattice({middle.column + out * std::cos(turn), middle.row + out * std::sin(turn)}));
            ring.kinds.push_back(static_cast<EdgeKind>(k / 4 % 5));
        }
        Outline outline;
        outline.id = firstId + i;
        outline.drawing = drawing;
        outline.context = std::to_string(1000 * drawing + i);
        outline.parts = {{ring, {}}};
        all.push_back(std::move(outline));
    }
    return all;
}

std::vector<ScanPx> somePlaces(int count)
{
    std::mt19937 random(11);
    std::uniform_real_distribution<double> column(0, widthPx), row(0, heightPx);
    std::vector<ScanPx> places;
    for (int i = 0; i < count; ++i)
        places.push_back({column(random), row(random)});
    return places;
}

double threadMs()
{
    timespec time{};
    ::clock_gettime(CLOCK_THREAD_CPUTIME_ID, &time);
    return static_cast<double>(time.tv_sec) * 1000 + static_cast<double>(time.tv_nsec) * 1e-6;
}

Spent spentOn(int calls, const std::function<void(int)>& call)
{
    std::vector<double> spent;
    for (int i = 0; i < calls; ++i) {
        const double before = threadMs();
        call(i);
        spent.push_back(threadMs() - before);
    }
    std::ranges::sort(spent);
    return {spent[spent.size() / 2], spent[spent.size() * 95 / 100]};
}

} // namespace inkpeg::bench
