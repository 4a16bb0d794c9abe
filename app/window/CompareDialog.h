// SPDX-License-Identifier: GPL-3.0-or-later
// Plans held against sections: each edge, level and find with its misfit; a line leads to its place.
#pragma once

#include <QDialog>

#include "app/window/Session.h"
#include "core/checks/PlanAgainstSection.h"

class QCheckBox;
class QLabel;
class QTableWidget;

namespace inkpeg {

class CompareDialog final : public QDialog {
    Q_OBJECT
public:
    CompareDialog(Session& session, QWidget* parent);

signals:
    /// A place on a drawing that a line leads to.
    void chosen(const inkpeg::Matter& matter);

private:
    struct Line {
        QString about, plan, section, misfit, planError, sectionError, allowed, verdict, words;
        bool beyond = false;
        Matter place;
    };
    void refresh();
    void fill();
    void lead(int row);
    void askWhere();

    Session& m_session;
    QCheckBox* m_onlyBeyond;
    QLabel* m_summary;
    QTableWidget* m_table;
    std::vector<Line> m_lines;
};

} // namespace inkpeg
