// SPDX-License-Identifier: GPL-3.0-or-later
// The pins of the drawing at hand with their residuals, edited in place.
#pragma once

#include <QAbstractTableModel>
#include <QStyledItemDelegate>

#include "app/window/Session.h"

namespace inkpeg {

class PinTableModel final : public QAbstractTableModel {
    Q_OBJECT
public:
    enum Column { Peg, Use, FilmMm, GroundMm, Test, Redundancy, ColumnCount };

    PinTableModel(Session& session, QObject* parent);

    std::int64_t pinOfRow(int row) const;
    int rowOfPin(std::int64_t pin) const;

    int rowCount(const QModelIndex& parent = {}) const override;
    int columnCount(const QModelIndex& parent = {}) const override;
    QVariant data(const QModelIndex& index, int role) const override;
    QVariant headerData(int section, Qt::Orientation orientation, int role) const override;
    Qt::ItemFlags flags(const QModelIndex& index) const override;
    bool setData(const QModelIndex& index, const QVariant& value, int role) override;

private:
    void reload();

    Session& m_session;
    std::vector<Pin> m_pins;
    std::vector<PinResidual> m_residuals;
};

/// Edits the use by a list, the peg by a field that completes.
class PinDelegate final : public QStyledItemDelegate {
    Q_OBJECT
public:
    PinDelegate(Session& session, QObject* parent) : QStyledItemDelegate(parent), m_session(session) {}
    QWidget* createEditor(QWidget* parent, const QStyleOptionViewItem& option,
                          const QModelIndex& index) const override;
    void setEditorData(QWidget* editor, const QModelIndex& index) const override;
    void setModelData(QWidget* editor, QAbstractItemModel* model, const QModelIndex& index) const override;

private:
    Session& m_session;
};

} // namespace inkpeg
