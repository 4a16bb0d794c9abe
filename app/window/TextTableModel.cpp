// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/TextTableModel.h"

#include <algorithm>

namespace inkpeg {

TextTableModel::TextTableModel(QObject* parent) : QAbstractTableModel(parent), m_table({}) {}

void TextTableModel::setTable(RegisterTable table, QStringList headings)
{
    beginResetModel();
    m_table = std::move(table);
    m_headings = std::move(headings);
    m_rank.clear();
    if (m_sortColumn && *m_sortColumn >= static_cast<int>(m_table.columns().size()))
        m_sortColumn.reset();
    fill();
    endResetModel();
}

void TextTableModel::setQuery(const QString& query)
{
    beginResetModel();
    m_query = query;
    fill();
    endResetModel();
}

void TextTableModel::sort(int column, Qt::SortOrder order)
{
    beginResetModel();
    m_sortColumn = column < 0 ? std::nullopt : std::optional(column);
    m_sortOrder = order;
    m_rank.clear();
    fill();
    endResetModel();
}

void TextTableModel::fill()
{
    m_lines = m_table.matching(m_query.toStdString());
    if (!m_sortColumn)
        return;
    if (m_rank.empty()) {
        const std::vector<std::uint32_t> order = m_table.sortedBy(static_cast<std::size_t>(*m_sortColumn));
        m_rank.resize(order.size());
        for (std::uint32_t i = 0; i < order.size(); ++i)
            m_rank[order[i]] = i;
    }
    std::ranges::sort(m_lines, {}, [this](std::uint32_t row) { return m_rank[row]; });
    if (m_sortOrder == Qt::DescendingOrder)
        std::ranges::reverse(m_lines);
}

int TextTableModel::rowCount(const QModelIndex& parent) const
{
    return parent.isValid() ? 0 : static_cast<int>(m_lines.size());
}

int TextTableModel::columnCount(const QModelIndex& parent) const
{
    return parent.isValid() ? 0 : static_cast<int>(m_table.columns().size());
}

QVariant TextTableModel::data(const QModelIndex& index, int role) const
{
    if (role != Qt::DisplayRole && role != Qt::ToolTipRole)
        return {};
    const std::string_view cell =
        m_table.cell(rowAt(index.row()), static_cast<std::size_t>(index.column()));
    return QString::fromUtf8(cell.data(), static_cast<qsizetype>(cell.size()));
}

QVariant TextTableModel::headerData(int section, Qt::Orientation orientation, int role) const
{
    if (orientation != Qt::Horizontal || role != Qt::DisplayRole || section >= columnCount())
        return {};
    return section < m_headings.size()
               ? m_headings[section]
               : QString::fromStdString(m_table.columns()[static_cast<std::size_t>(section)]);
}

} // namespace inkpeg
