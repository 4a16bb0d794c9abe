// SPDX-License-Identifier: GPL-3.0-or-later
// Two pages of the peg card: the comparison of models, and the likely causes of wrong pins.
#pragma once

#include <QWidget>

#include "app/window/Session.h"

class QLabel;
class QLineEdit;
class QListWidget;
class QPushButton;
class QTableWidget;

namespace inkpeg {

/// Every model with its figures; the advised one is marked. Enter or a double click chooses.
class ModelPanel final : public QWidget {
    Q_OBJECT
public:
    explicit ModelPanel(Session& session, QWidget* parent = nullptr);
    void refresh();
    QTableWidget* table() const { return m_table; }
    QLineEdit* reason() const { return m_reason; }
    QLabel* advice() const { return m_advice; }

private:
    void fillRow(int row, const ModelAssessment& assessment, bool advised, bool chosen);

    Session& m_session;
    QTableWidget* m_table;
    QLabel* m_advice;
    QLineEdit* m_reason;
};

/// The hypotheses, the likeliest first, each with what its remedy would change. Enter takes it.
class CausesPanel final : public QWidget {
    Q_OBJECT
public:
    explicit CausesPanel(Session& session, QWidget* parent = nullptr);
    void refresh();
    QListWidget* list() const { return m_list; }
    QPushButton* take() const { return m_take; }
    int count() const;

signals:
    /// The pins that a chosen cause is about.
    void pinChosen(qint64 pin);

private:
    void tellRemedy();

    Session& m_session;
    QLabel* m_summary;
    QListWidget* m_list;
    QLabel* m_remedy;
    QPushButton* m_take;
};

} // namespace inkpeg
