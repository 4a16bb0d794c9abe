// SPDX-License-Identifier: GPL-3.0-or-later
// Lengths, areas and differences of level taken from a drawing, each with its standard error.
//
// A measured figure f depends on the coefficients of the fit, which its places share, and on the pointing
// at each place, which they do not: var f = g' C g + sum of |df/dP J|^2 s^2, with g the derivative of f by
// the coefficients, C their covariance, J the fit's derivative by the film position, s the pointing and
// pixel error on the film. What all pegs have in common (the error of the stations) moves everything alike
// and cancels. Source: propagation of covariance, Ghilani, Adjustment Computations, ch. 6.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "core/outline/Outline.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

/// A figure and its standard error, one sigma; in metres or square metres.
struct Measured {
    double value = 0;
    double standardError = 0;

    /// "3.214 ± 0.012": to the digits that the error leaves.
    std::string inWords() const;
};

/// Length of a line. Shape: two vertices or more, else 0.
Measured measuredLength(const DrawingGround& ground, std::span<const ScanPx> line, double tracingErrorMm);

/// Area of a closed line, its first vertex not repeated; crossings are not looked for.
Measured measuredArea(const DrawingGround& ground, std::span<const ScanPx> ring, double tracingErrorMm);

/// From the first place to the second, up positive, on a section, elevation or profile. Nothing on a plan.
std::optional<Measured> measuredRise(const DrawingGround& ground, ScanPx from, ScanPx to,
                                     double tracingErrorMm);

/// A level read with staff and level and written on a drawing: one sigma (common practice, no source).
inline constexpr double SpotLevelErrorM = 0.005;

/// From one written level to another.
Measured riseBetweenLevels(double fromM, double toM);

/// What the card says of an outline.
struct OutlineFigures {
    Measured areaM2;        ///< outer rings less holes
    Measured perimeterM;    ///< outer rings and holes
    Measured centroidEast;  ///< of the area; along the line of an upright drawing
    Measured centroidNorth; ///< the level of an upright drawing
};
/// `pegErrorM`: what all pegs have in common (PositionError::pegM), which moves the centroid and nothing else.
OutlineFigures outlineFigures(const DrawingGround& ground, std::span<const Part> parts,
                              double tracingErrorMm, double pegErrorM);

} // namespace inkpeg
