// SPDX-License-Identifier: GPL-3.0-or-later
// Quantiles and tail probabilities that the tests of a fit need. Computed by Boost.Math.
#pragma once

namespace inkpeg {

/// x with P(X <= x) = probability, 0 < probability < 1.
double normalQuantile(double probability);
double studentQuantile(double probability, double degreesOfFreedom);
double chiSquareQuantile(double probability, double degreesOfFreedom);
double fisherQuantile(double probability, double numeratorDegrees, double denominatorDegrees);

/// P(X > x), 1 for x <= 0.
double chiSquareTail(double x, double degreesOfFreedom);
double fisherTail(double x, double numeratorDegrees, double denominatorDegrees);

/// Critical value of the two-sided tau test at significance `alpha`, for `redundancy` >= 1: what a residual
/// over its own estimated standard error may reach when the variance factor is estimated from the same
/// residuals. Source: Pope, The Statistics of Residuals and the Detection of Outliers, NOAA TR NOS 65 NGS
/// 1, 1976.
double tauQuantile(double alpha, int redundancy);

} // namespace inkpeg
