// SPDX-License-Identifier: GPL-3.0-or-later
// What the left button and the keys do on the board in one stage of the job.
#pragma once

#include <optional>

#include <QObject>
#include <QPointF>
#include <QString>

#include "core/base/Units.h"
#include "core/outline/Outline.h"

class QKeyEvent;
class QPainter;

namespace inkpeg {

class Board;

/// Where the pointer is; `scan` is missing where the fit cannot say.
struct BoardPointer {
    QPointF widget;
    std::optional<ScanPx> scan;
    Qt::KeyboardModifiers modifiers;
};

class BoardTool : public QObject {
    Q_OBJECT
public:
    explicit BoardTool(Board& board);

    virtual void press(const BoardPointer&) {}
    virtual void move(const BoardPointer&, bool /*leftHeld*/) {}
    virtual void release(const BoardPointer&) {}
    virtual void doubleClick(const BoardPointer&) {}
    // The keys that every drawing tool answers: Enter, Backspace, Esc, and 1 to 5 or K.
    virtual void finish() {}
    virtual void takeBack() {}
    virtual void giveUp() {}
    virtual void takeKind(EdgeKind) {}
    virtual void takeNextKind() {}
    /// True if the key was meant for the tool.
    virtual bool key(const QKeyEvent&) { return false; }
    /// Drawn over the scene, in widget pixels.
    virtual void paint(QPainter&) {}
    /// One line telling what can be done now.
    virtual QString hint() const { return {}; }
    /// The scene has been replaced: what was selected may be gone.
    virtual void sceneChanged() {}

protected:
    Board& board() const { return m_board; }

private:
    Board& m_board;
};

} // namespace inkpeg
