// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/bench/Measured.h"

#include <algorithm>
#include <chrono>
#include <fstream>
#include <string>

#include <malloc.h>
#include <sys/resource.h>

#include <gdal.h>

namespace inkpeg::bench {
namespace {

double now()
{
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

double processorNow()
{
    rusage usage{};
    ::getrusage(RUSAGE_SELF, &usage);
    const auto seconds = [](const timeval& t) { return double(t.tv_sec) + double(t.tv_usec) / 1e6; };
    return seconds(usage.ru_utime) + seconds(usage.ru_stime);
}

double peakMiB()
{
    std::ifstream status("/proc/self/status");
    for (std::string line; std::getline(status, line);)
        if (line.starts_with("VmHWM:"))
            return std::stod(line.substr(6)) / 1024;
    return 0;
}

} // namespace

Spent measured(const std::function<bool()>& work)
{
    while (GDALFlushCacheBlock()) {
    }
    ::malloc_trim(0);
    std::ofstream("/proc/self/clear_refs") << "5";
    const double start = now(), processorStart = processorNow();
    Spent spent;
    spent.done = work();
    spent.seconds = now() - start;
    spent.processorSeconds = processorNow() - processorStart;
    spent.peakMiB = peakMiB();
    return spent;
}

void takeBest(Spent& best, const Spent& next)
{
    best.done = best.peakMiB == 0 ? next.done : best.done && next.done;
    best.seconds = std::min(best.seconds, next.seconds);
    best.processorSeconds = std::min(best.processorSeconds, next.processorSeconds);
    best.peakMiB = std::max(best.peakMiB, next.peakMiB);
}

} // namespace inkpeg::bench
