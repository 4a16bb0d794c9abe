// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PegCard.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QScrollArea>
#include <QTabBar>
#include <QTabWidget>
#include <QTableView>
#include <QVBoxLayout>

#include "app/board/Palette.h"
#include "app/window/PegPanels.h"
#include "app/window/PinTableModel.h"
#include "app/window/Words.h"
#include "core/base/Text.h"
#include "core/fit/CheckPoints.h"
#include "core/handover/ResidualFigures.h"
#include "core/store/PositionError.h"

namespace inkpeg {
namespace {

enum Page { Pins, Models, Causes, Accuracy };

QTableView* makeTable(PinTableModel* model, Session& session, QWidget* parent)
{
    auto* table = new QTableView(parent);
    table->setTabKeyNavigation(false); // Tab leads out of it
    table->setModel(model);
    table->setItemDelegate(new PinDelegate(session, table));
    table->setSelectionBehavior(QAbstractItemView::SelectRows);
    table->setSelectionMode(QAbstractItemView::SingleSelection);
    table->setEditTriggers(QAbstractItemView::DoubleClicked | QAbstractItemView::EditKeyPressed);
    table->setAccessibleName(QObject::tr("Pins"));
    table->setToolTip(QObject::tr(
        "Double click or F2 changes the peg or the use of a pin; C, O and Delete act on it as on the board"));
    table->verticalHeader()->hide();
    table->verticalHeader()->setDefaultSectionSize(30);
    table->horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
    table->horizontalHeader()->setSectionResizeMode(PinTableModel::Use, QHeaderView::Stretch);
    table->horizontalHeader()->setMinimumSectionSize(34);
    table->horizontalHeader()->setHighlightSections(false);
    table->setShowGrid(false);
    table->setAlternatingRowColors(true);
    return table;
}

QString millimetres(double metres)
{
    return QString::number(metres * 1000, 'f', std::abs(metres) < 0.0095 ? 1 : 0);
}

QString row(const QString& name, const QString& value)
{
    return QString("<tr><td>%1&nbsp;&nbsp;</td><td>%2</td></tr>").arg(name, value.toHtmlEscaped());
}

QString siteGridText(const Project& project)
{
    const PegsInCrs pegs(project);
    const std::vector<Peg> all = project.all<Peg>();
    if (std::ranges::none_of(all, [](const Peg& peg) { return peg.frame == PegFrame::Site; }))
        return {};
    QString text = "<h4>" + QObject::tr("Site grid in the CRS") + "</h4>";
    if (!pegs.siteGrid())
        return text + words(pegs.siteGrid().error().message).toHtmlEscaped();
    const SiteGrid& grid = *pegs.siteGrid();
    text += QObject::tr("Scale %1 ppm, turned %2° clockwise, RMSE %3 mm")
                .arg(grid.scalePartsPerMillion(), 0, 'f', 0)
                .arg(grid.rotationRad() * 180 / std::numbers::pi, 0, 'f', 4)
                .arg(millimetres(grid.rmseM()));
    text += "<table cellspacing='0' cellpadding='2'>";
    for (const CommonPointResidual& point : grid.residuals())
        text += row(words(point.name).toHtmlEscaped(),
                    QObject::tr("E %1  N %2 mm%3")
                        .arg(millimetres(point.eastM), millimetres(point.northM),
                             point.suspect ? QObject::tr("  ! suspect") : QString()));
    return text + "</table>";
}

} // namespace

PegCard::PegCard(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_model(new PinTableModel(session, this)),
      m_heading(new QLabel(this)), m_scale(new QLineEdit(this)), m_verdict(new QLabel(this)),
      m_pages(new QTabWidget(this)), m_table(makeTable(m_model, session, this)),
      m_models(new ModelPanel(session, this)), m_causes(new CausesPanel(session, this)),
      m_accuracy(new QLabel(this))
{
    m_heading->setObjectName("subheading");
    m_heading->setWordWrap(true);
    m_verdict->setWordWrap(true);
    m_verdict->setAccessibleName(tr("Verdict on the fit"));
    m_scale->setObjectName("scale");
    m_scale->setMaximumWidth(76);
    m_scale->setAccessibleName(tr("Stated scale"));
    m_scale->setToolTip(tr("The number behind 1: that the drawing states; Enter changes it"));
    m_accuracy->setWordWrap(true);
    m_accuracy->setAlignment(Qt::AlignTop);
    m_accuracy->setTextInteractionFlags(Qt::TextSelectableByMouse);
    m_accuracy->setMargin(6);
    auto* scroll = new QScrollArea(this);
    scroll->setWidgetResizable(true);
    scroll->setWidget(m_accuracy);
    m_pages->addTab(m_table, tr("Pin&s"));
    m_pages->addTab(m_models, tr("Mo&del"));
    m_pages->addTab(m_causes, tr("Ca&uses"));
    m_pages->addTab(scroll, tr("Accurac&y"));
    m_pages->setDocumentMode(true);
    m_pages->tabBar()->setDrawBase(false); // a white line in the dark

    auto* top = new QHBoxLayout;
    top->addWidget(m_heading, 1);
    auto* scaleCaption = new QLabel(tr("1&:"), this);
    scaleCaption->setBuddy(m_scale);
    top->addWidget(scaleCaption);
    top->addWidget(m_scale);
    auto* layout = new QVBoxLayout(this);
    layout->addLayout(top);
    layout->addWidget(m_verdict);
    layout->addWidget(m_pages, 1);

    connect(m_scale, &QLineEdit::returnPressed, this,
            [this] { m_session.setScale(parseNumber(m_scale->text().toStdString()).value_or(0)); });
    connect(m_table->selectionModel(), &QItemSelectionModel::currentRowChanged, this,
            [this](const QModelIndex& now) { emit pinChosen(m_model->pinOfRow(now.row())); });
    connect(m_causes, &CausesPanel::pinChosen, this, &PegCard::pinChosen);
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

void PegCard::showPage(int page)
{
    m_pages->setCurrentIndex(page);
}

void PegCard::showEvent(QShowEvent* event)
{
    QWidget::showEvent(event);
    refresh();
}

QString PegCard::accuracy() const
{
    const BoardDrawing& drawing = *m_session.scene().drawing;
    const ControlFit& fit = drawing.ground->fit;
    QString text = "<table cellspacing='0' cellpadding='2'>";
    text += row(
        tr("RMSE"),
        tr("%1 mm on film, %2 mm on the ground").arg(fit.rmseMm, 0, 'f', 2).arg(millimetres(fit.rmseM)));
    text += row(tr("Redundancy"), tr("%1, from %2 pins").arg(fit.redundancy).arg(fit.pinsUsed));
    if (fit.redundancy > 0) {
        const PinTests tests = pinTestsOf(fit);
        text += row(tr("Unit weight"), QString::number(fit.standardErrorOfUnitWeight, 'f', 2));
        text += row(tr("Largest w"), tr("%1 at %2, limit %3")
                                         .arg(tests.largestW, 0, 'f', 2)
                                         .arg(words(tests.peg))
                                         .arg(tests.limitW, 0, 'f', 2));
        if (tests.limitTau)
            text +=
                row(tr("Largest tau"),
                    tr("%1, limit %2").arg(tests.largestTau, 0, 'f', 2).arg(*tests.limitTau, 0, 'f', 2));
    }
    const Result<std::vector<ControlPoint>> points =
        controlPoints(m_session.project(), drawing.record, drawing.pins);
    if (points) {
        const PositionErrors errors(*drawing.ground, *points, m_session.project().facts().tracingErrorMm);
        const PositionError middle = errors.at({drawing.film.widthPx / 2, drawing.film.heightPx / 2});
        text +=
            row(tr("In the middle"), tr("a traced place ± %1 mm: fit %2, pegs %3, tracing %4, pixel %5")
                                         .arg(millimetres(middle.totalM()), millimetres(middle.controlM),
                                              millimetres(middle.pegM), millimetres(middle.tracingM),
                                              millimetres(middle.pixelM)));
    }
    text += "</table><h4>" + tr("Check points") + "</h4>" +
            sentence(words(accuracyOfCheckPoints(fit.residuals).statement)).toHtmlEscaped() + ".";
    return text;
}

void PegCard::refreshAccuracy()
{
    const auto& drawing = m_session.scene().drawing;
    QString text = drawing && drawing->ground
                       ? accuracy()
                       : tr("The fit says how sure it is once the drawing has enough pins.");
    if (m_session.isOpen())
        text += siteGridText(m_session.project());
    m_accuracy->setText(text);
}

void PegCard::refresh()
{
    const auto& drawing = m_session.scene().drawing;
    setEnabled(drawing.has_value());
    if (!isVisible())
        return; // comparing models is work; it is done when the card comes forward
    m_models->refresh();
    m_causes->refresh();
    m_pages->setTabText(Causes, m_causes->count() > 0 ? tr("! Ca&uses (%1)").arg(m_causes->count())
                                                      : tr("Ca&uses"));
    refreshAccuracy();
    if (!drawing) {
        m_heading->setText(tr("No drawing at hand"));
        m_verdict->clear();
        m_scale->clear();
        return;
    }
    m_heading->setText(
        tr("%1 · %2").arg(words(drawing->record.number), drawingKindWord(drawing->record.kind)));
    m_scale->setText(QString::number(drawing->record.scaleDenominator, 'g', 6));
    m_scale->setEnabled(m_session.canWrite());
    Verdict verdict{Verdict::Kind::Doubtful, m_session.noFitBecause()};
    if (drawing->ground)
        verdict = verdictOf(drawing->ground->fit);
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
