// SPDX-License-Identifier: GPL-3.0-or-later
// Outlines traced from a table of places: the clicks of an illustrator without the window, so that how well
// the ink is followed can be measured, and a chest of drawings traced at one go.
//
//   const auto seeds = readTraceSeeds("tracing/seeds.csv");
//   const auto ring = traceSeeds(ink, seeds->front());      // ink: FilmInk of the drawing's scan
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/film/FilmInk.h"
#include "core/film/InkArea.h"
#include "core/outline/Outline.h"

namespace inkpeg {

/// How the outline comes about at a place.
enum class SeedWay {
    Area,     ///< the closed pencil line around it
    Ink,      ///< from here the line follows the pencil to the next place
    Straight, ///< from here it goes straight to the next place
};

struct TraceSeed {
    ScanPx at;
    SeedWay way = SeedWay::Area;
    EdgeKind edge = EdgeKind::Certain; ///< of the edge from here on; of an area, of all its edges
    int wider = 0;                     ///< areas: so many times the next larger outline instead
    int line = 0;                      ///< of the file
};

/// The places of one outline: one area, or three and more around it in order.
struct SeededOutline {
    std::string drawing, context;
    std::vector<TraceSeed> seeds;
};

/// Reads seeds from CSV. Columns: drawing, context, way ("area", "ink", "straight"), column, row (pixels in
/// the scan); and, if there, edge (name of an edge kind), wider (whole number) and part (any text). Rows of
/// ways that follow one another with the same drawing, context and part make one outline, closed from the
/// last to the first.
/// Errors: as readCsvFile; BadInput naming file, line and column (a column is missing; a cell is empty, no
///         number or no name of its kind; ways with fewer than three places, or two if the pencil is followed).
Result<std::vector<SeededOutline>> readTraceSeeds(const std::filesystem::path& file);

struct TraceSettings {
    double gapMm = InkAreaSettings().gapMm;
    double toleranceMm = InkAreaSettings().toleranceMm;
    double reachMm = 0.6; ///< a place on a line is drawn to the middle of the pencil within this
};

struct TracedRing {
    Ring ring;
    std::vector<BridgedGap> gaps; ///< of an area
    double doubt = 0;             ///< of an area, see InkArea
    double inkShare = 1;          ///< of ways: share of the length that should follow the pencil and does
};

/// Errors: as outlinesAround and followInk, with the line of the seed; BadInput (an edge collapses).
Result<TracedRing> traceSeeds(const FilmInk& ink, const SeededOutline& outline,
                              const TraceSettings& settings = {});

} // namespace inkpeg
