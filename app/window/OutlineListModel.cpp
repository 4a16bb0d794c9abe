// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/OutlineListModel.h"

#include <cmath>

#include "app/window/Words.h"
#include "core/outline/Area.h"

namespace inkpeg {

OutlineListModel::OutlineListModel(const Session& session, QObject* parent)
    : QAbstractListModel(parent), m_session(session)
{
}

void OutlineListModel::reload()
{
    const auto& drawing = m_session.scene().drawing;
    beginResetModel();
    m_outlines = drawing ? drawing->outlines : OutlineSet();
    endResetModel();
}

QModelIndex OutlineListModel::indexOfOutline(std::int64_t id) const
{
    const std::size_t row = m_outlines.indexOf(id);
    return row < m_outlines.size() ? index(static_cast<int>(row)) : QModelIndex();
}

std::int64_t OutlineListModel::outlineAt(const QModelIndex& index) const
{
    return index.isValid() ? m_outlines[static_cast<std::size_t>(index.row())].id : 0;
}

int OutlineListModel::rowCount(const QModelIndex& parent) const
{
    return parent.isValid() ? 0 : static_cast<int>(m_outlines.size());
}

QVariant OutlineListModel::data(const QModelIndex& index, int role) const
{
    if (!index.isValid() || role != Qt::DisplayRole)
        return {};
    return describe(m_outlines[static_cast<std::size_t>(index.row())]);
}

QString OutlineListModel::describe(const Outline& outline) const
{
    QString text = words(outline.context);
    const auto& drawing = m_session.scene().drawing;
    if (drawing && drawing->ground) {
        double area = 0;
        const auto add = [&](const Ring& ring, double sign) {
            std::vector<GroundM> corners;
            for (const ScanPx& vertex : ring.vertices)
                corners.push_back(drawing->ground->toGround(vertex));
            area += sign * std::abs(signedAreaM2(corners));
        };
        for (const Part& part : outline.parts) {
            add(part.outer, 1);
            for (const Ring& hole : part.holes)
                add(hole, -1);
        }
        text += tr(" · %1 m²").arg(area, 0, 'f', area < 1 ? 3 : 2);
    }
    if (!m_session.project().byKey<Context>(outline.context))
        text += tr(" · not in the context register");
    return text;
}

} // namespace inkpeg
