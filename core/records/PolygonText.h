// SPDX-License-Identifier: GPL-3.0-or-later
// A polygon of one ring as well-known text, as registers write it.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/base/Result.h"
#include "core/records/Row.h"

namespace inkpeg {

/// The ring of "POLYGON ((x y, x y, ...))" without the closing vertex.
/// Errors: BadInput: not such a text, more than one ring, not closed, fewer than three corners, no area.
/// Source: OGC 06-103r4, 7.2 (well-known text).
Result<std::vector<Coordinate>> parsePolygonText(std::string_view text);

/// The same written; empty for no corners.
std::string polygonText(const std::vector<Coordinate>& corners);

} // namespace inkpeg
