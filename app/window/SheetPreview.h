// SPDX-License-Identifier: GPL-3.0-or-later
// A whole sheet, stood upright, with the drawing's part of it; a rectangle dragged over it is a new part.
#pragma once

#include <vector>

#include <QImage>
#include <QWidget>

#include "core/base/Units.h"

namespace inkpeg {

class SheetPreview final : public QWidget {
    Q_OBJECT
public:
    explicit SheetPreview(QWidget* parent = nullptr);

    /// `picture` shows all of a scan of widthPx x heightPx pixels, whose lines run at `turnRad` (on screen
    /// clockwise); `mirrored` for film that lay face down.
    void setSheet(const QImage& picture, double widthPx, double heightPx, double turnRad, bool mirrored);
    /// The drawing's part, in pixels of the scan; empty = all of it.
    void setFrame(const std::vector<ScanPx>& frame);
    const std::vector<ScanPx>& frame() const { return m_frame; }

    QPointF widgetOfScan(ScanPx at) const;
    ScanPx scanOfWidget(QPointF at) const;

    QSize sizeHint() const override { return {640, 460}; }

signals:
    void frameDrawn(const std::vector<ScanPx>& frame);

protected:
    void paintEvent(QPaintEvent*) override;
    void mousePressEvent(QMouseEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void mouseReleaseEvent(QMouseEvent* event) override;

private:
    double scale() const;

    QImage m_picture;
    double m_widthPx = 1, m_heightPx = 1, m_turnRad = 0;
    bool m_mirrored = false;
    std::vector<ScanPx> m_frame;
    std::optional<QPointF> m_from;
    QPointF m_to;
};

} // namespace inkpeg
