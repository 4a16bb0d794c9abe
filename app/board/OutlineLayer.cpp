// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/OutlineLayer.h"

#include <algorithm>

#include "app/board/BoardPainting.h"

namespace inkpeg {
namespace {

/// Smaller than this on the screen, an outline is a dot.
constexpr double dotPx = 3;

const Outline* outlineOf(const BoardDrawing& drawing, std::int64_t id)
{
    const auto there = std::ranges::lower_bound(drawing.outlines, id, {}, &Outline::id);
    return there != drawing.outlines.end() && there->id == id ? &*there : nullptr;
}

bool isDot(const BoardPicture& picture, const Outline& outline)
{
    const ScanBox box = boxOf(outline.parts);
    const QPointF across =
        picture.at(ScanPx{box.left, box.top}) - picture.at(ScanPx{box.right, box.bottom});
    return std::max(std::abs(across.x()), std::abs(across.y())) < dotPx;
}

void paintAll(QPainter& painter, const BoardPicture& picture, const OutlineLayer::Look& look)
{
    const BoardDrawing& drawing = *picture.scene.drawing;
    const ScanBox everywhere{-1e12, -1e12, 1e12, 1e12};
    QPolygonF dots;
    for (const std::int64_t id : drawing.index->meeting(scanInView(picture).value_or(everywhere))) {
        const Outline* outline = outlineOf(drawing, id);
        if (!outline || std::ranges::count(look.leftOut, id) > 0)
            continue;
        const bool selected = id == look.selected;
        if (!selected && isDot(picture, *outline))
            dots << picture.at(outline->parts.front().outer.vertices.front());
        else
            paintOutline(painter, picture, *outline, {selected, selected || look.withVertices});
    }
    painter.setPen(QPen(picture.colours.outline, dotPx, Qt::SolidLine, Qt::RoundCap));
    painter.drawPoints(dots);
}

} // namespace

void OutlineLayer::paint(QPainter& painter, const BoardPicture& picture, std::uint64_t revision,
                         double devicePixelRatio, const Look& look)
{
    if (!picture.scene.drawing || !picture.scene.drawing->index)
        return;
    const Shown wanted{revision,
                       devicePixelRatio,
                       picture.widget.size(),
                       picture.view.toWidget({0, 0}),
                       picture.view.toWidget({1, 1}),
                       picture.frame.side() == BoardSide::Ground,
                       theme() == Theme::Dark,
                       look};
    if (!(wanted == m_shown) || m_picture.isNull()) {
        m_shown = wanted;
        m_picture = QPixmap((picture.widget.size() * devicePixelRatio).toSize());
        m_picture.setDevicePixelRatio(devicePixelRatio);
        m_picture.fill(Qt::transparent);
        QPainter layer(&m_picture);
        layer.setRenderHint(QPainter::Antialiasing);
        layer.setFont(picture.font);
        paintAll(layer, picture, look);
    }
    painter.drawPixmap(QPointF(0, 0), m_picture);
}

} // namespace inkpeg
