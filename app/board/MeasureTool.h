// SPDX-License-Identifier: GPL-3.0-or-later
// Measuring on the ground: clicks set places; shown are the length along them, the area they enclose and
// the difference of level between the first and the last, each with its standard error. Nothing is stored.
#pragma once

#include <vector>

#include "app/board/BoardTool.h"

namespace inkpeg {

class MeasureTool final : public BoardTool {
    Q_OBJECT
public:
    using BoardTool::BoardTool;

    void reset();
    /// One line of figures; empty before the second place.
    QString figures() const;

    void press(const BoardPointer& pointer) override;
    void move(const BoardPointer& pointer, bool leftHeld) override;
    void finish() override { reset(); }
    void takeBack() override;
    void giveUp() override;
    void paint(QPainter& painter) override;
    QString hint() const override;

signals:
    void givenUp();

private:
    QString rise() const;

    std::vector<ScanPx> m_places;
    BoardPointer m_pointer{};
    bool m_pointerKnown = false;
};

} // namespace inkpeg
