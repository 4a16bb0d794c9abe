// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/PegTool.h"

#include <cmath>

#include <QKeyEvent>

#include "app/board/Board.h"
#include "app/board/BoardPainting.h"

namespace inkpeg {
namespace {

constexpr double reachPx = 13;
constexpr double dragStartsPx = 4;

double length(QPointF v)
{
    return std::hypot(v.x(), v.y());
}

} // namespace

const Pin* PegTool::pinAt(QPointF widget) const
{
    const Pin* nearest = nullptr;
    double least = reachPx;
    if (!board().scene().drawing)
        return nullptr;
    for (const Pin& pin : board().scene().drawing->pins) {
        const double away = length(board().widgetOfScan(pin.mark) - widget);
        if (away <= least) {
            least = away;
            nearest = &pin;
        }
    }
    return nearest;
}

void PegTool::selectPin(std::int64_t id)
{
    if (m_selected == id)
        return;
    m_selected = id;
    emit pinSelected(id);
    emit board().hintChanged();
    board().update();
}

void PegTool::setAsked(std::optional<ScanPx> mark)
{
    m_asked = mark;
    board().update();
}

void PegTool::press(const BoardPointer& pointer)
{
    m_pressed = true;
    m_dragging = false;
    m_pressedAt = pointer.widget;
    const Pin* pin = pinAt(pointer.widget);
    selectPin(pin ? pin->id : 0);
    m_grip = pin ? board().widgetOfScan(pin->mark) - pointer.widget : QPointF();
}

void PegTool::move(const BoardPointer& pointer, bool leftHeld)
{
    if (!leftHeld || !m_pressed || m_selected == 0)
        return;
    if (!m_dragging && length(pointer.widget - m_pressedAt) < dragStartsPx)
        return;
    m_dragging = true;
    m_dragMark = board().scanOfWidget(pointer.widget + m_grip);
}

void PegTool::release(const BoardPointer& pointer)
{
    if (!m_pressed)
        return;
    m_pressed = false;
    const bool dragged = m_dragging;
    m_dragging = false;
    if (dragged) {
        const std::optional<ScanPx> mark = m_dragMark;
        m_dragMark.reset();
        if (mark)
            emit pinMoved(m_selected, *mark);
    } else if (m_selected == 0 && pointer.scan) {
        emit pinAsked(*pointer.scan, pointer.widget);
    }
}

bool PegTool::key(const QKeyEvent& event)
{
    if (event.key() == Qt::Key_Escape && (m_dragging || m_selected != 0)) {
        m_dragging = m_pressed = false;
        m_dragMark.reset();
        selectPin(0);
        return true;
    }
    return false;
}

void PegTool::removeSelected()
{
    if (m_selected != 0)
        emit pinRemoved(m_selected);
}

QString PegTool::hint() const
{
    if (m_selected != 0)
        return tr("Drag the pin to move it · Delete removes it · Esc lets go");
    return tr("Click a mark on the film to pin it to its peg");
}

void PegTool::sceneChanged()
{
    bool there = false;
    if (board().scene().drawing)
        for (const Pin& pin : board().scene().drawing->pins)
            there = there || pin.id == m_selected;
    if (!there)
        selectPin(0);
}

void PegTool::paint(QPainter& painter)
{
    const BoardPicture picture{board().scene(),        board().frame(),   board().view(),
                               QRectF(board().rect()), inkpeg::palette(), board().font()};
    for (const Outline& outline :
         picture.scene.drawing ? picture.scene.drawing->outlines : std::vector<Outline>())
        paintOutline(painter, picture, outline, {});
    paintResiduals(painter, picture);
    paintPins(painter, picture, m_selected);
    if (m_asked)
        paintPinMark(painter, picture.at(*m_asked), PinUse::Fit, picture.colours, true);
    if (m_dragMark)
        paintPinMark(painter, picture.at(*m_dragMark), PinUse::Fit, picture.colours, true);
}

} // namespace inkpeg
