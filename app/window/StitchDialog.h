// SPDX-License-Identifier: GPL-3.0-or-later
// Makes one scan of a sheet that was scanned in two halves.
#pragma once

#include <QDialog>

#include "app/window/LongWork.h"

class QLabel;
class QProgressBar;
class QPushButton;

namespace inkpeg {

class PathField;

class StitchDialog final : public QDialog {
    Q_OBJECT
public:
    explicit StitchDialog(QWidget* parent = nullptr);

    void open() override;
    bool running() const { return m_work->running(); }

private:
    void start();
    void refresh();

    LongWork* m_work;
    PathField *m_first, *m_second, *m_output;
    QPushButton *m_stitch, *m_stop;
    QProgressBar* m_progress;
    QLabel *m_timeLeft, *m_outcome, *m_picture;
};

} // namespace inkpeg
