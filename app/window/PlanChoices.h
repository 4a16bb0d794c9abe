// SPDX-License-Identifier: GPL-3.0-or-later
// Which print-ready plans and sections are wanted: paper, scale, and what of the site they show.
#pragma once

#include <string>
#include <vector>

#include <QWidget>

#include "app/print/HandOver.h"
#include "core/store/Project.h"

class QCheckBox;
class QComboBox;
class QLineEdit;
class QPushButton;

namespace inkpeg {

class PlanChoices final : public QWidget {
    Q_OBJECT
public:
    explicit PlanChoices(QWidget* parent = nullptr);

    /// What a project has to choose from.
    struct Offer {
        std::vector<std::string> trenches, periods;
    };
    static Offer offerOf(const Project& project);
    /// What was chosen stays chosen if it is still there.
    void offer(const Offer& offer);
    /// Whether plans are part of the hand-over.
    bool wanted() const;
    /// As chosen, wanted or not.
    PlansOrder order() const;
    /// While other work runs no preview can begin.
    void setBusy(bool busy);

signals:
    void changed();
    void previewAsked();

private:
    QCheckBox* choice(const QString& text, const QString& tip);
    QComboBox* scaleChoice(const char* name, const QString& first, const QString& tip);

    QCheckBox *m_wanted, *m_standing, *m_eachContext, *m_eachPeriod, *m_finds;
    QComboBox *m_paper, *m_scale, *m_verticalScale, *m_trench, *m_period;
    QLineEdit* m_contexts;
    QPushButton* m_preview;
};

} // namespace inkpeg
