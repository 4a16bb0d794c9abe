// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/ChestModel.h"

#include <algorithm>

#include <QCollator>
#include <QImage>

#include "app/window/Thumbnails.h"
#include "app/window/Words.h"

namespace inkpeg {

ChestModel::ChestModel(Thumbnails& thumbnails, QObject* parent)
    : QAbstractListModel(parent), m_thumbnails(thumbnails)
{
    connect(&thumbnails, &Thumbnails::arrived, this, [this] {
        if (!m_rows.empty())
            emit dataChanged(index(0), index(rowCount() - 1), {Picture});
    });
}

void ChestModel::setProject(const Project* project)
{
    m_project = project;
    m_thumbnails.clear();
    reload();
}

void ChestModel::setFilter(const QString& text)
{
    m_filter = text.trimmed();
    beginResetModel();
    arrange();
    endResetModel();
}

void ChestModel::reload()
{
    std::vector<Drawing> drawings = m_project ? m_project->all<Drawing>() : std::vector<Drawing>();
    std::map<std::string, Sheet> sheets;
    if (m_project)
        for (const Sheet& sheet : m_project->all<Sheet>())
            sheets.emplace(sheet.number, sheet);
    if (drawings == m_drawings && sheets == m_sheets)
        return;
    beginResetModel();
    m_drawings = std::move(drawings);
    m_sheets = std::move(sheets);
    arrange();
    endResetModel();
}

void ChestModel::arrange()
{
    QCollator byNumber;
    byNumber.setNumericMode(true); // P-9 before P-10
    std::vector<Drawing> sorted = m_drawings;
    std::ranges::stable_sort(sorted, [&](const Drawing& a, const Drawing& b) {
        if (a.trench != b.trench)
            return byNumber.compare(words(a.trench), words(b.trench)) < 0;
        return byNumber.compare(words(a.number), words(b.number)) < 0;
    });
    m_rows.clear();
    std::size_t heading = 0;
    for (const Drawing& drawing : sorted) {
        const QString text = words(drawing.number + ' ' + drawing.title + ' ' + drawing.trench) + ' ' +
                             stageWord(drawing.stage);
        if (!m_filter.isEmpty() && !text.contains(m_filter, Qt::CaseInsensitive))
            continue;
        if (m_rows.empty() || m_rows[heading].drawer != words(drawing.trench)) {
            heading = m_rows.size();
            m_rows.push_back({words(drawing.trench), {}, 0});
        }
        ++m_rows[heading].count;
        m_rows.push_back({{}, drawing, 0});
    }
}

int ChestModel::rowOfDrawing(std::int64_t id) const
{
    for (std::size_t i = 0; i < m_rows.size(); ++i)
        if (id != 0 && m_rows[i].drawing.id == id)
            return static_cast<int>(i);
    return -1;
}

std::int64_t ChestModel::neighbourOf(std::int64_t id, int step) const
{
    std::vector<std::int64_t> order;
    for (const Row& row : m_rows)
        if (row.drawing.id != 0)
            order.push_back(row.drawing.id);
    if (order.empty())
        return 0;
    const auto here = std::ranges::find(order, id);
    if (here == order.end())
        return order.front();
    const auto at = std::distance(order.begin(), here) + step;
    return at < 0 || at >= std::ssize(order) ? 0 : order[static_cast<std::size_t>(at)];
}

int ChestModel::rowCount(const QModelIndex& parent) const
{
    return parent.isValid() ? 0 : static_cast<int>(m_rows.size());
}

QVariant ChestModel::data(const QModelIndex& index, int role) const
{
    if (!index.isValid() || index.row() >= rowCount())
        return {};
    const Row& row = m_rows[static_cast<std::size_t>(index.row())];
    const bool drawer = row.drawing.id == 0;
    if (role == IsDrawer)
        return drawer;
    if (drawer) {
        const QString name = row.drawer.isEmpty() ? tr("No trench") : row.drawer;
        if (role == Qt::DisplayRole || role == Title)
            return name;
        if (role == Detail)
            return QString::number(row.count);
        return {};
    }
    const Drawing& drawing = row.drawing;
    switch (role) {
    case DrawingId:
        return QVariant::fromValue<qint64>(drawing.id);
    case Number:
        return words(drawing.number);
    case Title:
        return words(drawing.title);
    case Detail:
        return tr("%1 %2").arg(drawingKindWord(drawing.kind), scaleWords(drawing.scaleDenominator));
    case StageWord:
        return stageWord(drawing.stage);
    case StageIndex:
        return static_cast<int>(drawing.stage);
    case Picture: {
        const auto sheet = m_sheets.find(drawing.sheet);
        if (sheet == m_sheets.end() || sheet->second.scanFile.empty())
            return QImage();
        return m_thumbnails.of(drawing, sheet->second, scanPath(*m_project, sheet->second));
    }
    case Qt::DisplayRole: // what a screen reader and type-ahead read
    case Qt::AccessibleTextRole:
    case Qt::ToolTipRole:
        return tr("%1 %2, %3").arg(words(drawing.number), words(drawing.title), stageWord(drawing.stage));
    default:
        return {};
    }
}

Qt::ItemFlags ChestModel::flags(const QModelIndex& index) const
{
    if (data(index, IsDrawer).toBool())
        return Qt::ItemIsEnabled;
    return Qt::ItemIsEnabled | Qt::ItemIsSelectable;
}

} // namespace inkpeg
