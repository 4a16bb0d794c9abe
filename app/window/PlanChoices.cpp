// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PlanChoices.h"

#include <set>

#include <QCheckBox>
#include <QComboBox>
#include <QGridLayout>
#include <QLineEdit>
#include <QPushButton>
#include <QRegularExpression>
#include <QSignalBlocker>

#include "app/window/Words.h"
#include "core/base/Text.h"
#include "core/checks/Tally.h"

namespace inkpeg {

namespace {

/// Fills a choice whose first entry stands for "no narrowing"; keeps what was chosen.
void refill(QComboBox* box, const QString& first, const std::vector<std::string>& names)
{
    const QSignalBlocker quiet(box);
    const QString chosen = box->currentData().toString();
    box->clear();
    box->addItem(first, QString());
    for (const std::string& name : names)
        box->addItem(words(name), words(name));
    box->setCurrentIndex(std::max(0, box->findData(chosen)));
}

} // namespace

PlanChoices::PlanChoices(QWidget* parent) : QWidget(parent)
{
    m_wanted = choice(tr("&Plans and sections"), tr("plans/: print-ready at an exact scale, PDF and SVG"));
    m_wanted->setObjectName("plansWanted");
    m_paper = new QComboBox(this);
    m_paper->setObjectName("planPaper");
    m_paper->setToolTip(tr("Paper of the plans"));
    for (const PaperSize paper :
         {PaperSize::A4, PaperSize::A3, PaperSize::A2, PaperSize::A1, PaperSize::A0})
        m_paper->addItem(words(paperName(paper)));
    m_paper->setCurrentIndex(1);
    m_scale = scaleChoice("planScale", tr("largest that fits"),
                          tr("Scale of the plans; what does not fit is named, not shrunk"));
    m_verticalScale = scaleChoice("planVerticalScale", tr("same scale upward"),
                                  tr("Scale of the sections upward, where it is not the scale across"));
    m_trench = new QComboBox(this);
    m_trench->setObjectName("planTrench");
    m_trench->setToolTip(tr("Only what is drawn in this trench"));
    m_period = new QComboBox(this);
    m_period->setObjectName("planPeriod");
    m_period->setToolTip(tr("A phase composite: only contexts of this period"));
    m_contexts = new QLineEdit(this);
    m_contexts->setObjectName("planContexts");
    m_contexts->setPlaceholderText(tr("every context; or e.g. 1004, 1010"));
    m_contexts->setToolTip(tr("Only these contexts, their numbers separated by commas"));
    m_contexts->setAccessibleName(tr("Only these contexts"));
    m_standing = choice(tr("upright"), tr("The paper upright instead of lying"));
    m_eachContext = choice(tr("each context"), tr("A plan of each single context as well"));
    m_eachPeriod = choice(tr("each period"), tr("A plan of each trench and period as well"));
    m_finds = choice(tr("surveyed finds"), tr("Finds, samples and timbers where they were surveyed"));
    m_preview = new QPushButton(tr("Pre&view…"), this);
    m_preview->setToolTip(tr("Shows the pages and writes nothing (Ctrl+Shift+V)"));
    m_preview->setObjectName("planPreview");
    connect(m_preview, &QPushButton::clicked, this, &PlanChoices::previewAsked);
    offer({});
    for (QComboBox* box : {m_paper, m_scale, m_verticalScale, m_trench, m_period}) {
        box->setSizeAdjustPolicy(QComboBox::AdjustToContents); // the names come later
        box->setAccessibleName(box->toolTip());
        connect(box, &QComboBox::currentIndexChanged, this, &PlanChoices::changed);
    }
    connect(m_contexts, &QLineEdit::editingFinished, this, &PlanChoices::changed);

    auto* grid = new QGridLayout(this);
    grid->setContentsMargins(0, 0, 0, 0);
    grid->setHorizontalSpacing(10);
    grid->addWidget(m_wanted, 0, 0);
    grid->addWidget(m_paper, 0, 1);
    grid->addWidget(m_scale, 0, 2);
    grid->addWidget(m_verticalScale, 0, 3);
    grid->addWidget(m_preview, 0, 4);
    grid->addWidget(m_standing, 1, 0);
    grid->addWidget(m_trench, 1, 1);
    grid->addWidget(m_period, 1, 2);
    grid->addWidget(m_contexts, 1, 3, 1, 2);
    grid->addWidget(m_eachContext, 2, 0);
    grid->addWidget(m_eachPeriod, 2, 1);
    grid->addWidget(m_finds, 2, 2);
    grid->setColumnStretch(3, 1);
}

QCheckBox* PlanChoices::choice(const QString& text, const QString& tip)
{
    auto* box = new QCheckBox(text, this);
    box->setToolTip(tip);
    connect(box, &QCheckBox::toggled, this, &PlanChoices::changed);
    return box;
}

QComboBox* PlanChoices::scaleChoice(const char* name, const QString& first, const QString& tip)
{
    auto* box = new QComboBox(this);
    box->setObjectName(name);
    box->setToolTip(tip);
    box->addItem(first, 0.0);
    for (const double scale : customaryScales())
        box->addItem(scaleWords(scale), scale);
    return box;
}

PlanChoices::Offer PlanChoices::offerOf(const Project& project)
{
    Offer offer;
    for (const Trench& trench : project.all<Trench>())
        offer.trenches.push_back(trench.name);
    std::set<std::string> periods;
    for (const Context& context : project.all<Context>())
        if (!context.period.empty())
            periods.insert(context.period);
    offer.periods.assign(periods.begin(), periods.end());
    return offer;
}

void PlanChoices::offer(const Offer& offer)
{
    refill(m_trench, tr("every trench"), offer.trenches);
    refill(m_period, tr("every period"), offer.periods);
}

bool PlanChoices::wanted() const
{
    return m_wanted->isChecked();
}

PlansOrder PlanChoices::order() const
{
    PlansOrder plans;
    plans.sheet.paper = static_cast<PaperSize>(m_paper->currentIndex());
    plans.sheet.standing = m_standing->isChecked();
    if (const double scale = m_scale->currentData().toDouble(); scale > 0)
        plans.sheet.scaleDenominator = scale;
    if (const double scale = m_verticalScale->currentData().toDouble(); scale > 0)
        plans.sheet.verticalScaleDenominator = scale;
    plans.choice.trench = m_trench->currentData().toString().toStdString();
    plans.choice.period = m_period->currentData().toString().toStdString();
    static const QRegularExpression between("[,;\\s]+");
    for (const QString& number : m_contexts->text().split(between, Qt::SkipEmptyParts))
        plans.choice.contexts.push_back(number.toStdString());
    plans.choice.surveyedFinds = m_finds->isChecked();
    plans.eachContext = m_eachContext->isChecked();
    plans.eachPeriod = m_eachPeriod->isChecked();
    return plans;
}

void PlanChoices::setBusy(bool busy)
{
    m_preview->setEnabled(!busy);
}

} // namespace inkpeg
