// SPDX-License-Identifier: GPL-3.0-or-later
// Where the site database is and what goes into it.
#pragma once

#include <QWidget>

#include "core/handover/SiteDatabase.h"

class QCheckBox;
class QComboBox;
class QLineEdit;
class QPushButton;

namespace inkpeg {

class DatabaseFields final : public QWidget {
    Q_OBJECT
public:
    explicit DatabaseFields(QWidget* parent = nullptr);

    /// Without a password: that is asked for when the server wants one, and never kept.
    DatabaseSettings settings(bool dryRun) const;
    /// Gives the keys to the field that must be filled in first.
    void askForService();
    void setBusy(bool busy);

signals:
    void pushAsked(bool dryRun);

private:
    QLineEdit *m_service, *m_schema;
    QComboBox* m_stage;
    QCheckBox* m_overwrite;
    QPushButton *m_dryRun, *m_push;
};

} // namespace inkpeg
