// SPDX-License-Identifier: GPL-3.0-or-later
// The records of a register, found as one types.
#pragma once

#include <QThreadPool>
#include <QWidget>

#include "app/window/Session.h"
#include "core/records/Registers.h"

class QComboBox;
class QLabel;
class QLineEdit;
class QPushButton;
class QTableView;

namespace inkpeg {

class TextTableModel;

class RecordsPage final : public QWidget {
    Q_OBJECT
public:
    explicit RecordsPage(Session& session, QWidget* parent = nullptr);
    ~RecordsPage() override;

    QLineEdit* filter() const { return m_filter; }
    QTableView* table() const { return m_table; }
    bool running() const { return m_running; }
    void setRegister(RegisterKind kind);

    /// Writes the register that is shown as CSV. False after telling what was wrong.
    bool exportTo(const QString& file);
    void askExport();

signals:
    void recordActivated(inkpeg::RegisterKind kind, const QString& number);

protected:
    void showEvent(QShowEvent*) override;

private:
    RegisterKind kind() const;
    void load();
    void showCount();

    Session& m_session;
    QComboBox* m_register;
    QLineEdit* m_filter;
    QPushButton* m_export;
    QLabel* m_count;
    TextTableModel* m_model;
    QTableView* m_table;
    int m_generation = 0;
    bool m_running = false;
    QThreadPool m_pool;
};

} // namespace inkpeg
