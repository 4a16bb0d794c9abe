// SPDX-License-Identifier: GPL-3.0-or-later
// A point against rings: which side, how far, and how probably within, given standard errors.
#pragma once

#include <span>
#include <vector>

#include "core/base/Units.h"
#include "core/checks/ProjectRecords.h"

namespace inkpeg {

/// Sign of the turn a -> b -> c: +1 to the left, -1 to the right, 0 on one line. Computed with twice the
/// digits of a double where the plain result is in doubt. Source: Shewchuk, Adaptive precision
/// floating-point arithmetic, Discrete Comput. Geom. 18 (1997), error bound
///         of orient2d; double-double arithmetic after Dekker, Numer. Math. 18 (1971).
int turn(GroundM a, GroundM b, GroundM c);

enum class Side { Inside, OnEdge, Outside };

/// Where `point` lies; holes count as outside, their rings as edge. By counting crossings of a ray to the
/// east.
Side sideOf(GroundM point, std::span<const GroundM> ring);
Side sideOf(GroundM point, const PartOnGround& part);

/// Distance to the nearest edge of a ring or part, in metres (also for points inside). Infinite for an
/// empty ring.
double distanceToEdge(GroundM point, std::span<const GroundM> ring);
double distanceToEdge(GroundM point, const PartOnGround& part);

/// Convex hull, counter-clockwise, without points in mid-edge (monotone chain; Andrew, Inf. Process. Lett.
/// 9 (1979)).
RingOnGround convexHull(std::vector<GroundM> points);

/// Distance from `point` to a convex hull as convexHull gives it, 0 within it; also for hulls of 1 or 2
/// points.
double distanceBeyond(GroundM point, std::span<const GroundM> hull);

/// Probability that a normally distributed place with mean `point` lies within the parts, which must not
/// overlap.
///
/// Integrated exactly along the edges: in coordinates in which the covariance is the unit matrix, the share
/// of each triangle (point, edge) is its angle at the point / 2 pi less a difference of Owen's T functions.
/// Units:  metres; covariance in square metres. A covariance of zero gives 1 inside, 0.5 on an edge, 0
/// outside. Accuracy: 1e-9 absolute for outlines of up to 1000 vertices. Source: Owen, Tables for computing
/// bivariate normal probabilities, Ann. Math. Statist. 27 (1956), 1075-1090.
double probabilityWithin(std::span<const PartOnGround> parts, GroundM point,
                         const GroundCovariance& covariance);

} // namespace inkpeg
