// SPDX-License-Identifier: GPL-3.0-or-later
// Traces the demo's drawings from the clicks of its seed file and holds the outlines against the truth files.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/base/Units.h"

namespace inkpeg::quality {

/// Mean and 95 % point of distances on the film, the worse of traced to truth and truth to traced.
struct Misfit {
    double meanMm = 0, ninetyFiveMm = 0;
};
Misfit misfitBetween(const std::vector<ScanPx>& traced, const std::vector<ScanPx>& truth, double pxPerMm);

struct TracedOutline {
    std::string drawing, context, kind;
    bool closed = false;     ///< pencil all round: no edge beyond the sheet or at the limit of excavation
    bool oneClick = false;   ///< a click inside it, without asking for a wider outline
    bool found = false;
    Misfit misfit;
    std::size_t vertices = 0, gaps = 0;
    double areaMm2 = 0, doubt = 0;
    std::string trouble;

    bool good() const { return found && misfit.meanMm <= 0.15 && misfit.ninetyFiveMm <= 0.35; }
};

/// Every outline of a drawing of the demo in `folder` that its seed file encloses by a click.
std::vector<TracedOutline> traceAreas(const std::filesystem::path& folder, const std::string& drawing);

} // namespace inkpeg::quality
