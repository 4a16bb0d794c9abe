// SPDX-License-Identifier: GPL-3.0-or-later
// Tests a supposed row or ring of posts: the best line or circle through them, with residuals and spacing.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/base/Units.h"

namespace inkpeg {

/// A post that is thought to belong to a row or ring. Metres.
struct AlignedPost {
    std::string name;
    GroundM position;
};

/// A post against the line or circle, in the order in which it comes along it.
struct PostPlace {
    std::string name;
    double alongM = 0;    ///< from the first post, along the line or round the arc
    double residualM = 0; ///< line: to the left of its direction positive; circle: outside positive
    double spacingM = 0;  ///< along, from the post before; 0 for the first
};

struct LineAlignment {
    GroundM centroid;
    double directionRad = 0; ///< clockwise from grid north, 0 to below pi
    std::vector<PostPlace> posts;
    double rmseM = 0;
    /// Of one post off the line: root of squares over n - 2. Two posts always make a line: none.
    std::optional<double> standardErrorM = {};
    double meanSpacingM = 0;
    std::optional<double> spacingDeviationM = {}; ///< standard deviation of two spacings or more
};

struct CircleAlignment {
    GroundM centre;
    double radiusM = 0;
    double coveredRad = 0; ///< of the arc the posts stand on: a turn less the widest gap between neighbours
    std::vector<PostPlace> posts;
    double rmseM = 0;
    std::optional<double> standardErrorM = {}; ///< root of squares over n - 3; none for three posts
    double meanSpacingM = 0;
    std::optional<double> spacingDeviationM = {};
};

/// The line with the least sum of squared distances at right angles to it.
/// Errors: Unsolvable: fewer than two posts, or no direction fits better than another.
/// Source: total least squares by singular values: Golub & Van Loan, Matrix Computations, 4th ed., 6.3.
Result<LineAlignment> alignOnLine(std::span<const AlignedPost> posts);

/// The circle with the least sum of squared distances from it.
/// Errors: Unsolvable: fewer than three posts, or posts on a straight line (names them).
/// Source: geometric fit by Gauss-Newton steps with damping, started from the algebraic fit: Gander,
///         Golub & Strebel, Least-squares fitting of circles and ellipses, BIT 34 (1994) (from memory).
Result<CircleAlignment> alignOnCircle(std::span<const AlignedPost> posts);

/// "line at 83.00 degrees from grid north; RMSE 14.3 mm; standard error 18.5 mm; spacing 0.824 m,
/// deviation 25 mm"; of two posts "line at 83.00 degrees from grid north; nothing was checked: two posts
/// always make a line; spacing 0.824 m".
std::string alignmentInWords(const LineAlignment& line);
/// "arc of radius 1.500 m about E 501032.500 N 6003021.000, 290 degrees of it; RMSE ...".
std::string alignmentInWords(const CircleAlignment& circle);

} // namespace inkpeg
