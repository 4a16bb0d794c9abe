// SPDX-License-Identifier: GPL-3.0-or-later
// The card while tracing: which context comes next, the kind of the next edge, and the outlines there are.
#pragma once

#include <QWidget>

#include "app/window/Session.h"

class QComboBox;
class QLabel;
class QListView;
class QListWidget;
class QPushButton;

namespace inkpeg {

class OutlineListModel;

class TraceCard final : public QWidget {
    Q_OBJECT
public:
    TraceCard(Session& session, TraceTool& tool, QWidget* parent = nullptr);

    /// What the register says of a number that is being typed; an empty one shows the number at hand again.
    void showRecordOf(const QString& number);

signals:
    void nextAsked();

private:
    void refresh();
    void showState();
    void showFigures();

    Session& m_session;
    TraceTool& m_tool;
    QLabel* m_heading;
    QLabel* m_state;
    QLabel* m_record;
    QPushButton* m_next;
    QComboBox* m_kind;
    OutlineListModel* m_drawn;
    QListView* m_outlines;
    QLabel* m_figures; ///< of the chosen outline
    QListWidget* m_undrawn;
    QLabel* m_undrawnCaption;
};

} // namespace inkpeg
