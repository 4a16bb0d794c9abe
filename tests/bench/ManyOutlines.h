// SPDX-License-Identifier: GPL-3.0-or-later
// Outlines by the hundred thousand, and what is measured on them.
#pragma once

#include <functional>
#include <vector>

#include "core/records/Records.h"

namespace inkpeg::bench {

inline constexpr double widthPx = 24000, heightPx = 16000;

/// Outlines of 20 vertices by chance, with ids from `firstId`.
std::vector<Outline> manyOutlines(int count, std::int64_t drawing, std::int64_t firstId);
std::vector<ScanPx> somePlaces(int count);

/// Processor time of this thread.
double threadMs();

struct Spent {
    double medianMs = 0, ninetyFiveMs = 0;
    auto operator<=>(const Spent&) const = default;
};

/// Processor time of one call.
Spent spentOn(int calls, const std::function<void(int)>& call);

/// Acts on a project through the window's session.
void benchActs(int count);

} // namespace inkpeg::bench
