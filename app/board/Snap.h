// SPDX-License-Identifier: GPL-3.0-or-later
// Where a vertex goes for a pointer: onto what is drawn already, or where the pointer is.
#pragma once

#include <optional>

#include "app/board/BoardTool.h"
#include "core/outline/RunEdit.h"

namespace inkpeg {

class Board;
struct BoardPicture;

inline constexpr double vertexReachPx = 10; ///< on the screen
inline constexpr double edgeReachPx = 7;

struct Snap {
    ScanPx at;
    enum class To { Nothing, Start, Junction, Vertex, Edge, Line, InkJunction, Ink } to = To::Nothing;
    ScanPx edgeFrom{}, edgeTo{}; ///< of To::Edge
};

/// What the pointer takes to. Held down, Alt takes it exactly where it is.
/// `start` is the first vertex of a ring in hand, `leaveOut` a vertex that is being dragged.
Snap snapFor(const Board& board, const BoardPointer& pointer, std::optional<ScanPx> start = std::nullopt,
             std::optional<ScanPx> leaveOut = std::nullopt);

/// How far so many pixels of the screen reach in the scan, near the pointer; 0 where that is unknown.
double scanReach(const Board& board, const BoardPointer& pointer, double widgetPx);

/// The stretch from `a` to `b` along an outline, a limit of excavation or a drawn line on which both lie;
/// the shortest of all.
std::optional<Course> stretchBetween(const Board& board, ScanPx a, ScanPx b);

/// The snap's shape and name: a ring is a vertex, a ring with a dot a junction, a lying cross an edge, a
/// standing cross a limit of excavation or other line, a square the start; a diamond is a junction of pencil
/// lines, a small standing cross the middle of one.
void paintSnap(QPainter& painter, const BoardPicture& picture, const Snap& snap);

} // namespace inkpeg
