// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/SpaceView.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QWheelEvent>

#include "app/board/Palette.h"

namespace inkpeg {
namespace {

constexpr double StraightDown = std::numbers::pi / 2;
constexpr double TurnStepRad = std::numbers::pi / 36;
constexpr double PxPerTurn = 220; // pixels of drag for a radian

} // namespace

SpaceView::SpaceView(QWidget* parent) : QWidget(parent)
{
    setFocusPolicy(Qt::StrongFocus);
    setMinimumSize(320, 240);
    setAccessibleName(tr("View in space"));
    setCursor(Qt::OpenHandCursor);
}

void SpaceView::setScene(SpaceScene scene)
{
    m_scene = std::move(scene);
    if (const auto box = m_scene.box())
        m_centre = {(box->first.eastM + box->second.eastM) / 2,
                    (box->first.northM + box->second.northM) / 2,
                    (box->first.levelM + box->second.levelM) / 2};
    showAll();
}

QPointF SpaceView::widgetOf(const SpacePoint& place) const
{
    const double east = place.eastM - m_centre.eastM, north = place.northM - m_centre.northM;
    const double up = (place.levelM - m_centre.levelM) * m_stance.upScale;
    const double sine = std::sin(m_stance.bearingRad), cosine = std::cos(m_stance.bearingRad);
    const double right = east * cosine - north * sine;
    const double ahead = east * sine + north * cosine;
    const double high = ahead * std::sin(m_stance.downwardRad) + up * std::cos(m_stance.downwardRad);
    return QPointF(width() / 2.0, height() / 2.0) + m_stance.middle +
           QPointF(right, -high) * m_stance.pxPerM;
}

double SpaceView::depthOf(const SpacePoint& place) const
{
    const double east = place.eastM - m_centre.eastM, north = place.northM - m_centre.northM;
    const double up = (place.levelM - m_centre.levelM) * m_stance.upScale;
    const double ahead = east * std::sin(m_stance.bearingRad) + north * std::cos(m_stance.bearingRad);
    return ahead * std::cos(m_stance.downwardRad) - up * std::sin(m_stance.downwardRad);
}

void SpaceView::showAll()
{
    m_untouched = true;
    const auto box = m_scene.box();
    if (!box)
        return update();
    m_stance.middle = {};
    m_stance.pxPerM = 1;
    QPolygonF corners;
    for (const double east : {box->first.eastM, box->second.eastM})
        for (const double north : {box->first.northM, box->second.northM})
            for (const double level : {box->first.levelM, box->second.levelM})
                corners << widgetOf({east, north, level});
    const QRectF bounds = corners.boundingRect();
    m_stance.pxPerM = 0.86 * std::min(width() / std::max(bounds.width(), 0.01),
                                      height() / std::max(bounds.height(), 0.01));
    update();
    emit stanceChanged();
}

void SpaceView::lookFromAbove()
{
    m_stance.bearingRad = 0;
    m_stance.downwardRad = StraightDown;
    showAll();
}

void SpaceView::faceSection(const QString& drawing)
{
    for (const SpaceTrace& trace : m_scene.traces) {
        if (QString::fromStdString(trace.drawing) != drawing)
            continue;
        // Whoever reads a face looks the other way than it does.
        m_stance.bearingRad = trace.facingRad + std::numbers::pi;
        m_stance.downwardRad = 0;
        const SpacePoint &a = trace.line.front(), &b = trace.line.back();
        m_stance.middle = {};
        m_stance.pxPerM = 0.7 * width() / std::max(std::hypot(b.eastM - a.eastM, b.northM - a.northM), 0.1);
        const QPointF middle = (widgetOf(a) + widgetOf(b)) / 2;
        m_stance.middle = QPointF(width() / 2.0, height() / 2.0) - middle;
        m_untouched = false;
        update();
        emit stanceChanged();
        return;
    }
}

void SpaceView::setUpScale(double factor)
{
    m_stance.upScale = factor;
    showAll();
}

QImage SpaceView::picture(double factor) const
{
    QImage image(size() * factor, QImage::Format_RGB32);
    image.fill(palette().color(QPalette::Window));
    QPainter painter(&image);
    painter.scale(factor, factor);
    paint(painter);
    return image;
}

void SpaceView::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    paint(painter);
}

void SpaceView::turnBy(double bearingRad, double downwardRad)
{
    m_untouched = false;
    m_stance.bearingRad = std::remainder(m_stance.bearingRad + bearingRad, 2 * std::numbers::pi);
    m_stance.downwardRad = std::clamp(m_stance.downwardRad + downwardRad, -StraightDown, StraightDown);
    update();
    emit stanceChanged();
}

void SpaceView::zoom(double factor, QPointF at)
{
    m_untouched = false;
    const QPointF from = at - QPointF(width() / 2.0, height() / 2.0) - m_stance.middle;
    m_stance.pxPerM = std::clamp(m_stance.pxPerM * factor, 0.01, 1e5);
    m_stance.middle += from * (1 - factor);
    update();
    emit stanceChanged();
}

void SpaceView::mousePressEvent(QMouseEvent* event)
{
    m_last = event->position();
}

void SpaceView::mouseMoveEvent(QMouseEvent* event)
{
    const QPointF moved = event->position() - m_last;
    m_last = event->position();
    const bool moves = event->buttons() & Qt::MiddleButton || event->modifiers() & Qt::ShiftModifier;
    if (moves) {
        m_untouched = false;
        m_stance.middle += moved;
        update();
        emit stanceChanged();
    } else if (event->buttons() & Qt::LeftButton) {
        turnBy(-moved.x() / PxPerTurn, moved.y() / PxPerTurn);
    }
}

void SpaceView::wheelEvent(QWheelEvent* event)
{
    zoom(std::pow(1.0015, event->angleDelta().y()), event->position());
}

void SpaceView::keyPressEvent(QKeyEvent* event)
{
    const QPointF middle(width() / 2.0, height() / 2.0);
    const bool moves = event->modifiers() & Qt::ShiftModifier;
    const auto step = [&](double right, double down) {
        if (!moves)
            return turnBy(-right * TurnStepRad, down * TurnStepRad);
        m_untouched = false;
        m_stance.middle += QPointF(right, down) * 30;
        update();
        emit stanceChanged();
    };
    switch (event->key()) {
    case Qt::Key_Left:
        return step(-1, 0);
    case Qt::Key_Right:
        return step(1, 0);
    case Qt::Key_Up:
        return step(0, -1);
    case Qt::Key_Down:
        return step(0, 1);
    case Qt::Key_Plus:
    case Qt::Key_Equal:
        return zoom(1.2, middle);
    case Qt::Key_Minus:
        return zoom(1 / 1.2, middle);
    case Qt::Key_0:
        return showAll();
    case Qt::Key_A:
        return lookFromAbove();
    default:
        QWidget::keyPressEvent(event);
    }
}

void SpaceView::resizeEvent(QResizeEvent*)
{
    if (m_untouched)
        showAll();
}

} // namespace inkpeg
