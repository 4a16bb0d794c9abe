// SPDX-License-Identifier: GPL-3.0-or-later
// The last stage: says what will be written, what is unfinished, how large and where; and writes it.
#pragma once

#include <QWidget>

#include "app/window/HandOverWork.h"
#include "app/window/Session.h"

class QCheckBox;
class QComboBox;
class QGridLayout;
class QLabel;
class QLineEdit;
class QProgressBar;
class QPushButton;
class QTextBrowser;

namespace inkpeg {

class PathField;
class PlanPreview;

class HandOverPage final : public QWidget {
    Q_OBJECT
public:
    explicit HandOverPage(Session& session, QWidget* parent = nullptr);

    PathField* folder() const { return m_folder; }
    bool running() const { return m_work->running(); }

    // The acts of this page, for menu and keys.
    void start();
    void preview();
    void push(bool dryRun);

    /// What the page would write now.
    HandOverOrder order() const;

private:
    void showEvent(QShowEvent* event) override;
    QCheckBox* choice(const QString& text, const QString& tip, bool on);
    QPushButton* button(const QString& text, const QString& tip, const char* name);
    QLayout* makeGeodataChoices();
    QLayout* makePlanChoices();
    QLayout* makeDepositFields();
    QLayout* makeDatabaseFields();
    QLayout* makeActs();
    void refresh();
    void begin();
    void finished(const HandOverWords& words);
    void keepDepositWords();

    Session& m_session;
    HandOverWork* m_work;
    PathField* m_folder;
    QCheckBox *m_geoPackage, *m_geoJson, *m_csv, *m_gml, *m_shapefile, *m_report, *m_bag, *m_replace;
    QCheckBox *m_laid, *m_cloud, *m_world, *m_plans, *m_eachContext, *m_eachPeriod, *m_finds, *m_standing;
    QComboBox *m_paper, *m_scale;
    QLineEdit *m_rights, *m_depositor, *m_service;
    QPushButton *m_start, *m_cancel, *m_preview, *m_dryRun, *m_push;
    QProgressBar* m_progress;
    QTextBrowser* m_outcome;
    DatabaseSettings m_pushing; ///< what is being pushed, to ask again with a password
};

} // namespace inkpeg
