// SPDX-License-Identifier: GPL-3.0-or-later
// Areas and lengths of rings.
#pragma once

#include <span>

#include "core/base/Units.h"
#include "core/outline/Outline.h"

namespace inkpeg {

/// Area of a ring by coordinates, in square metres: positive when it runs counter-clockwise (east right,
/// north up). Shape:  the first vertex is not repeated; fewer than three vertices have no area. Source: the
/// area by coordinates of surveying, reckoned from the first vertex so that large coordinates cost no
///         digits (J. Mahun, Open Access Surveying Library, Traverse Computations, ch. G).
double signedAreaM2(std::span<const GroundM> ring);

/// The same in square pixels; positive when it runs counter-clockwise on the screen (row runs down).
double signedAreaPx2(std::span<const ScanPx> ring);

/// Outer rings less their holes, in square pixels.
double areaPx2(std::span<const Part> parts);

/// True if `position` lies inside: within an outer ring and in none of its holes (even-odd rule).
bool contains(std::span<const Part> parts, ScanPx position);

} // namespace inkpeg
