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

class DatabaseFields;
class LongWork;
class PathField;
class PlanChoices;

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
    void verify();

    /// What the page would write now.
    HandOverOrder order() const;

private:
    void showEvent(QShowEvent* event) override;
    QCheckBox* choice(const QString& text, const QString& tip, bool on);
    QPushButton* button(const QString& text, const QString& tip, const char* name);
    QLayout* makeGeodataChoices();
    QLayout* makeDepositFields();
    QLayout* makeActs();
    static QString list(const QString& heading, const QStringList& lines); ///< HTML
    void takeStock(); ///< when the project has changed: away, since it costs more than `refresh`
    void countStock();
    void showDepositWords();
    void refresh();
    void begin();
    void setBusy(bool busy);
    bool folderNamed();
    void pushWith(const DatabaseSettings& settings);
    void askPassword();
    void finished(const HandOverWords& words);
    void keepDepositWords();

    Session& m_session;
    HandOverWork* m_work;
    PathField* m_folder;
    PlanChoices* m_plans;
    DatabaseFields* m_database;
    QCheckBox *m_geoPackage, *m_geoJson, *m_csv, *m_gml, *m_shapefile, *m_report, *m_bag, *m_replace;
    QCheckBox *m_laid, *m_cloud, *m_world;
    QComboBox* m_stage;
    QLineEdit *m_rights, *m_depositor;
    QPushButton *m_start, *m_cancel, *m_verify;
    QProgressBar* m_progress;
    QTextBrowser* m_outcome;
    QString m_offered; ///< the folder that the page proposed by itself
    HandOverStock m_stock;
    LongWork* m_counting;
    bool m_countAgain = false;
    bool m_stocked = false;     ///< m_stock is of the project as it is
    bool m_toldOf = false;      ///< what an act came to is shown: a count that arrives leaves it there
    DatabaseSettings m_pushing; ///< what is being pushed, to ask again with a password
};

} // namespace inkpeg
