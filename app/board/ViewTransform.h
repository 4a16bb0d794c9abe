// SPDX-License-Identifier: GPL-3.0-or-later
// Where the board's scene lies on the screen: a scale and an offset, changed by panning and zooming.
#pragma once

#include <QPointF>
#include <QRectF>
#include <QSizeF>

namespace inkpeg {

/// Scene units are millimetres on film or metres on the ground, y downwards; widget units are logical
/// pixels.
class ViewTransform {
public:
    double scale() const { return m_scale; } ///< widget pixels for a scene unit
    QPointF toWidget(QPointF scene) const { return (scene - m_corner) * m_scale; }
    QPointF toScene(QPointF widget) const { return widget / m_scale + m_corner; }
    QRectF sceneRect(QSizeF widget) const { return {m_corner, widget / m_scale}; }

    void panBy(QPointF widgetDelta) { m_corner -= widgetDelta / m_scale; }

    /// Multiplies the scale, keeping the scene point under `widget` where it is. Kept within the limits.
    void zoomAt(QPointF widget, double factor);
    void setScaleAt(QPointF widget, double scale);

    /// Shows all of `scene`, centred, with a margin in widget pixels.
    void fit(QRectF scene, QSizeF widget, double marginPx = 24);

    /// Puts a scene point in the middle of the widget.
    void centreOn(QPointF scene, QSizeF widget)
    {
        m_corner = scene - QPointF(widget.width(), widget.height()) / (2 * m_scale);
    }

    void setLimits(double least, double most);

    bool operator==(const ViewTransform&) const = default;

private:
    double m_scale = 1;
    QPointF m_corner; ///< scene point at the widget's upper left corner
    double m_least = 1e-6, m_most = 1e6;
};

} // namespace inkpeg
