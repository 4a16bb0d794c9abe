// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/MeasureTool.h"

#include <algorithm>
#include <optional>

#include "app/board/Board.h"
#include "app/board/BoardPainting.h"
#include "app/board/Snap.h"
#include "core/store/Measure.h"

namespace inkpeg {
namespace {

QString withError(const Measured& measured, const char* unit)
{
    return QString::fromStdString(measured.inWords()) + ' ' + unit;
}

/// The written level nearest to a place, if one is near enough to be meant.
std::optional<double> levelAt(const BoardDrawing& drawing, ScanPx place)
{
    constexpr double nearMm = 3;
    const double reachPx = nearMm * drawing.film.dpiX / MillimetresPerInch;
    std::optional<double> level;
    double least = reachPx;
    for (const SpotLevel& each : drawing.levels)
        if (const double away = distance(each.mark, place); away <= least) {
            least = away;
            level = each.levelM;
        }
    return level;
}

} // namespace

void MeasureTool::reset()
{
    m_places.clear();
    emit board().hintChanged();
    board().update();
}

void MeasureTool::press(const BoardPointer& pointer)
{
    m_pointer = pointer;
    m_pointerKnown = true;
    if (!pointer.scan)
        return;
    m_places.push_back(snapFor(board(), pointer).at);
    emit board().hintChanged();
    board().update();
}

void MeasureTool::move(const BoardPointer& pointer, bool)
{
    m_pointer = pointer;
    m_pointerKnown = true;
}

void MeasureTool::takeBack()
{
    if (!m_places.empty())
        m_places.pop_back();
    emit board().hintChanged();
    board().update();
}

void MeasureTool::giveUp()
{
    const bool empty = m_places.empty();
    reset();
    if (empty)
        emit givenUp();
}

QString MeasureTool::rise() const
{
    const BoardDrawing& drawing = *board().scene().drawing;
    if (const auto measured =
            measuredRise(*drawing.ground, m_places.front(), m_places.back(), drawing.tracingErrorMm))
        return tr(" · rise %1").arg(withError(*measured, "m"));
    const auto from = levelAt(drawing, m_places.front()), to = levelAt(drawing, m_places.back());
    return from && to ? tr(" · rise %1").arg(withError(riseBetweenLevels(*from, *to), "m")) : QString();
}

QString MeasureTool::figures() const
{
    const auto& drawing = board().scene().drawing;
    if (!drawing || !drawing->ground || m_places.size() < 2)
        return {};
    QString text =
        tr("length %1")
            .arg(withError(measuredLength(*drawing->ground, m_places, drawing->tracingErrorMm), "m"));
    if (m_places.size() > 2)
        text +=
            tr(" · area %1")
                .arg(withError(measuredArea(*drawing->ground, m_places, drawing->tracingErrorMm), "m²"));
    return text + rise();
}

void MeasureTool::paint(QPainter& painter)
{
    board().paintTraced(painter, {});
    const BoardPicture picture{board().scene(),        board().frame(),   board().view(),
                               QRectF(board().rect()), inkpeg::palette(), board().font()};
    QPolygonF corners = picture.at(m_places);
    const bool live = m_pointerKnown && m_pointer.scan;
    if (live && !corners.isEmpty())
        corners << picture.at(snapFor(board(), m_pointer).at);
    for (const auto& [colour, width] :
         {std::pair(picture.colours.halo, 5.0), std::pair(picture.colours.snap, 2.0)}) {
        painter.setPen(QPen(colour, width, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
        painter.setBrush(Qt::NoBrush);
        painter.drawPolyline(corners);
        for (const QPointF& corner : corners)
            painter.drawLine(corner + QPointF(0, -5), corner + QPointF(0, 5));
    }
    if (const QString text = figures(); !text.isEmpty())
        paintLabel(painter, picture, picture.at(m_places.back()) + QPointF(12, -16), text,
                   picture.colours.snap);
    if (live)
        paintSnap(painter, picture, snapFor(board(), m_pointer));
}

QString MeasureTool::hint() const
{
    const auto& drawing = board().scene().drawing;
    if (drawing && !drawing->ground)
        return tr("Not pinned yet: nothing can be measured on the ground · Esc ends it");
    const QString text = figures();
    return (text.isEmpty()
                ? tr("Measure: click from place to place; on a plan, from written level to written "
                     "level for the rise")
                : text) +
           tr(" · Enter begins anew · Esc ends it");
}

} // namespace inkpeg
