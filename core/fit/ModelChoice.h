// SPDX-License-Identifier: GPL-3.0-or-later
// Compares every model that the pins allow, and recommends the simplest that is not significantly worse.
//
//   const ModelComparison comparison = compareModels(pins, settings, drawingOutline);
//   comparison.recommended, comparison.reason    // "affine: the film is stretched ..."
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/fit/ControlFit.h"

namespace inkpeg {

/// How far a fitted map is from one that keeps shapes, over the drawing.
struct Distortion {
    /// Along the principal axes, against the stated scale, in millionths: the largest.
    double largestScalePpm = 0;
    double smallestScalePpm = 0; ///< and the smallest met on the drawing
    double skewPpm = 0; ///< departure of the angle between the film's axes from a right angle, at most
    double awayMm = 0;  ///< largest distance on the film from the best similarity to the same map
};

/// Weighted square sums of two models against each other.
struct FTest {
    Model simpler = Model::Similarity;
    double value = 0;
    double chance = 1; ///< probability of a value so large if the simpler model were true
};

struct ModelAssessment {
    Model model = Model::Similarity;
    std::optional<ControlFit> fit;           ///< nothing when the pins do not allow it
    std::string whyNot;                      ///< then: the message of the fit
    std::optional<double> predictionErrorM;  ///< root mean square of each pin predicted by the others
    std::optional<double> predictionErrorMm; ///< the same on the film
    std::optional<FTest> test;               ///< against the next simpler model that is a case of this one
    Distortion distortion;
};

struct ModelComparison {
    std::vector<ModelAssessment> models; ///< all six, from simple to supple
    double extrapolationShare = 0;       ///< part of the drawing outside the hull of its pins, 0 to 1
    std::optional<Model> recommended;    ///< nothing when no model can be fitted
    std::string reason;                  ///< one sentence
};

/// Significance at which a richer model counts as better.
inline constexpr double ModelChoiceSignificance = 0.01;

/// `drawing` is the drawing's outline on the film (mm, open ring); fewer than three corners = the box of
/// the pins. A richer model is preferred when the F test against the simpler one is significant at 0.01 and
/// it also predicts left-out pins better. For the spline, whose parameters are effective ones, the test is
/// approximate.
/// Source: Draper & Smith, Applied Regression Analysis, 3rd ed., ch. 6 (extra sum of squares) and 8 (prediction
///         residuals).
ModelComparison compareModels(std::span<const ControlPoint> pins, const FitSettings& settings,
                              std::span<const FilmMm> drawing);

/// Over a lattice of points of the outline's box.
Distortion distortionOver(const GroundTransform& transform, double scaleDenominator,
                          std::span<const FilmMm> drawing);

/// Part of `drawing`'s area outside the convex hull of `pins`, 0 to 1; 1 for fewer than three pins.
double extrapolationShare(std::span<const FilmMm> pins, std::span<const FilmMm> drawing);

} // namespace inkpeg
