// SPDX-License-Identifier: GPL-3.0-or-later
// Placing marks one after the other: levels, small finds, samples, timbers, notes. Each click asks for its
// level, number or text; Esc ends it.
#pragma once

#include "app/board/BoardTool.h"

namespace inkpeg {

enum class PointPurpose { Level, Find, Sample, Timber, Note };

class PointTool final : public BoardTool {
    Q_OBJECT
public:
    using BoardTool::BoardTool;

    void begin(PointPurpose purpose);

    void press(const BoardPointer& pointer) override;
    void move(const BoardPointer& pointer, bool leftHeld) override;
    void giveUp() override { emit givenUp(); }
    void paint(QPainter& painter) override;
    QString hint() const override;

signals:
    void placed(inkpeg::PointPurpose purpose, const inkpeg::ScanPx& at, const QPointF& widget);
    void givenUp();

private:
    PointPurpose m_purpose = PointPurpose::Level;
    BoardPointer m_pointer{};
};

} // namespace inkpeg
