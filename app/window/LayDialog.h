// SPDX-License-Identifier: GPL-3.0-or-later
// Lays the drawing at hand, or every plan of the project, while the window goes on working.
#pragma once

#include <QDialog>
#include <QStringList>

#include "app/window/LongWork.h"
#include "app/window/Session.h"
#include "core/handover/LayDrawings.h"

class QCheckBox;
class QComboBox;
class QLabel;
class QLineEdit;
class QProgressBar;
class QPushButton;
class QRadioButton;
class QTextBrowser;

namespace inkpeg {

class PathField;

class LayDialog final : public QDialog {
    Q_OBJECT
public:
    explicit LayDialog(Session& session, QWidget* parent = nullptr);

    /// Shows it for the drawing at hand. Work that is running goes on and is shown.
    void open() override;

    bool running() const { return m_work->running(); }

private:
    void makeLayout();
    void refresh();
    void start();
    void addLine(const DrawingLaid& laid);
    void finished(const std::vector<DrawingLaid>& results);
    void refuse(const QString& words);
    std::optional<LaySettings> settings();

    Session& m_session;
    LongWork* m_work;
    QRadioButton *m_one, *m_all;
    PathField* m_folder;
    QComboBox *m_kernel, *m_packing;
    QLineEdit* m_pixelMm;
    QCheckBox *m_cloud, *m_worldFile, *m_again;
    QPushButton *m_lay, *m_stop;
    QProgressBar* m_progress;
    QLabel* m_timeLeft;
    QTextBrowser* m_outcome;
    QStringList m_lines;
};

} // namespace inkpeg
