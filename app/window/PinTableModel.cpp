// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PinTableModel.h"

#include <algorithm>
#include <cmath>

#include <QComboBox>
#include <QCompleter>
#include <QLineEdit>

#include "app/board/Palette.h"
#include "app/window/Words.h"
#include "core/fit/Consensus.h"

namespace inkpeg {
namespace {

QString placedWords(const Pin& pin)
{
    QString text = pin.placedBy == "lattice" ? PinTableModel::tr("Found with the grid")
                   : pin.placedBy == "cross" ? PinTableModel::tr("Centred on its cross")
                                             : PinTableModel::tr("Placed by hand");
    if (pin.standardErrorPx)
        text += PinTableModel::tr(", ± %1 px on each axis").arg(*pin.standardErrorPx, 0, 'f', 2);
    return text;
}

} // namespace

PinTableModel::PinTableModel(Session& session, QObject* parent)
    : QAbstractTableModel(parent), m_session(session)
{
    connect(&session, &Session::projectChanged, this, &PinTableModel::reload);
    connect(&session, &Session::recordsChanged, this, &PinTableModel::reload);
    connect(&session, &Session::drawingChosen, this, &PinTableModel::reload);
}

void PinTableModel::reload()
{
    std::vector<Pin> pins;
    std::vector<PinResidual> residuals;
    if (const auto& drawing = m_session.scene().drawing) {
        pins = drawing->pins;
        residuals = drawing->residuals;
    }
    // An editor that is open keeps its row: a reset while it hands over its value would destroy it.
    const bool sameRows = std::ranges::equal(pins, m_pins, {}, &Pin::id, &Pin::id);
    if (!sameRows)
        beginResetModel();
    m_pins = std::move(pins);
    m_residuals = std::move(residuals);
    if (!sameRows)
        endResetModel();
    else if (!m_pins.empty())
        emit dataChanged(index(0, 0), index(rowCount() - 1, ColumnCount - 1));
}

std::int64_t PinTableModel::pinOfRow(int row) const
{
    return row >= 0 && row < rowCount() ? m_pins[static_cast<std::size_t>(row)].id : 0;
}

int PinTableModel::rowOfPin(std::int64_t pin) const
{
    for (std::size_t i = 0; i < m_pins.size(); ++i)
        if (m_pins[i].id == pin)
            return static_cast<int>(i);
    return -1;
}

int PinTableModel::rowCount(const QModelIndex& parent) const
{
    return parent.isValid() ? 0 : static_cast<int>(m_pins.size());
}
int PinTableModel::columnCount(const QModelIndex& parent) const
{
    return parent.isValid() ? 0 : ColumnCount;
}

QVariant PinTableModel::headerData(int section, Qt::Orientation orientation, int role) const
{
    if (orientation != Qt::Horizontal)
        return {};
    static const QStringList names{tr("Peg"), tr("Use"), tr("film mm"), tr("mm"), tr("w"), tr("red.")};
    static const QStringList tips{
        tr("The surveyed peg that this pin is tied to"),
        tr("fit: takes part; check point: only judged; left out: set aside"),
        tr("Length of the residual on the film, at the stated scale"),
        tr("Length of the residual on the ground"),
        tr("Residual over its own standard error, the larger of the two coordinates; beyond 3.3 or so it "
           "is "
           "suspect"),
        tr("Redundancy share, 0 to 1: how far an error here would show in its own residual")};
    if (role == Qt::DisplayRole)
        return names[section];
    if (role == Qt::ToolTipRole)
        return tips[section];
    return {};
}

QVariant PinTableModel::data(const QModelIndex& index, int role) const
{
    if (!index.isValid())
        return {};
    const auto row = static_cast<std::size_t>(index.row());
    const Pin& pin = m_pins[row];
    const PinResidual* residual = row < m_residuals.size() ? &m_residuals[row] : nullptr;
    const bool bad = residual && pin.use != PinUse::LeftOut && !residual->withinTolerance;
    if (role == Qt::TextAlignmentRole && index.column() >= FilmMm)
        return QVariant::fromValue(Qt::AlignRight | Qt::AlignVCenter);
    if (role == Qt::ForegroundRole && bad)
        return inkpeg::palette().bad;
    if (role == Qt::FontRole && bad) { // not by hue alone
        QFont bold;
        bold.setBold(true);
        return bold;
    }
    if (role == Qt::ToolTipRole)
        return placedWords(pin);
    if (role == Qt::EditRole)
        return index.column() == Use ? QVariant(static_cast<int>(pin.use)) : QVariant(words(pin.peg));
    if (role != Qt::DisplayRole)
        return {};
    if (index.column() == Peg)
        return words(pin.peg);
    if (index.column() == Use)
        return useName(pin.use);
    if (!residual)
        return QStringLiteral("–");
    switch (index.column()) {
    case FilmMm:
        return (bad ? QStringLiteral("! ") : QString()) + QString::number(residual->filmMm, 'f', 2);
    case GroundMm:
        return QString::number(residual->lengthM() * 1000, 'f', 0);
    case Test: {
        if (pin.use != PinUse::Fit)
            return QStringLiteral("–");
        const double w = std::max(std::abs(residual->testEast), std::abs(residual->testNorth));
        const int used = static_cast<int>(
            std::ranges::count_if(m_pins, [](const Pin& each) { return each.use == PinUse::Fit; }));
        return (w > snoopingLimit(2 * used) ? QStringLiteral("! ") : QString()) +
               QString::number(w, 'f', 1);
    }
    case Redundancy:
        return QString::number(residual->redundancyShare, 'f', 2);
    default:
        return {};
    }
}

Qt::ItemFlags PinTableModel::flags(const QModelIndex& index) const
{
    Qt::ItemFlags flags = Qt::ItemIsEnabled | Qt::ItemIsSelectable;
    if (index.column() <= Use && m_session.canWrite())
        flags |= Qt::ItemIsEditable;
    return flags;
}

bool PinTableModel::setData(const QModelIndex& index, const QVariant& value, int role)
{
    if (role != Qt::EditRole || !index.isValid())
        return false;
    const Pin pin = m_pins[static_cast<std::size_t>(index.row())];
    if (index.column() == Use)
        return value.toInt() != static_cast<int>(pin.use) &&
               m_session.setPinUse(pin.id, static_cast<PinUse>(value.toInt()));
    return value.toString().trimmed() != words(pin.peg) && m_session.renamePin(pin.id, value.toString());
}

QWidget* PinDelegate::createEditor(QWidget* parent, const QStyleOptionViewItem& option,
                                   const QModelIndex& index) const
{
    if (index.column() == PinTableModel::Use) {
        auto* list = new QComboBox(parent);
        for (const PinUse use : {PinUse::Fit, PinUse::Check, PinUse::LeftOut})
            list->addItem(useName(use), static_cast<int>(use));
        return list;
    }
    QWidget* editor = QStyledItemDelegate::createEditor(parent, option, index);
    if (auto* field = qobject_cast<QLineEdit*>(editor)) {
        auto* completer = new QCompleter(m_session.pegNames(), field);
        completer->setCaseSensitivity(Qt::CaseInsensitive);
        field->setCompleter(completer);
    }
    return editor;
}

void PinDelegate::setEditorData(QWidget* editor, const QModelIndex& index) const
{
    if (auto* list = qobject_cast<QComboBox*>(editor))
        list->setCurrentIndex(list->findData(index.data(Qt::EditRole)));
    else
        QStyledItemDelegate::setEditorData(editor, index);
}

void PinDelegate::setModelData(QWidget* editor, QAbstractItemModel* model, const QModelIndex& index) const
{
    if (auto* list = qobject_cast<QComboBox*>(editor))
        model->setData(index, list->currentData(), Qt::EditRole);
    else
        QStyledItemDelegate::setModelData(editor, model, index);
}

} // namespace inkpeg
