// SPDX-License-Identifier: GPL-3.0-or-later
// What a piece of work costs: time, processor time, peak memory, all in this process.
#pragma once

#include <functional>

namespace inkpeg::bench {

struct Spent {
    double seconds = 1e9, processorSeconds = 1e9;
    double peakMiB = 0; ///< of the whole process while the work ran
    bool done = false;
};

/// Runs `work` once. The kernel's mark of the peak is reset before (Linux, proc(5), clear_refs), after what
/// earlier work has left in caches was given back.
Spent measured(const std::function<bool()>& work);

/// The least of the times, the most of the peaks.
void takeBest(Spent& best, const Spent& next);

} // namespace inkpeg::bench
