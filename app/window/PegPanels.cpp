// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PegPanels.h"

#include <algorithm>

#include <QHeaderView>
#include <QKeyEvent>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QTableWidget>
#include <QVBoxLayout>

#include "app/board/Palette.h"
#include "app/window/Words.h"

namespace inkpeg {
namespace {

/// A list or table whose Enter acts on its row; a platform may not send `activated` for it.
template<typename View>
class EnterActs final : public View {
public:
    using View::View;
    std::function<void(int)> act;

protected:
    void keyPressEvent(QKeyEvent* event) override
    {
        if ((event->key() == Qt::Key_Return || event->key() == Qt::Key_Enter) && this->currentRow() >= 0)
            act(this->currentRow());
        else
            View::keyPressEvent(event);
    }
    void mouseDoubleClickEvent(QMouseEvent* event) override
    {
        View::mouseDoubleClickEvent(event);
        if (this->currentRow() >= 0)
            act(this->currentRow());
    }
};

QLabel* wrapped(QWidget* parent, bool faint = false)
{
    auto* label = new QLabel(parent);
    label->setWordWrap(true);
    label->setTextInteractionFlags(Qt::TextSelectableByMouse);
    if (faint)
        label->setObjectName("faint");
    return label;
}

QString chanceText(const std::optional<FTest>& test)
{
    if (!test)
        return QStringLiteral("–");
    return test->chance < 1e-4 ? QStringLiteral("< 0.01") : QString::number(100 * test->chance, 'f', 2);
}

} // namespace

ModelPanel::ModelPanel(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_advice(wrapped(this)), m_reason(new QLineEdit(this))
{
    auto* table = new EnterActs<QTableWidget>(this);
    table->act = [this](int row) { m_session.setModel(static_cast<Model>(row), m_reason->text()); };
    m_table = table;
    m_table->setColumnCount(5);
    m_table->setHorizontalHeaderLabels({tr("Fitted by"), tr("left out"), tr("F %"), tr("ppm"), tr("mm")});
    const QStringList tips{
        tr("How supple the fit is: the advised model is marked, the chosen one is bold"),
        tr("Leave-one-out: how far each pin lies from where the others predict it, root mean square, mm on "
           "film"),
        tr("F test against the next simpler model: the chance of gaining so much if the simpler were true"),
        tr("Largest distortion over the drawing, parts per million: scale along the principal axes or "
           "skew"),
        tr("Largest departure from a fit that keeps shapes, mm on film")};
    for (int i = 0; i < tips.size(); ++i)
        m_table->horizontalHeaderItem(i)->setToolTip(tips[i]);
    m_table->setSelectionBehavior(QAbstractItemView::SelectRows);
    m_table->setSelectionMode(QAbstractItemView::SingleSelection);
    m_table->setEditTriggers(QAbstractItemView::NoEditTriggers);
    m_table->setAccessibleName(tr("Comparison of models"));
    m_table->setToolTip(tr("Enter or a double click fits by this model"));
    m_table->verticalHeader()->hide();
    m_table->setShowGrid(false);
    m_table->horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
    m_table->horizontalHeader()->setSectionResizeMode(0, QHeaderView::Stretch);
    m_table->horizontalHeader()->setMinimumSectionSize(34);
    m_table->horizontalHeader()->setHighlightSections(false);
    m_table->verticalHeader()->setDefaultSectionSize(28);
    m_reason->setObjectName("modelReason");
    m_reason->setPlaceholderText(tr("why another than the advised one"));
    m_reason->setToolTip(tr("Kept with the drawing and told in its report when a model is chosen"));
    m_reason->setAccessibleName(tr("Reason for the model"));
    auto* caption = new QLabel(tr("Reaso&n"), this);
    caption->setBuddy(m_reason);
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(4, 8, 4, 4);
    layout->addWidget(m_advice);
    layout->addWidget(m_table, 1);
    layout->addWidget(caption);
    layout->addWidget(m_reason);
    connect(m_reason, &QLineEdit::returnPressed, this, [this] {
        if (const auto drawing = m_session.drawing())
            m_session.setModel(drawing->model, m_reason->text());
    });
}

void ModelPanel::fillRow(int row, const ModelAssessment& assessment, bool advised, bool chosen)
{
    QStringList cells{(advised ? QStringLiteral("★ ") : QString()) + words(modelName(assessment.model))};
    QString tip = words(assessment.whyNot);
    if (assessment.fit) {
        const Distortion& distortion = assessment.distortion;
        const double worst = std::max({std::abs(distortion.largestScalePpm),
                                       std::abs(distortion.smallestScalePpm), distortion.skewPpm});
        cells << (assessment.predictionErrorMm ? QString::number(*assessment.predictionErrorMm, 'f', 2)
                                               : QStringLiteral("–"))
              << chanceText(assessment.test) << QString::number(worst, 'f', 0)
              << QString::number(distortion.awayMm, 'f', 2);
        tip = tr("scale %1 to %2 ppm, skew %3 ppm, %4 mm from a fit that keeps shapes; redundancy %5")
                  .arg(distortion.smallestScalePpm, 0, 'f', 0)
                  .arg(distortion.largestScalePpm, 0, 'f', 0)
                  .arg(distortion.skewPpm, 0, 'f', 0)
                  .arg(distortion.awayMm, 0, 'f', 3)
                  .arg(assessment.fit->redundancy);
    }
    const Palette& colours = inkpeg::palette();
    for (int column = 0; column < m_table->columnCount(); ++column) {
        auto* item = new QTableWidgetItem(cells.value(column, QStringLiteral("–")));
        item->setToolTip(tip);
        if (column > 0)
            item->setTextAlignment(Qt::AlignRight | Qt::AlignVCenter);
        if (!assessment.fit)
            item->setForeground(colours.faintInk);
        QFont font = m_table->font();
        font.setBold(chosen);
        item->setFont(font);
        m_table->setItem(row, column, item);
    }
}

void ModelPanel::refresh()
{
    const ModelComparison* comparison = m_session.comparison();
    const auto drawing = m_session.drawing();
    setEnabled(comparison && drawing);
    m_table->setRowCount(comparison && drawing ? static_cast<int>(comparison->models.size()) : 0);
    if (!comparison || !drawing) {
        m_advice->setText(tr("Models are compared once the drawing has pins."));
        return;
    }
    for (std::size_t i = 0; i < comparison->models.size(); ++i) {
        const ModelAssessment& assessment = comparison->models[i];
        fillRow(static_cast<int>(i), assessment, comparison->recommended == assessment.model,
                drawing->model == assessment.model);
    }
    m_table->setCurrentCell(static_cast<int>(drawing->model), 0);
    m_reason->setText(words(drawing->modelReason));
    QString advice = comparison->recommended
                         ? tr("★ Advised: %1. (M takes it)").arg(words(comparison->reason))
                         : tr("No model can be fitted yet.");
    advice += tr(" %1 % of the drawing lies outside the hull of its pins.")
                  .arg(100 * comparison->extrapolationShare, 0, 'f', 0);
    m_advice->setText(advice);
}

CausesPanel::CausesPanel(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_summary(wrapped(this)), m_remedy(wrapped(this, true)),
      m_take(new QPushButton(tr("Ta&ke this remedy"), this))
{
    auto* list = new EnterActs<QListWidget>(this);
    list->act = [this](int row) { m_session.takeRemedy(static_cast<std::size_t>(row)); };
    m_list = list;
    m_list->setWordWrap(true);
    m_list->setAccessibleName(tr("Likely causes"));
    m_list->setToolTip(tr("The likeliest cause first; Enter takes its remedy, undo brings back what was"));
    m_take->setToolTip(tr("Does what stands above; Ctrl+Z takes it back"));
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(4, 8, 4, 4);
    layout->addWidget(m_summary);
    layout->addWidget(m_list, 1);
    layout->addWidget(m_remedy);
    layout->addWidget(m_take, 0, Qt::AlignLeft);
    connect(m_list, &QListWidget::currentRowChanged, this, &CausesPanel::tellRemedy);
    connect(m_take, &QPushButton::clicked, this, [this] {
        if (m_list->currentRow() >= 0)
            m_session.takeRemedy(static_cast<std::size_t>(m_list->currentRow()));
    });
}

int CausesPanel::count() const
{
    return m_list->count();
}

void CausesPanel::refresh()
{
    m_list->clear();
    const DrawingDiagnosis* diagnosis = m_session.diagnosis();
    m_summary->setText(tr("Wrong pins are looked for once the drawing has pins."));
    if (diagnosis)
        m_summary->setText(
            diagnosis->hypotheses.empty() ? sentence(words(diagnosis->summary)) + "."
            : diagnosis->wrong.empty()
                ? tr("Likely causes, the likeliest first:")
                : tr("%1 of %2 pins do not agree with the others. Likely causes, the likeliest first:")
                      .arg(diagnosis->wrong.size())
                      .arg(diagnosis->pins.size()));
    for (std::size_t i = 0; diagnosis && i < diagnosis->hypotheses.size(); ++i)
        m_list->addItem(
            QString("%1. %2").arg(i + 1).arg(sentence(words(diagnosis->hypotheses[i].sentence))));
    m_list->setVisible(m_list->count() > 0);
    m_remedy->setVisible(m_list->count() > 0);
    m_take->setVisible(m_list->count() > 0);
    m_take->setEnabled(m_session.canWrite());
    if (m_list->count() > 0)
        m_list->setCurrentRow(0);
    tellRemedy();
}

void CausesPanel::tellRemedy()
{
    const DrawingDiagnosis* diagnosis = m_session.diagnosis();
    const int row = m_list->currentRow();
    if (!diagnosis || row < 0 || row >= static_cast<int>(diagnosis->hypotheses.size()))
        return;
    const auto hypothesis = static_cast<std::size_t>(row);
    m_remedy->setText(
        tr("Remedy: %1.")
            .arg(words(remedyWords(m_session.scene().drawing->record, *diagnosis, hypothesis))));
    const std::vector<std::size_t>& pins = diagnosis->hypotheses[hypothesis].pins;
    if (!pins.empty() && m_list->hasFocus())
        emit pinChosen(diagnosis->pins[pins.front()].id);
}

} // namespace inkpeg
