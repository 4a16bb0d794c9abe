// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PegCard.h"

#include <QComboBox>
#include <QHeaderView>
#include <QLabel>
#include <QSignalBlocker>
#include <QTableView>
#include <QVBoxLayout>

#include "app/board/Palette.h"
#include "app/window/PinTableModel.h"
#include "app/window/Words.h"

namespace inkpeg {
namespace {

QTableView* makeTable(PinTableModel* model, Session& session, QWidget* parent)
{
    auto* table = new QTableView(parent);
    table->setModel(model);
    table->setItemDelegate(new PinDelegate(session, table));
    table->setSelectionBehavior(QAbstractItemView::SelectRows);
    table->setSelectionMode(QAbstractItemView::SingleSelection);
    table->setEditTriggers(QAbstractItemView::DoubleClicked | QAbstractItemView::EditKeyPressed |
                           QAbstractItemView::AnyKeyPressed);
    table->setAccessibleName(QObject::tr("Pins"));
    table->setToolTip(
        QObject::tr("Double click or F2 changes the peg or the use of a pin; Delete removes it"));
    table->verticalHeader()->hide();
    table->verticalHeader()->setDefaultSectionSize(30);
    table->horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
    table->horizontalHeader()->setSectionResizeMode(PinTableModel::Use, QHeaderView::Stretch);
    table->horizontalHeader()->setMinimumSectionSize(38);
    table->horizontalHeader()->setHighlightSections(false);
    table->setShowGrid(false);
    table->setAlternatingRowColors(true);
    return table;
}

} // namespace

PegCard::PegCard(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_model(new PinTableModel(session, this)),
      m_heading(new QLabel(this)), m_fitModel(new QComboBox(this)), m_verdict(new QLabel(this)),
      m_figures(new QLabel(this)), m_table(makeTable(m_model, session, this))
{
    m_heading->setObjectName("subheading");
    m_heading->setWordWrap(true);
    m_verdict->setWordWrap(true);
    m_verdict->setAccessibleName(tr("Verdict on the fit"));
    m_figures->setWordWrap(true);
    m_figures->setObjectName("faint");
    for (int i = 0; i <= static_cast<int>(Model::ThinPlateSpline); ++i)
        m_fitModel->addItem(tr("%1, at least %2 pins")
                                .arg(words(modelName(static_cast<Model>(i))))
                                .arg(fewestPins(static_cast<Model>(i))),
                            i);
    m_fitModel->setAccessibleName(tr("Fitted by"));
    m_fitModel->setToolTip(
        tr("How supple the fit is. Take the simplest whose residuals are within tolerance."));

    auto* caption = new QLabel(tr("&Fitted by"), this);
    caption->setBuddy(m_fitModel);
    auto* layout = new QVBoxLayout(this);
    layout->addWidget(m_heading);
    layout->addWidget(caption);
    layout->addWidget(m_fitModel);
    layout->addWidget(m_verdict);
    layout->addWidget(m_figures);
    layout->addWidget(m_table, 1);

    connect(m_fitModel, &QComboBox::activated, this,
            [this](int index) { m_session.setModel(static_cast<Model>(index)); });
    connect(m_table->selectionModel(), &QItemSelectionModel::currentRowChanged, this,
            [this](const QModelIndex& now) { emit pinChosen(m_model->pinOfRow(now.row())); });
    connect(&session, &Session::projectChanged, this, &PegCard::refresh);
    connect(&session, &Session::recordsChanged, this, &PegCard::refresh);
    connect(&session, &Session::drawingChosen, this, &PegCard::refresh);
    refresh();
}

void PegCard::selectPin(std::int64_t pin)
{
    const int row = m_model->rowOfPin(pin);
    if (row < 0)
        m_table->clearSelection();
    else if (m_table->currentIndex().row() != row)
        m_table->setCurrentIndex(m_model->index(row, 0));
}

std::int64_t PegCard::selectedPin() const
{
    return m_table->selectionModel()->hasSelection() ? m_model->pinOfRow(m_table->currentIndex().row()) : 0;
}

QString PegCard::figures() const
{
    const ControlFit& fit = m_session.scene().drawing->ground->fit;
    QString text = tr("RMSE %1 mm on film, %2 mm on the ground · %3 pins in the fit · redundancy %4")
                       .arg(fit.rmseMm, 0, 'f', 2)
                       .arg(fit.rmseM * 1000, 0, 'f', 0)
                       .arg(fit.pinsUsed)
                       .arg(fit.redundancy);
    if (fit.redundancy > 0)
        text += tr(" · standard error of unit weight %1").arg(fit.standardErrorOfUnitWeight, 0, 'f', 2);
    return text;
}

void PegCard::refresh()
{
    const auto& drawing = m_session.scene().drawing;
    setEnabled(drawing.has_value());
    if (!drawing) {
        m_heading->setText(tr("No drawing at hand"));
        m_verdict->clear();
        m_figures->clear();
        return;
    }
    m_heading->setText(tr("%1 · %2 %3")
                           .arg(words(drawing->record.number), drawingKindWord(drawing->record.kind),
                                scaleWords(drawing->record.scaleDenominator)));
    {
        const QSignalBlocker quiet(m_fitModel);
        m_fitModel->setCurrentIndex(static_cast<int>(drawing->record.model));
    }
    Verdict verdict{Verdict::Kind::Doubtful, m_session.noFitBecause()};
    if (drawing->ground)
        verdict = verdictOf(drawing->ground->fit);
    m_figures->setText(drawing->ground ? figures() : QString());
    const Palette& colours = inkpeg::palette();
    const QColor ink = verdict.kind == Verdict::Kind::Good  ? colours.good
                       : verdict.kind == Verdict::Kind::Bad ? colours.bad
                                                            : colours.doubtful;
    const QString mark = verdict.kind == Verdict::Kind::Good  ? "✓"
                         : verdict.kind == Verdict::Kind::Bad ? "✗"
                                                              : "…";
    m_verdict->setText(QString("<span style='color:%1'><b>%2</b> %3</span>")
                           .arg(ink.name(), mark, verdict.text.toHtmlEscaped()));
}

} // namespace inkpeg
