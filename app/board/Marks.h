// SPDX-License-Identifier: GPL-3.0-or-later
// Levels, points and lines of a drawing as things that can be pointed at.
#pragma once

#include <cstdint>
#include <optional>

#include "app/board/BoardScene.h"

namespace inkpeg {

/// A mark under the pointer, and the vertex of it that is meant.
struct MarkHit {
    enum class What { Level, Point, Line } what = What::Level;
    std::int64_t id = 0;
    ScanPx at;
    double distancePx = 0; ///< in the scan
};

/// The nearest mark, or vertex of a line, within reach.
std::optional<MarkHit> markAt(const BoardDrawing& drawing, ScanPx position, double reachPx);

} // namespace inkpeg
