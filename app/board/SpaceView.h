// SPDX-License-Identifier: GPL-3.0-or-later
// Plans at their levels and sections standing, seen from a place that is turned by mouse and keys. Drawn
// without perspective, so that lengths in one direction can be compared; the furthest faces first.
//
// Drag turns; middle drag, or Shift and drag, moves; the wheel zooms; arrow keys turn, with Shift they move;
// + and - zoom; 0 shows all; A looks from above.
#pragma once

#include <QImage>
#include <QWidget>

#include "core/handover/SpaceScene.h"

namespace inkpeg {

class WordRoom;

/// From where a scene is looked at. Angles in radians.
struct SpaceStance {
    double bearingRad = 0.6;   ///< the way one looks, clockwise from grid north
    double downwardRad = 0.45; ///< 0 = level, pi/2 = straight down
    double pxPerM = 50;
    double upScale = 1; ///< levels drawn so many times taller
    QPointF middle;     ///< offset of the scene's middle from that of the widget, in pixels
};

class SpaceView final : public QWidget {
    Q_OBJECT
public:
    explicit SpaceView(QWidget* parent = nullptr);

    void setScene(SpaceScene scene);
    const SpaceScene& scene() const { return m_scene; }
    const SpaceStance& stance() const { return m_stance; }

    void showAll();
    void lookFromAbove();
    /// Square on to a section; nothing happens if the scene has it not.
    void faceSection(const QString& drawing);
    void setUpScale(double factor);

    /// The picture as it is shown, at `factor` times the size, for saving.
    QImage picture(double factor = 2) const;

    /// Where a place is shown, in the widget.
    QPointF widgetOf(const SpacePoint& place) const;

    QSize sizeHint() const override { return {820, 600}; }

signals:
    void stanceChanged();

protected:
    void paintEvent(QPaintEvent*) override;
    void mousePressEvent(QMouseEvent*) override;
    void mouseMoveEvent(QMouseEvent*) override;
    void wheelEvent(QWheelEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    void resizeEvent(QResizeEvent*) override;

private:
    void paint(QPainter& painter) const;
    void paintTraces(QPainter& painter, WordRoom& room) const;
    void paintNorth(QPainter& painter) const;
    std::vector<const SpaceFace*> furthestFirst() const;
    void zoom(double factor, QPointF at);
    void turnBy(double bearingRad, double downwardRad);
    double depthOf(const SpacePoint& place) const; ///< greater = further away

    SpaceScene m_scene;
    SpaceStance m_stance;
    SpacePoint m_centre;
    QPointF m_last;
    bool m_untouched = true; ///< nobody has moved it yet: a new size shows all again
};

} // namespace inkpeg
