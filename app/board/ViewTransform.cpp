// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/ViewTransform.h"

#include <algorithm>

namespace inkpeg {

void ViewTransform::setScaleAt(QPointF widget, double scale)
{
    const QPointF held = toScene(widget);
    m_scale = std::clamp(scale, m_least, m_most);
    m_corner = held - widget / m_scale;
}

void ViewTransform::zoomAt(QPointF widget, double factor)
{
    setScaleAt(widget, m_scale * factor);
}

void ViewTransform::fit(QRectF scene, QSizeF widget, double marginPx)
{
    if (scene.isEmpty())
        return;
    const double width = std::max(widget.width() - 2 * marginPx, 16.0);
    const double height = std::max(widget.height() - 2 * marginPx, 16.0);
    m_scale = std::clamp(std::min(width / scene.width(), height / scene.height()), m_least, m_most);
    centreOn(scene.center(), widget);
}

void ViewTransform::setLimits(double least, double most)
{
    m_least = least;
    m_most = most;
    m_scale = std::clamp(m_scale, least, most);
}

} // namespace inkpeg
