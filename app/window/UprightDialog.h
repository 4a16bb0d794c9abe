// SPDX-License-Identifier: GPL-3.0-or-later
// Looks at the sheet of the drawing at hand as it would lie upright, and sets the drawing's part of it.
#pragma once

#include <QDialog>

#include "app/window/LongWork.h"
#include "app/window/Session.h"

class QLabel;
class QPushButton;

namespace inkpeg {

class SheetPreview;

class UprightDialog final : public QDialog {
    Q_OBJECT
public:
    explicit UprightDialog(Session& session, QWidget* parent = nullptr);

    /// Shows it for the sheet of the drawing at hand.
    void open() override;

    SheetPreview& preview() { return *m_preview; }
    bool running() const { return m_work->running(); }

private:
    void read();
    void showFrame();

    Session& m_session;
    LongWork* m_work;
    QLabel* m_words;
    SheetPreview* m_preview;
    QPushButton *m_take, *m_whole;
    std::int64_t m_drawing = 0;
};

} // namespace inkpeg
