// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/PointTool.h"

#include "app/board/Board.h"
#include "core/outline/Outline.h"

namespace inkpeg {

void PointTool::begin(PointPurpose purpose)
{
    m_purpose = purpose;
    emit board().hintChanged();
    board().update();
}

void PointTool::press(const BoardPointer& pointer)
{
    if (pointer.scan)
        emit placed(m_purpose, onLattice(*pointer.scan), pointer.widget);
}

void PointTool::move(const BoardPointer& pointer, bool)
{
    m_pointer = pointer;
}

void PointTool::paint(QPainter& painter)
{
    board().paintTraced(painter, {});
}

QString PointTool::hint() const
{
    const QString what =
        m_purpose == PointPurpose::Level
            ? tr("Levels: click the mark, then type the metres or the name of a levelled point")
        : m_purpose == PointPurpose::Find   ? tr("Small finds: click the mark, then type the number")
        : m_purpose == PointPurpose::Sample ? tr("Samples: click the mark, then type the number")
        : m_purpose == PointPurpose::Timber ? tr("Timbers: click the mark, then type the number")
                                            : tr("Notes: click where it stands, then type it");
    return what + tr(" · Esc ends it");
}

} // namespace inkpeg
