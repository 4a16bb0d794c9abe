// SPDX-License-Identifier: GPL-3.0-or-later
// Placing pins: a click asks for a pin at its place, a pin can be dragged, Delete removes the chosen one.
#pragma once

#include <cstdint>

#include "app/board/BoardTool.h"
#include "core/records/Records.h"

namespace inkpeg {

class PegTool final : public BoardTool {
    Q_OBJECT
public:
    using BoardTool::BoardTool;

    std::int64_t selectedPin() const { return m_selected; }
    void selectPin(std::int64_t id);
    /// Where a pin is being asked for, shown until it is placed or given up.
    void setAsked(std::optional<ScanPx> mark);

    void press(const BoardPointer& pointer) override;
    void move(const BoardPointer& pointer, bool leftHeld) override;
    void release(const BoardPointer& pointer) override;
    bool key(const QKeyEvent& event) override;
    void paint(QPainter& painter) override;
    QString hint() const override;
    void sceneChanged() override;

public slots:
    void removeSelected();

signals:
    void pinAsked(const inkpeg::ScanPx& mark, const QPointF& widget);
    void pinMoved(qint64 pin, const inkpeg::ScanPx& mark);
    void pinRemoved(qint64 pin);
    void pinSelected(qint64 pin);

private:
    const Pin* pinAt(QPointF widget) const;

    std::int64_t m_selected = 0;
    std::optional<ScanPx> m_asked;
    QPointF m_pressedAt;
    bool m_pressed = false;
    bool m_dragging = false;
    std::optional<ScanPx> m_dragMark;
    QPointF m_grip; ///< from the pointer to the pin when it was taken hold of
};

} // namespace inkpeg
