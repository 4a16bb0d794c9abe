// SPDX-License-Identifier: GPL-3.0-or-later
// The journal: who did what, when, why; the latest first. It is looked at, never changed.
#pragma once

#include <QWidget>

#include "app/window/Session.h"

class QLabel;
class QLineEdit;
class QTableView;

namespace inkpeg {

class JournalModel;

class JournalPage final : public QWidget {
    Q_OBJECT
public:
    explicit JournalPage(Session& session, QWidget* parent = nullptr);

    QTableView* table() const { return m_table; }
    QLineEdit* filter() const { return m_filter; }

protected:
    void showEvent(QShowEvent*) override;

private:
    void refresh();

    Session& m_session;
    JournalModel* m_model;
    QLineEdit* m_filter;
    QLabel* m_count;
    QTableView* m_table;
};

} // namespace inkpeg
