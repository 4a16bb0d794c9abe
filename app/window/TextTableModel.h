// SPDX-License-Identifier: GPL-3.0-or-later
// A RegisterTable for a table view: narrowed down as one types, sorted by its header. Nothing is copied for
// the view, so that 100,000 lines cost no more than those that are seen.
#pragma once

#include <optional>
#include <vector>

#include <QAbstractTableModel>
#include <QStringList>

#include "core/records/RegisterTable.h"

namespace inkpeg {

class TextTableModel : public QAbstractTableModel {
    Q_OBJECT
public:
    explicit TextTableModel(QObject* parent = nullptr);

    /// `headings` are shown instead of the columns' names where given.
    void setTable(RegisterTable table, QStringList headings = {});
    void setQuery(const QString& query);
    const RegisterTable& table() const { return m_table; }

    /// The row of the table that a line of the view shows.
    std::size_t rowAt(int line) const { return m_lines[static_cast<std::size_t>(line)]; }

    int rowCount(const QModelIndex& parent = {}) const override;
    int columnCount(const QModelIndex& parent = {}) const override;
    QVariant data(const QModelIndex& index, int role) const override;
    QVariant headerData(int section, Qt::Orientation orientation, int role) const override;
    void sort(int column, Qt::SortOrder order) override;

private:
    void fill();

    RegisterTable m_table;
    QStringList m_headings;
    QString m_query;
    std::optional<int> m_sortColumn;
    Qt::SortOrder m_sortOrder = Qt::AscendingOrder;
    std::vector<std::uint32_t> m_rank;  ///< of each row in the order asked for; empty = as they came
    std::vector<std::uint32_t> m_lines; ///< rows that match, in order
};

} // namespace inkpeg
