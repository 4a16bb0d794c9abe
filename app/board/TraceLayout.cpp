// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/TraceLayout.h"

#include <algorithm>
#include <cmath>

#include <QFontMetricsF>

#include "app/board/DrawnPainting.h"

namespace inkpeg {
namespace {

constexpr double LeastForBarsPx = 60;
constexpr double LeastForNumbersPx = 200;
constexpr double ThinPitchPx = 5;
constexpr double GapPx = 4;

struct NamedMark {
    QString name;
    QPointF at;
};

/// Pegs as the board names them, each with the room that its mark and name take.
std::vector<NamedMark> takePegs(const BoardPicture& picture, WordRoom& room)
{
    std::vector<NamedMark> pegs;
    if (hasPlace(picture))
        for (const Pin& pin : picture.scene.drawing->pins) {
            for (const QRectF& covered : roomOfPin(picture, pin))
                room.take(covered);
            pegs.push_back({QString::fromStdString(pin.peg), picture.at(pin.mark)});
        }
    for (const NamedPlace& peg : picture.scene.pegs)
        pegs.push_back({QString::fromStdString(peg.name), picture.at(peg.at)});
    for (const NamedPlace& spot : pegSpots(picture.scene)) {
        constexpr double markPx = 12;
        const QPointF at = picture.at(spot.at);
        room.take(QRectF(at - QPointF(markPx, markPx), at + QPointF(markPx, markPx)));
        room.take(pegNameBox(picture, spot));
    }
    return pegs;
}

QRectF boxAround(QPointF middle, QSizeF size)
{
    return {middle - QPointF(size.width(), size.height()) / 2, size};
}

/// How far a box reaches from its middle in a direction.
double reachOf(QSizeF size, QPointF way)
{
    return std::abs(way.x()) * size.width() / 2 + std::abs(way.y()) * size.height() / 2;
}

QPointF unit(QPointF way)
{
    const double length = std::hypot(way.x(), way.y());
    return length > 0 ? way / length : QPointF(1, 0);
}

double lengthOf(const QPolygonF& line)
{
    double length = 0;
    for (qsizetype i = 1; i < line.size(); ++i)
        length += std::hypot(line[i].x() - line[i - 1].x(), line[i].y() - line[i - 1].y());
    return length;
}

/// The place on a line at a share of its length.
QPointF placeOn(const QPolygonF& line, double share)
{
    double left = share * lengthOf(line);
    for (qsizetype i = 1; i < line.size(); ++i) {
        const QPointF way = line[i] - line[i - 1];
        const double leg = std::hypot(way.x(), way.y());
        if (leg > 0 && left <= leg)
            return line[i - 1] + way * (left / leg);
        left -= leg;
    }
    return line.last();
}

class TraceLayout {
public:
    explicit TraceLayout(const BoardPicture& picture)
        : m_picture(picture), m_metrics(picture.font), m_pegs(takePegs(picture, m_room))
    {
    }

    std::vector<TraceOnScreen> lay()
    {
        std::vector<TraceOnScreen> laid;
        for (const SectionTrace& trace : m_picture.scene.traces) {
            TraceOnScreen on;
            on.line = m_picture.at(trace.line);
            constexpr double AboutPx = 60; // of words beside it
            if (on.line.size() < 2 || !m_picture.widget.adjusted(-AboutPx, -AboutPx, AboutPx, AboutPx)
                                           .intersects(on.line.boundingRect().adjusted(-1, -1, 1, 1)))
                continue;
            const QPointF along = unit(on.line.last() - on.line.first());
            on.side = {-along.y(), along.x()};
            nameEnd(trace, on, true);
            nameEnd(trace, on, false);
            layBars(trace, on);
            laid.push_back(std::move(on));
        }
        return laid;
    }

private:
    QSizeF sizeOf(const QString& text) const
    {
        return {m_metrics.horizontalAdvance(text), m_metrics.height()};
    }

    void nameEnd(const SectionTrace& trace, TraceOnScreen& on, bool atA)
    {
        const QString text = QString::fromStdString(trace.drawing) + (atA ? " A" : " B");
        const QPointF end = atA ? on.line.first() : on.line.last();
        constexpr double NearPx = 40;
        if (std::ranges::any_of(m_pegs, [&](const NamedMark& peg) {
                return peg.name == text && std::hypot(peg.at.x() - end.x(), peg.at.y() - end.y()) < NearPx;
            }))
            return;
        const qsizetype last = on.line.size() - 1;
        const QPointF out = atA ? unit(on.line[0] - on.line[1]) : unit(on.line[last] - on.line[last - 1]);
        const QSizeF size = sizeOf(text);
        std::vector<QRectF> places;
        for (const double away : {GapPx + 2, 3 * GapPx + 8})
            for (const QPointF way : {out, unit(out - on.side), unit(out + on.side), -on.side, on.side})
                places.push_back(boxAround(end + way * (reachOf(size, way) + away), size));
        if (const auto box = m_room.firstFree(places))
            on.words.push_back({text, *box, true});
    }

    void layBars(const SectionTrace& trace, TraceOnScreen& on)
    {
        const double lengthPx = lengthOf(on.line);
        if (lengthPx < LeastForBarsPx)
            return;
        const bool numbers = lengthPx >= LeastForNumbersPx;
        double widestPx = 0;
        for (const DrawnSpan& span : trace.spans)
            widestPx = std::max(widestPx, sizeOf(QString::fromStdString(span.context)).width());
        // Numbers of neighbouring lanes clear each other by their height or by their width.
        const double pitchPx = numbers
                                   ? std::min(m_metrics.height() / std::max(std::abs(on.side.y()), 0.01),
                                              (widestPx + GapPx) / std::max(std::abs(on.side.x()), 0.01))
                                   : ThinPitchPx;
        on.barPx = numbers ? 3 : 2;
        for (const DrawnSpan& span : trace.spans) {
            const QPointF aside = on.side * (pitchPx * (span.lane + 0.5) + 8);
            on.bars.push_back(m_picture.at(span.line).translated(aside));
            if (numbers)
                numberBar(QString::fromStdString(span.context), on);
        }
    }

    void numberBar(const QString& number, TraceOnScreen& on)
    {
        const QPolygonF& bar = on.bars.back();
        const QSizeF size = sizeOf(number);
        std::vector<QRectF> places;
        if (lengthOf(bar) > size.width() + 4 * GapPx)
            for (const double share : {0.5, 0.3, 0.7, 0.15, 0.85})
                places.push_back(boxAround(placeOn(bar, share), size));
        const QPointF along = unit(bar.last() - bar.first());
        for (const QPointF& out : {along, -along}) {
            const QPointF end = out == along ? bar.last() : bar.first();
            places.push_back(boxAround(end + out * (reachOf(size, out) + GapPx), size));
        }
        if (const auto box = m_room.firstFree(places))
            on.words.push_back({number, *box, false});
    }

    const BoardPicture& m_picture;
    QFontMetricsF m_metrics;
    WordRoom m_room;
    std::vector<NamedMark> m_pegs;
};

} // namespace

bool WordRoom::isFree(const QRectF& box) const
{
    return std::ranges::none_of(m_taken, [&](const QRectF& taken) { return taken.intersects(box); });
}

std::optional<QRectF> WordRoom::firstFree(std::span<const QRectF> places)
{
    const auto free = std::ranges::find_if(places, [this](const QRectF& place) { return isFree(place); });
    if (free == places.end())
        return std::nullopt;
    take(*free);
    return *free;
}

std::vector<TraceOnScreen> layTraces(const BoardPicture& picture)
{
    return TraceLayout(picture).lay();
}

} // namespace inkpeg
