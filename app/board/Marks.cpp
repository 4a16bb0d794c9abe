// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/Marks.h"

namespace inkpeg {

std::optional<MarkHit> markAt(const BoardDrawing& drawing, ScanPx position, double reachPx)
{
    std::optional<MarkHit> nearest;
    const auto take = [&](MarkHit::What what, std::int64_t id, ScanPx at) {
        const double away = distance(at, position);
        if (away <= reachPx && (!nearest || away < nearest->distancePx))
            nearest = MarkHit{what, id, at, away};
    };
    for (const SpotLevel& level : drawing.levels)
        take(MarkHit::What::Level, level.id, level.mark);
    for (const DrawnPoint& point : drawing.points)
        take(MarkHit::What::Point, point.id, point.mark);
    for (const EdgeLine& line : drawing.lines)
        for (const ScanPx& vertex : line.vertices)
            take(MarkHit::What::Line, line.id, vertex);
    return nearest;
}

} // namespace inkpeg
