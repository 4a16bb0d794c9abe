// SPDX-License-Identifier: GPL-3.0-or-later
// The last stage: says what will be written and where, and writes it.
#pragma once

#include <QWidget>

#include "app/window/HandOverWork.h"
#include "app/window/Session.h"

class QCheckBox;
class QLabel;
class QProgressBar;
class QPushButton;
class QTextBrowser;

namespace inkpeg {

class PathField;

class HandOverPage final : public QWidget {
    Q_OBJECT
public:
    explicit HandOverPage(Session& session, QWidget* parent = nullptr);

    PathField* folder() const { return m_folder; }
    bool running() const { return m_work->running(); }

private:
    QCheckBox* choice(const QString& text, const QString& tip, bool on);
    void refresh();
    void start();
    void finished(const HandOverWords& words);

    Session& m_session;
    HandOverWork* m_work;
    QLabel* m_state;
    PathField* m_folder;
    QCheckBox *m_geoPackage, *m_geoJson, *m_csv, *m_gml, *m_shapefile, *m_report, *m_replace;
    QPushButton* m_start;
    QPushButton* m_cancel;
    QProgressBar* m_progress;
    QTextBrowser* m_outcome;
};

} // namespace inkpeg
