// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/PegTool.h"

#include <algorithm>
#include <cmath>

#include <QKeyEvent>

#include "app/board/Board.h"
#include "app/board/BoardPainting.h"
#include "app/board/DrawnPainting.h"

namespace inkpeg {
namespace {

constexpr double reachPx = 13;
constexpr double dragStartsPx = 4;

double length(QPointF v)
{
    return std::hypot(v.x(), v.y());
}

} // namespace

PegTool::PegTool(Board& board) : BoardTool(board)
{
    connect(&board, &Board::pointerMoved, this, [this](const std::optional<ScanPx>& scan) {
        m_pointerScan = scan;
        if (m_ellipse && this->board().tool() == this)
            this->board().update();
    });
}

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

int PegTool::proposalAt(QPointF widget) const
{
    int nearest = -1;
    double least = reachPx;
    for (std::size_t i = 0; i < m_proposals.size(); ++i)
        if (const double away = length(board().widgetOfScan(m_proposals[i].mark) - widget); away <= least) {
            least = away;
            nearest = static_cast<int>(i);
        }
    return nearest;
}

void PegTool::setProposals(std::vector<ProposedMark> proposals, int atHand)
{
    m_proposals = std::move(proposals);
    m_atHand = atHand;
    emit board().hintChanged();
    board().update();
}

void PegTool::setEllipseShown(bool shown)
{
    m_ellipse = shown;
    board().update();
}

void PegTool::setSurfaceShown(bool shown)
{
    m_surfaceShown = shown;
    sceneChanged();
    board().update();
}

void PegTool::setFraming(bool framing)
{
    m_framing = framing;
    m_pressed = m_dragging = false;
    emit board().hintChanged();
    board().update();
}

void PegTool::endFraming(const BoardPointer& pointer)
{
    const std::optional<ScanPx> from = board().scanOfWidget(m_pressedAt);
    const bool drawn = length(pointer.widget - m_pressedAt) >= dragStartsPx;
    setFraming(false);
    if (drawn && from && pointer.scan)
        emit frameDrawn(*from, *pointer.scan);
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
    m_pressedAt = m_pointer = pointer.widget;
    if (m_framing)
        return;
    const Pin* pin = pinAt(pointer.widget);
    selectPin(pin ? pin->id : 0);
    m_grip = pin ? board().widgetOfScan(pin->mark) - pointer.widget : QPointF();
}

void PegTool::move(const BoardPointer& pointer, bool leftHeld)
{
    m_pointer = pointer.widget;
    if (!leftHeld || !m_pressed || m_selected == 0 || m_framing)
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
    if (m_framing) {
        endFraming(pointer);
        return;
    }
    const bool dragged = m_dragging;
    m_dragging = false;
    if (dragged) {
        const std::optional<ScanPx> mark = m_dragMark;
        m_dragMark.reset();
        if (mark)
            emit pinMoved(m_selected, *mark);
    } else if (m_selected == 0 && pointer.scan) {
        if (const int proposal = proposalAt(pointer.widget); proposal >= 0)
            emit proposalChosen(proposal);
        else
            emit pinAsked(*pointer.scan, pointer.widget, pointer.modifiers & Qt::AltModifier);
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
    if (event.key() == Qt::Key_Escape && m_framing) {
        setFraming(false);
        return true;
    }
    if (event.key() == Qt::Key_Escape) {
        emit dropAsked();
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
    if (m_framing)
        return tr("Drag a rectangle round the drawing on its sheet · Esc leaves it as it is");
    if (!m_proposals.empty()) {
        const auto doubtful = std::ranges::count_if(m_proposals, &ProposedMark::doubtful);
        QString hint =
            tr("%1 crosses found, %2 doubtful · Shift+A accepts all without doubt · N the next · A "
               "accepts it · Esc drops them")
                .arg(m_proposals.size())
                .arg(doubtful);
        if (m_atHand >= 0 && m_proposals[static_cast<std::size_t>(m_atHand)].doubtful)
            hint = tr("%1 · A accepts it all the same · N the next")
                       .arg(m_proposals[static_cast<std::size_t>(m_atHand)].doubt);
        return hint;
    }
    if (m_selected != 0)
        return tr(
            "Drag the pin to move it · C check point · O leave out · Delete removes it · Esc lets go");
    return tr("Click near a cross to pin it to its peg · L finds the grid from two pins · N goes to the "
              "next peg");
}

void PegTool::sceneChanged()
{
    bool there = false;
    if (board().scene().drawing)
        for (const Pin& pin : board().scene().drawing->pins)
            there = there || pin.id == m_selected;
    if (!there)
        selectPin(0);
    const bool wanted = m_surfaceShown && board().scene().drawing && board().scene().drawing->ground;
    m_surface = wanted ? ErrorSurface(*board().scene().drawing) : ErrorSurface();
}

void PegTool::paint(QPainter& painter)
{
    const BoardPicture picture{board().scene(),        board().frame(),   board().view(),
                               QRectF(board().rect()), inkpeg::palette(), board().font()};
    paintErrorSurface(painter, picture, m_surface);
    board().paintTraced(painter, {0, false, {}, false});
    if (!hasPlace(picture))
        return;
    paintSheetParts(painter, picture);
    paintResiduals(painter, picture);
    paintPins(painter, picture, m_selected);
    paintProposals(painter, picture, m_proposals, m_atHand);
    if (m_ellipse && m_pointerScan && !m_pressed)
        paintErrorEllipse(painter, picture, *m_pointerScan);
    if (m_framing && m_pressed)
        paintDrawnFrame(painter, picture, QRectF(m_pressedAt, m_pointer).normalized());
    paintErrorLegend(painter, picture, m_surface);
    if (m_asked)
        paintPinMark(painter, picture.at(*m_asked), PinUse::Fit, picture.colours, true);
    if (m_dragMark)
        paintPinMark(painter, picture.at(*m_dragMark), PinUse::Fit, picture.colours, true);
}

} // namespace inkpeg
