// SPDX-License-Identifier: GPL-3.0-or-later
// The card while pegging: how the drawing lies on the ground, pin by pin, and whether that is good enough.
#pragma once

#include <QWidget>

#include "app/window/Session.h"

class QComboBox;
class QLabel;
class QTableView;

namespace inkpeg {

class PinTableModel;

class PegCard final : public QWidget {
    Q_OBJECT
public:
    explicit PegCard(Session& session, QWidget* parent = nullptr);

    void selectPin(std::int64_t pin);
    std::int64_t selectedPin() const;
    QTableView* table() const { return m_table; }

signals:
    void pinChosen(qint64 pin);

private:
    void refresh();
    QString figures() const;

    Session& m_session;
    PinTableModel* m_model;
    QLabel* m_heading;
    QComboBox* m_fitModel;
    QLabel* m_verdict;
    QLabel* m_figures;
    QTableView* m_table;
};

} // namespace inkpeg
