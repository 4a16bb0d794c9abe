// SPDX-License-Identifier: GPL-3.0-or-later
// The people of the project, and who of them is at the keyboard. Nobody's word is guarded by a password: the
// journal keeps whose initials were given.
#pragma once

#include <QDialog>

#include "app/window/Session.h"

class QLabel;
class QLineEdit;
class QListWidget;
class QPushButton;
class QTableWidget;

namespace inkpeg {

/// Who is at the keyboard: asked when a project with several people is opened.
class WhoDialog final : public QDialog {
    Q_OBJECT
public:
    explicit WhoDialog(Session& session, QWidget* parent = nullptr);

    QListWidget* list() const { return m_list; }

    /// Puts whoever was last chosen on this machine at the keyboard, if the project knows them.
    static void takeLast(Session& session);

signals:
    void somebodyElse();

private:
    void take();

    Session& m_session;
    QListWidget* m_list;
};

/// Add, change and remove people; each change is an act that can be undone.
class PeopleDialog final : public QDialog {
    Q_OBJECT
public:
    explicit PeopleDialog(Session& session, QWidget* parent = nullptr);

    QTableWidget* table() const { return m_table; }

private:
    void refresh();
    void add();
    void removeChosen();
    void cellChanged(int row, int column);

    Session& m_session;
    QTableWidget* m_table;
    QLineEdit* m_initials;
    QLineEdit* m_name;
    QLineEdit* m_role;
    QPushButton* m_add;
    QPushButton* m_remove;
    QLabel* m_trouble;
};

} // namespace inkpeg
