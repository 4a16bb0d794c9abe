// SPDX-License-Identifier: GPL-3.0-or-later
// The card while pegging: how the drawing lies on the ground, pin by pin, by which model, what may be wrong
// and how sure all of it is.
#pragma once

#include <QWidget>

#include "app/window/Session.h"

class QLabel;
class QLineEdit;
class QTabWidget;
class QTableView;

namespace inkpeg {

class CausesPanel;
class ModelPanel;
class PinTableModel;

class PegCard final : public QWidget {
    Q_OBJECT
public:
    explicit PegCard(Session& session, QWidget* parent = nullptr);

    void selectPin(std::int64_t pin);
    std::int64_t selectedPin() const;
    QTableView* table() const { return m_table; }
    ModelPanel& models() const { return *m_models; }
    CausesPanel& causes() const { return *m_causes; }
    /// Brings a page of the card forward: pins, models, causes, accuracy.
    void showPage(int page);

signals:
    void pinChosen(qint64 pin);

protected:
    void showEvent(QShowEvent*) override;

private:
    void refresh();
    void refreshAccuracy();
    QString accuracy() const;

    Session& m_session;
    PinTableModel* m_model;
    QLabel* m_heading;
    QLineEdit* m_scale;
    QLabel* m_verdict;
    QTabWidget* m_pages;
    QTableView* m_table;
    ModelPanel* m_models;
    CausesPanel* m_causes;
    QLabel* m_accuracy;
};

} // namespace inkpeg
