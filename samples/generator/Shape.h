// SPDX-License-Identifier: GPL-3.0-or-later
// Shapes of archaeological features, in metres of the drawing they belong to.
#pragma once

#include <string>
#include <vector>

#include "samples/generator/Dice.h"

namespace inkpeg::demo {

/// A place on a drawing in real size. Plans: site grid east (x) and north (y). Upright drawings: distance
/// along the line (x) and level (y).
struct Metres {
    double x = 0, y = 0;
};
using Path = std::vector<Metres>; ///< a ring is a path whose last point is not the first again

struct Window {
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0;
};

double distance(Metres a, Metres b);

/// An uneven round: harmonics of decreasing size, `roughness` as a share of the radius; turned by
/// `turnDegrees` counter-clockwise.
Path round(Metres centre, double radiusX, double radiusY, double turnDegrees, double roughness, Dice& dice);

/// A smooth ring (Catmull-Rom) through `corners`, every `stepM`, with a slight wobble of the hand.
Path softRing(const Path& corners, double stepM, double wobbleM, Dice& dice);

/// The same for an open line.
Path softLine(const Path& corners, double stepM, double wobbleM, Dice& dice);

/// A straight-sided ring, with points every `stepM` and a slight wobble.
Path hardRing(const Path& corners, double stepM, double wobbleM, Dice& dice);

/// The ring drawn inwards by `byM` (GEOS buffer through OGR).
Path drawnIn(const Path& ring, double byM);

/// What of `ring` lies within the window, within `other`, or outside `other`; the largest piece if there
/// are several.
Path within(const Path& ring, const Window& window);
Path inCommon(const Path& ring, const Path& other);
Path without(const Path& ring, const Path& other);

bool contains(const Path& ring, Metres place);
double distanceToEdge(const Path& ring, Metres place);
double area(const Path& ring);
Metres centre(const Path& ring);

/// Places where the ring crosses the straight line from a to b, as shares of the way from a to b, in order.
std::vector<double> crossings(const Path& ring, Metres a, Metres b);

} // namespace inkpeg::demo
