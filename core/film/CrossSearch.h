// SPDX-License-Identifier: GPL-3.0-or-later
// How Crosses.cpp looks for a cross: a coarse search for places with four dark arms, then lines fitted to
// its strokes.
#pragma once

#include <cmath>
#include <optional>
#include <vector>

#include "core/film/Scan.h"

namespace inkpeg::crosses {

inline constexpr double Pi = 3.14159265358979323846;

// What a drawn cross looks like, in mm on the film (common practice, no source).
inline constexpr double ArmFromMm = 0.6, ArmToMm = 2.2; // where every arm must be drawn
inline constexpr double FitToMm = 4.0;                  // how far out slices are taken
inline constexpr double BeyondFromMm = 5.2, BeyondToMm = 7.5;

inline constexpr double LeastDarkness = 9; // grey levels; fainter than any pencil that a person would see

struct Vector {
    double x = 0, y = 0;
};

inline Vector turnedBy(double angleRad)
{
    return {std::cos(angleRad), std::sin(angleRad)};
}

/// A window in cells of about 0.12 mm.
struct Coarse {
    GreyImage image;
    int step = 1; ///< pixels a cell
    double cellsPerMm = 1;

    Coarse(const GreyImage& window, double dpi);
};

struct Candidate {
    Vector centre; ///< in coarse cells
    double angleRad = 0;
    double darkness = 0; ///< of the weakest arm
};

struct Angles {
    double from = -Pi / 4, to = Pi / 4;
};

/// Places where the weakest arm is dark at some angle, the best first; places further from `near` count a
/// little less. Lettering and outlines that touch a cross make false places beside it: several are handed
/// on.
std::vector<Candidate> candidatesAround(const Coarse& coarse, Vector near, double radius, Angles angles);

/// The share of the arms' darkness that goes on behind their ends: on the line where that is least.
double shareRunningOn(const Coarse& coarse, const Candidate& candidate);

/// A fitted line: across = offset + slope * along.
struct Stroke {
    double offset = 0, slope = 0;
    double offsetVariance = 0;
    double widthPx = 0;
    double shareBefore = 0, shareBehind = 0; ///< slices that fit, on either side of the centre
};

struct FittedCross {
    Vector centre; ///< in pixels of the window
    double angleRad = 0;
    Stroke flat, steep;
    double squareness = 0; ///< radians off a right angle
};

/// Fits both strokes from a first guess, then again from the answer, whose slices are the better ones.
std::optional<FittedCross> fitCross(const GreyImage& window, Vector centre, double angleRad,
                                    double pixelsPerMm);

} // namespace inkpeg::crosses
