// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/TraceCard.h"

#include <algorithm>
#include <cmath>

#include <QComboBox>
#include <QItemSelectionModel>
#include <QLabel>
#include <QListView>
#include <QListWidget>
#include <QPushButton>
#include <QSignalBlocker>
#include <QVBoxLayout>

#include "app/window/OutlineListModel.h"
#include "app/window/RecordWords.h"
#include "app/window/Words.h"
#include "core/outline/Area.h"

namespace inkpeg {

TraceCard::TraceCard(Session& session, TraceTool& tool, QWidget* parent)
    : QWidget(parent), m_session(session), m_tool(tool), m_heading(new QLabel(this)),
      m_state(new QLabel(this)), m_record(new QLabel(this)),
      m_next(new QPushButton(tr("Next outline… (N)"), this)), m_kind(new QComboBox(this)),
      m_drawn(new OutlineListModel(session, this)), m_outlines(new QListView(this)),
      m_figures(new QLabel(this)), m_undrawn(new QListWidget(this)), m_undrawnCaption(new QLabel(this))
{
    m_heading->setObjectName("subheading");
    m_heading->setWordWrap(true);
    m_state->setWordWrap(true);
    m_record->setObjectName("record");
    m_record->setWordWrap(true);
    m_record->setAccessibleName(tr("What the register says of the context at hand"));
    m_next->setToolTip(tr("Asks for the context number, then each click on the board sets a vertex (N)"));
    for (int i = 0; i < 5; ++i)
        m_kind->addItem(QString("%1  %2").arg(i + 1).arg(words(edgeKindName(static_cast<EdgeKind>(i)))), i);
    m_kind->setAccessibleName(tr("Kind of the next edge"));
    m_kind->setToolTip(tr("Kind of the next edge (K goes through them, 1 to 5 choose)"));
    m_figures->setObjectName("figures");
    m_figures->setWordWrap(true);
    m_figures->setTextInteractionFlags(Qt::TextSelectableByMouse);
    m_outlines->setModel(m_drawn);
    m_outlines->setUniformItemSizes(true);
    m_outlines->setEditTriggers(QAbstractItemView::NoEditTriggers);
    m_outlines->setAccessibleName(tr("Outlines on this drawing"));
    m_outlines->setToolTip(tr("Choose an outline to edit it; Delete on the board removes it"));
    m_undrawn->setAccessibleName(tr("Contexts not drawn yet"));
    m_undrawn->setToolTip(tr("Double click or Enter begins the outline of that context"));

    auto* kindCaption = new QLabel(tr("Next &edge"), this);
    kindCaption->setBuddy(m_kind);
    auto* outlinesCaption = new QLabel(tr("On this drawing"), this);
    outlinesCaption->setObjectName("faint");
    m_undrawnCaption->setObjectName("faint");
    auto* layout = new QVBoxLayout(this);
    layout->addWidget(m_heading);
    layout->addWidget(m_state);
    layout->addWidget(m_record);
    layout->addWidget(m_next);
    layout->addWidget(kindCaption);
    layout->addWidget(m_kind);
    layout->addWidget(outlinesCaption);
    layout->addWidget(m_outlines, 3);
    layout->addWidget(m_figures);
    layout->addWidget(m_undrawnCaption);
    layout->addWidget(m_undrawn, 2);

    connect(m_next, &QPushButton::clicked, this, &TraceCard::nextAsked);
    connect(m_kind, &QComboBox::activated, this,
            [this](int kind) { m_tool.chooseKind(static_cast<EdgeKind>(kind)); });
    connect(m_outlines->selectionModel(), &QItemSelectionModel::currentChanged, this,
            [this](const QModelIndex& current) {
                // Taking the lines in anew lets go of the current one, but not of the chosen outline.
                if (current.isValid())
                    m_tool.selectOutline(m_drawn->outlineAt(current));
            });
    connect(m_undrawn, &QListWidget::itemActivated, this,
            [this](const QListWidgetItem* item) { m_tool.arm(item->text().toStdString()); });
    connect(&tool, &TraceTool::stateChanged, this, &TraceCard::showState);
    connect(&tool, &TraceTool::outlineSelected, this, &TraceCard::showFigures);
    connect(&session, &Session::projectChanged, this, &TraceCard::refresh);
    connect(&session, &Session::recordsChanged, this, &TraceCard::refresh);
    connect(&session, &Session::drawingChosen, this, &TraceCard::refresh);
    refresh();
}

void TraceCard::showRecordOf(const QString& number)
{
    std::string context = number.trimmed().toStdString();
    if (context.empty())
        context = m_tool.armedFor();
    const auto& drawing = m_session.scene().drawing;
    if (const Outline* chosen = drawing ? drawing->outlines.byId(m_tool.selectedOutline()) : nullptr;
        context.empty() && chosen)
        context = chosen->context;
    m_record->setText(context.empty() || !m_session.isOpen() ? QString()
                                                             : recordWords(m_session.project(), context));
    m_record->setVisible(!m_record->text().isEmpty());
}

void TraceCard::refresh()
{
    const auto& drawing = m_session.scene().drawing;
    setEnabled(drawing.has_value());
    m_drawn->reload();
    m_undrawn->clear();
    if (!drawing) {
        m_heading->setText(tr("No drawing at hand"));
        m_state->clear();
        return;
    }
    m_heading->setText(tr("%1 · %2").arg(words(drawing->record.number), words(drawing->record.title)));
    const QStringList undrawn = m_session.undrawnContexts();
    m_undrawn->addItems(undrawn);
    m_undrawnCaption->setText(
        tr("Not drawn yet in %1: %2").arg(words(drawing->record.trench)).arg(undrawn.size()));
    showState();
    showFigures();
}

/// Area, perimeter and centroid of the chosen outline, and how it meets the sheets that go on with it.
void TraceCard::showFigures()
{
    const std::int64_t chosen = m_tool.selectedOutline();
    const std::optional<OutlineFigures> figures = m_session.figuresOf(chosen);
    m_figures->setVisible(figures.has_value());
    if (!figures)
        return;
    // On a face the figures are of the face: how far along its line, and how high.
    const bool onFace = m_session.scene().drawing->ground->section.has_value();
    QString text =
        (onFace ? tr("Area %1 m²\nPerimeter %2 m\nCentroid %3 m along the line\nCentroid at level %4 m")
                : tr("Area %1 m²\nPerimeter %2 m\nCentroid E %3 m\nCentroid N %4 m"))
            .arg(words(figures->areaM2.inWords()), words(figures->perimeterM.inWords()),
                 words(figures->centroidEast.inWords()), words(figures->centroidNorth.inWords()));
    const std::vector<SheetOutline> sheets =
        m_session.sheetsOf(m_session.scene().drawing->outlines.byId(chosen)->context);
    if (sheets.size() > 1) {
        if (const auto joined = joinedOnGround(sheets))
            text += tr("\nOn %1 sheets: %2 m² together").arg(sheets.size()).arg(areaM2(*joined), 0, 'f', 3);
        for (const SheetJoin& join : sheetJoins(sheets))
            text += tr("\n%1 and %2 miss each other by %3 m (mean %4, one sigma %5)")
                        .arg(words(join.one), words(join.other))
                        .arg(join.worstM, 0, 'f', 3)
                        .arg(join.meanM, 0, 'f', 3)
                        .arg(join.standardErrorM, 0, 'f', 3);
    }
    m_figures->setText(text);
}

void TraceCard::showState()
{
    if (m_tool.drawing())
        m_state->setText(tr("Drawing context %1").arg(words(m_tool.armedFor())));
    else if (!m_tool.armedFor().empty())
        m_state->setText(tr("Ready to draw context %1").arg(words(m_tool.armedFor())));
    else
        m_state->setText(m_session.noFitBecause().isEmpty()
                             ? tr("Nothing is being drawn")
                             : tr("Not pinned yet: outlines have no place on the ground"));
    showRecordOf({});
    const QSignalBlocker quietKind(m_kind);
    m_kind->setCurrentIndex(static_cast<int>(m_tool.nextKind()));
    const QModelIndex chosen = m_drawn->indexOfOutline(m_tool.selectedOutline());
    // Not by the view's own function, which would keep the first line from being taken with the keys.
    m_outlines->selectionModel()->setCurrentIndex(chosen, QItemSelectionModel::ClearAndSelect);
    if (chosen.isValid())
        m_outlines->scrollTo(chosen);
}

} // namespace inkpeg
