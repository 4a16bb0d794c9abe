// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/SheetPreview.h"

#include <algorithm>
#include <cmath>

#include <QMouseEvent>
#include <QPainter>
#include <QPainterPath>

#include "app/board/Palette.h"

namespace inkpeg {

SheetPreview::SheetPreview(QWidget* parent) : QWidget(parent)
{
    setMinimumSize(320, 240);
    setCursor(Qt::CrossCursor);
    setAccessibleName(tr("The sheet, stood upright"));
}

void SheetPreview::setSheet(const QImage& picture, double widthPx, double heightPx, double turnRad,
                            bool mirrored)
{
    m_picture = picture;
    m_widthPx = widthPx;
    m_heightPx = heightPx;
    m_turnRad = turnRad;
    m_mirrored = mirrored;
    update();
}

void SheetPreview::setFrame(const std::vector<ScanPx>& frame)
{
    m_frame = frame;
    update();
}

/// Screen pixels for one of the scan, so that the turned sheet fits.
double SheetPreview::scale() const
{
    const double c = std::abs(std::cos(m_turnRad)), s = std::abs(std::sin(m_turnRad));
    const double across = c * m_widthPx + s * m_heightPx, down = s * m_widthPx + c * m_heightPx;
    constexpr double Margin = 16;
    return std::max(1e-6, std::min((width() - Margin) / across, (height() - Margin) / down));
}

QPointF SheetPreview::widgetOfScan(ScanPx at) const
{
    const double x = at.column - m_widthPx / 2, y = at.row - m_heightPx / 2;
    const double c = std::cos(m_turnRad) * scale(), s = std::sin(m_turnRad) * scale();
    const double across = c * x + s * y; // lines that run at the turn become level
    return {width() / 2.0 + (m_mirrored ? -across : across), height() / 2.0 - s * x + c * y};
}

ScanPx SheetPreview::scanOfWidget(QPointF at) const
{
    const double across = (m_mirrored ? -1 : 1) * (at.x() - width() / 2.0) / scale();
    const double down = (at.y() - height() / 2.0) / scale();
    const double c = std::cos(m_turnRad), s = std::sin(m_turnRad);
    return {m_widthPx / 2 + c * across - s * down, m_heightPx / 2 + s * across + c * down};
}

void SheetPreview::paintEvent(QPaintEvent*)
{
    const Palette& colours = inkpeg::palette();
    QPainter painter(this);
    painter.fillRect(rect(), colours.desk);
    if (m_picture.isNull())
        return;
    painter.setRenderHint(QPainter::SmoothPixmapTransform);
    painter.setRenderHint(QPainter::Antialiasing);
    const auto outline = [&](const std::vector<ScanPx>& ring) {
        QPolygonF polygon;
        for (const ScanPx corner : ring)
            polygon << widgetOfScan(corner);
        polygon << polygon.first();
        return polygon;
    };
    const std::vector<ScanPx> whole{{0, 0}, {m_widthPx, 0}, {m_widthPx, m_heightPx}, {0, m_heightPx}};
    QTransform place;
    const QRectF picture(m_picture.rect());
    QPolygonF corners = outline(whole);
    corners.removeLast();
    if (QTransform::quadToQuad(
            QPolygonF({picture.topLeft(), picture.topRight(), picture.bottomRight(), picture.bottomLeft()}),
            corners, place)) {
        painter.setTransform(place);
        painter.drawImage(QPointF(0, 0), m_picture);
        painter.resetTransform();
    }
    QPainterPath frame, beside;
    frame.addPolygon(m_from ? QPolygonF(QRectF(*m_from, m_to).normalized())
                            : outline(m_frame.empty() ? whole : m_frame));
    beside.addPolygon(outline(whole));
    QColor dimmed = colours.desk;
    dimmed.setAlphaF(0.72F);
    painter.fillPath(beside.subtracted(frame), dimmed);
    painter.setPen(QPen(colours.accent, 2, m_from ? Qt::DashLine : Qt::SolidLine));
    painter.drawPath(frame);
}

void SheetPreview::mousePressEvent(QMouseEvent* event)
{
    if (event->button() != Qt::LeftButton || m_picture.isNull())
        return;
    m_from = m_to = event->position();
}

void SheetPreview::mouseMoveEvent(QMouseEvent* event)
{
    m_to = event->position();
    if (m_from)
        update();
}

void SheetPreview::mouseReleaseEvent(QMouseEvent* event)
{
    if (event->button() != Qt::LeftButton || !m_from)
        return;
    const QRectF dragged = QRectF(*m_from, event->position()).normalized();
    m_from.reset();
    update();
    constexpr double LeastPx = 12; // less is a click
    if (dragged.width() < LeastPx || dragged.height() < LeastPx)
        return;
    std::vector<ScanPx> frame;
    for (const QPointF corner :
         {dragged.topLeft(), dragged.topRight(), dragged.bottomRight(), dragged.bottomLeft()}) {
        const ScanPx at = scanOfWidget(corner);
        frame.push_back({std::clamp(at.column, 0.0, m_widthPx), std::clamp(at.row, 0.0, m_heightPx)});
    }
    setFrame(frame);
    emit frameDrawn(frame);
}

} // namespace inkpeg
