// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/SectionDialog.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QFormLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QTableWidget>
#include <QVBoxLayout>

#include "app/board/Palette.h"
#include "app/window/Present.h"
#include "app/window/Words.h"
#include "core/base/Text.h"
#include "core/store/SectionTurn.h"

namespace inkpeg {
namespace {

const QStringList CompassPoints{"",  "N",   "NNE", "NE",  "ENE", "E",   "ESE", "SE", "SSE",
                                "S", "SSW", "SW",  "WSW", "W",   "WNW", "NW",  "NNW"};

enum PinColumn { PegColumn, OnDatumColumn, OwnDatumColumn, LevelColumn, PinColumns };

} // namespace

SectionDialog::SectionDialog(Session& session, QWidget* parent)
    : QDialog(parent), m_session(session), m_line(new QLineEdit(this)), m_datum(new QLineEdit(this)),
      m_facing(new QComboBox(this)), m_taller(new QDoubleSpinBox(this)),
      m_pins(new QTableWidget(0, PinColumns, this)), m_reads(new QLabel(this)), m_trouble(new QLabel(this)),
      m_remedies(new QVBoxLayout)
{
    setAttribute(Qt::WA_DeleteOnClose);
    m_line->setObjectName("sectionLine");
    m_line->setToolTip(
        tr("Semicolons go on to the next peg, over bends. A line between two pegs is a step aside "
           "that was not drawn: both are one place on the film"));
    m_line->setPlaceholderText(
        tr("straight through its pins; or pegs from A to B: A; M; B, and | where it steps: A; M | N; B"));
    m_datum->setObjectName("sectionDatum");
    m_datum->setPlaceholderText(tr("level of the drawn datum line in metres, e.g. 41.50"));
    m_facing->setObjectName("sectionFacing");
    m_facing->addItems(CompassPoints);
    m_taller->setObjectName("sectionTaller");
    m_taller->setRange(0.1, 100);
    m_taller->setDecimals(2);
    m_taller->setToolTip(tr("How many times taller than wide it was drawn; 1 for most"));
    m_pins->setObjectName("sectionPins");
    m_pins->setHorizontalHeaderLabels(
        {tr("Peg"), tr("On the datum line"), tr("Datum of its piece"), tr("Level")});
    m_pins->horizontalHeader()->setSectionResizeMode(QHeaderView::Stretch);
    m_pins->verticalHeader()->hide();
    m_pins->setAccessibleName(tr("Marks of the section"));
    m_reads->setObjectName("sectionReads");
    m_reads->setWordWrap(true);
    m_trouble->setObjectName("sectionTrouble");
    m_trouble->setWordWrap(true);
    m_trouble->hide();

    auto* form = new QFormLayout;
    form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
    form->addRow(tr("&Line"), m_line);
    form->addRow(tr("&Datum"), m_datum);
    form->addRow(tr("&Faces"), m_facing);
    form->addRow(tr("Drawn &taller by"), m_taller);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Apply | QDialogButtonBox::Close, this);
    makeChief(buttons->button(QDialogButtonBox::Apply));
    buttons->button(QDialogButtonBox::Apply)->setText(tr("&Keep"));
    auto* layout = new QVBoxLayout(this);
    layout->setSpacing(10);
    layout->addLayout(form);
    layout->addWidget(m_pins, 1);
    layout->addWidget(m_reads);
    layout->addLayout(m_remedies);
    layout->addWidget(m_trouble);
    layout->addWidget(buttons);
    resize(600, 560);

    connect(buttons->button(QDialogButtonBox::Apply), &QPushButton::clicked, this, &SectionDialog::keep);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    connect(m_pins, &QTableWidget::itemChanged, this, [this](QTableWidgetItem* item) {
        if (!m_filling)
            keepPin(item->row());
    });
    connect(&session, &Session::recordsChanged, this, &SectionDialog::refresh);
    connect(&session, &Session::drawingChosen, this, &SectionDialog::refresh);
    connect(&session, &Session::projectChanged, this, &QDialog::close);
    refresh();
    m_line->setFocus();
}

void SectionDialog::refuse(const QString& what)
{
    m_trouble->setText(QString("<span style='color:%1'><b>! %2</b></span>")
                           .arg(inkpeg::palette().bad.name(), what.toHtmlEscaped()));
    m_trouble->show();
}

void SectionDialog::refresh()
{
    const std::optional<Drawing> drawing = m_session.isOpen() ? m_session.drawing() : std::nullopt;
    const bool upright = drawing && isUpright(drawing->kind);
    setWindowTitle(upright ? tr("Section %1").arg(words(drawing->number)) : tr("Section"));
    for (QWidget* field : std::initializer_list<QWidget*>{m_line, m_datum, m_facing, m_taller, m_pins})
        field->setEnabled(upright && m_session.canWrite());
    m_trouble->hide();
    while (QLayoutItem* item = m_remedies->takeAt(0)) {
        item->widget()->hide();
        item->widget()->deleteLater(); // it may be the one just pressed
        delete item;
    }
    if (!upright) {
        m_reads->setText(tr("Choose a section, elevation or profile in the plan chest"));
        m_pins->setRowCount(0);
        return;
    }
    m_line->setText(words(drawing->sectionLine));
    m_datum->setText(drawing->datumM ? words(fixed(*drawing->datumM, 3)) : QString());
    if (m_facing->findText(words(drawing->facing)) < 0)
        m_facing->addItem(words(drawing->facing));
    m_facing->setCurrentText(words(drawing->facing));
    m_taller->setValue(drawing->verticalExaggeration);
    showPins(*drawing);
    showReading(*drawing);
}

void SectionDialog::showReading(const Drawing& drawing)
{
    const Result<SectionReading> reading = readSection(m_session.project(), drawing);
    const Palette& colours = inkpeg::palette();
    const auto tell = [this](const QColor& colour, const QString& mark, const QString& what) {
        m_reads->setText(QString("<span style='color:%1'><b>%2</b> %3</span>")
                             .arg(colour.name(), mark, what.toHtmlEscaped()));
    };
    if (!reading)
        return tell(colours.bad, tr("!"), words(reading.error().message));
    const SectionFrame& frame = reading->frame;
    const QString stands = tr("%1 to %2, %3 m, faces %4. ")
                               .arg(words(frame.nails().front().name), words(frame.nails().back().name))
                               .arg(frame.lengthM(), 0, 'f', 3)
                               .arg(words(frame.facingName()));
    if (reading->remedies.empty())
        return tell(colours.good, tr("✓"), stands + words(reading->message));
    tell(colours.bad, tr("!"), stands + words(reading->message));
    for (const SectionRemedy remedy : reading->remedies) {
        auto* button = new QPushButton(sentence(words(remedyInWords(remedy, drawing, frame))), this);
        button->setObjectName(QString("remedy%1").arg(static_cast<int>(remedy)));
        button->setToolTip(tr("One act that can be undone"));
        button->setAutoDefault(false);
        m_remedies->addWidget(button);
        connect(button, &QPushButton::clicked, this, [this, remedy, number = drawing.number] {
            const auto now = m_session.project().byKey<Drawing>(number);
            const Result<Change> turned = turnSection(m_session.project(), *now, remedy);
            if (!turned)
                return refuse(words(turned.error().message));
            m_session.refresh();
            emit m_session.said(sentence(words(turned->what)), false);
        });
    }
}

void SectionDialog::showPins(const Drawing& drawing)
{
    m_filling = true;
    const std::vector<Pin> pins = m_session.project().ofDrawing<Pin>(drawing.id);
    m_pins->setRowCount(static_cast<int>(pins.size()));
    for (int row = 0; row < m_pins->rowCount(); ++row) {
        const Pin& pin = pins[static_cast<std::size_t>(row)];
        const auto peg = m_session.project().byKey<Peg>(pin.peg);
        auto* name = new QTableWidgetItem(words(pin.peg));
        name->setData(Qt::UserRole, QVariant::fromValue(static_cast<qlonglong>(pin.id)));
        name->setFlags(Qt::ItemIsEnabled | Qt::ItemIsSelectable);
        auto* onDatum = new QTableWidgetItem;
        onDatum->setFlags(Qt::ItemIsEnabled | Qt::ItemIsSelectable | Qt::ItemIsUserCheckable);
        onDatum->setCheckState(pin.onDatum ? Qt::Checked : Qt::Unchecked);
        auto* own = new QTableWidgetItem(pin.datumM ? words(fixed(*pin.datumM, 3)) : QString());
        auto* level = new QTableWidgetItem(pin.onDatum          ? tr("of the datum line")
                                           : peg && peg->levelM ? words(fixed(*peg->levelM, 3))
                                                                : tr("none"));
        level->setFlags(Qt::ItemIsEnabled | Qt::ItemIsSelectable);
        m_pins->setItem(row, PegColumn, name);
        m_pins->setItem(row, OnDatumColumn, onDatum);
        m_pins->setItem(row, OwnDatumColumn, own);
        m_pins->setItem(row, LevelColumn, level);
    }
    m_filling = false;
}

void SectionDialog::keepPin(int row)
{
    const auto id = m_pins->item(row, PegColumn)->data(Qt::UserRole).toLongLong();
    std::optional<Pin> pin = m_session.project().byId<Pin>(id);
    const std::optional<Drawing> drawing = m_session.drawing();
    if (!pin || !drawing)
        return;
    pin->onDatum = m_pins->item(row, OnDatumColumn)->checkState() == Qt::Checked;
    const std::string own = m_pins->item(row, OwnDatumColumn)->text().trimmed().toStdString();
    pin->datumM.reset();
    if (!own.empty()) {
        const Result<double> datum = parseDatum(own, drawing->number);
        if (!datum)
            return refuse(words(datum.error().message));
        pin->datumM = *datum;
    }
    const Result<Change> done = m_session.project().act(
        "section " + drawing->number + ": mark " + pin->peg +
            (pin->onDatum ? " lies on the datum line" : " has the level of its peg"),
        [&](Editor& edit) { return edit.put(*pin); });
    if (!done)
        return refuse(words(done.error().message));
    m_session.refresh();
}

void SectionDialog::keep()
{
    std::optional<Drawing> drawing = m_session.drawing();
    if (!drawing)
        return;
    const std::string datumText = m_datum->text().trimmed().toStdString();
    drawing->datumM.reset();
    if (!datumText.empty()) {
        const Result<double> datum = parseDatum(datumText, drawing->number);
        if (!datum)
            return refuse(words(datum.error().message));
        drawing->datumM = *datum;
    }
    drawing->facing = m_facing->currentText().toStdString();
    Drawing lined = *drawing;
    lined.sectionLine = m_line->text().trimmed().toStdString();
    const Result<Change> set = setSectionLine(m_session.project(), *drawing,
                                              sectionLineStops(lined.sectionLine), m_taller->value());
    if (!set)
        return refuse(words(set.error().message));
    m_session.refresh();
    if (set->journalId != 0)
        emit m_session.said(sentence(words(set->what)), false);
}

} // namespace inkpeg
