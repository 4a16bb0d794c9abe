// SPDX-License-Identifier: GPL-3.0-or-later
// Traces the demo's drawings from the clicks of its seed file and holds the outlines against the truth
// files.
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
    bool closed = false;   ///< pencil all round: no edge beyond the sheet or at the limit of excavation
    bool oneClick = false; ///< a click inside it, without asking for a wider outline
    bool found = false;
    bool goodByKey = false; ///< or else one of the next three smaller outlines is good
    Misfit misfit;
    std::size_t vertices = 0, gaps = 0;
    std::size_t pointByPoint = 0; ///< clicksPointByPoint of its truth
    double areaMm2 = 0, doubt = 0;
    std::string trouble;

    bool good() const { return found && misfit.meanMm <= 0.15 && misfit.ninetyFiveMm <= 0.35; }
};

/// The fewest vertices of `truth` that, joined straight, still lie as near to it as traced outlines must
/// (mean 0.15 mm, 95 % 0.35 mm): clicks of a hand that never misses.
std::size_t clicksPointByPoint(const std::vector<ScanPx>& truth, double pxPerMm);

/// Ways led along the pencil between two places on an outline 60 mm apart, where it does not turn sharply
/// between them and is at least 180 mm round.
struct TracedPath {
    std::string context;
    double within = 0; ///< share of its length within 0.4 mm of the truth
    bool good() const { return within >= 0.95; }
};

struct TracedDrawing {
    std::vector<TracedOutline> outlines; ///< each that tracing/areas.csv has a place in
    std::vector<TracedPath> paths;       ///< along every drawn edge, end to end
};

/// Traces a drawing of the demo in `folder`. Throws std::runtime_error when a file is missing.
TracedDrawing traceDrawing(const std::filesystem::path& folder, const std::string& drawing);

/// What a number of drawings come to.
struct Tally {
    int closed = 0, good = 0;       ///< closed outlines with one click
    int wider = 0, widerGood = 0;   ///< closed outlines covered by others: a click and a key
    int limits = 0, limitsGood = 0; ///< with an edge at the limit of excavation, one click
    int limitsByKey = 0;            ///< of these, with the key to the next smaller as well
    int paths = 0, pathsGood = 0;
    double meanMm = 0, worst95Mm = 0;         ///< of the good closed ones
    std::size_t clicks = 0, pointByPoint = 0; ///< of the good closed ones; a click and one to take it
    void add(const TracedDrawing& drawing);
    std::string line(const std::string& name) const; ///< a row of the table in docs/tracing.md
    static std::string header();
};

} // namespace inkpeg::quality
