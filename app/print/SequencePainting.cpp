// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/SequencePainting.h"

#include <algorithm>
#include <cmath>

#include <QPainter>
#include <QPainterPath>

#include "app/print/Paper.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

constexpr double U = SequenceUnitsPerMm;

QString words(const std::string& text)
{
    return QString::fromStdString(text);
}

QFont font(int heightUnits, bool bold)
{
    QFont font = Paper::font(8, bold);
    font.setPixelSize(heightUnits);
    return font;
}

QColor tint(const QColor& colour, const QColor& paper, double share)
{
    const auto mix = [&](int one, int other) {
        return static_cast<int>(std::lround(one * share + other * (1 - share)));
    };
    return {mix(colour.red(), paper.red()), mix(colour.green(), paper.green()),
            mix(colour.blue(), paper.blue())};
}

void paintArrowHead(QPainter& painter, QPointF from, QPointF to, const QColor& colour)
{
    const double length = std::hypot(to.x() - from.x(), to.y() - from.y());
    if (length < 1e-9)
        return;
    const QPointF along = (to - from) / length * (2.2 * U);
    const QPointF across(-along.y() * 0.4, along.x() * 0.4);
    painter.setPen(Qt::NoPen);
    painter.setBrush(colour);
    painter.drawPolygon(QPolygonF({to, to - along + across, to - along - across}));
}

void paintLine(QPainter& painter, const DiagramLine& line, const SequenceInk& ink, bool chosen)
{
    QPolygonF points;
    for (const DiagramPoint& point : line.points)
        points << QPointF(point.xMm * U, point.yMm * U);
    QPen pen(line.inLoop ? ink.trouble
             : chosen    ? ink.text
                         : ink.line,
             (line.inLoop || chosen ? 0.6 : 0.28) * U);
    pen.setJoinStyle(Qt::RoundJoin);
    if (line.inLoop)
        pen.setDashPattern({4, 2.5});
    painter.setPen(pen);
    painter.setBrush(Qt::NoBrush);
    painter.drawPolyline(points);
    // Only in a circle can a line lead upwards; there the direction has to be seen.
    if (line.inLoop)
        paintArrowHead(painter, points[points.size() - 2], points.back(), ink.trouble);
}

QString underWords(const DiagramUnit& unit)
{
    if (!unit.registered)
        return QStringLiteral("not registered");
    if (unit.inLoop)
        return words(nameOf(unit.stage)) + QStringLiteral(" · circle");
    return words(nameOf(unit.stage));
}

void paintUnit(QPainter& painter, const DiagramUnit& unit, const SequenceInk& ink, bool chosen)
{
    const QRectF box(unit.leftMm * U, unit.topMm * U, unit.widthMm * U, unit.heightMm * U);
    const QColor& colour = ink.of(unit.stage);
    QPen pen(unit.inLoop ? ink.trouble
             : chosen    ? ink.text
                         : colour,
             (chosen        ? 1.0
              : unit.inLoop ? 0.7
                            : 0.35) *
                 U);
    if (unit.inLoop || !unit.registered)
        pen.setDashPattern({3, 2});
    painter.setPen(pen);
    painter.setBrush(tint(colour, ink.paper, 0.16));
    painter.drawRoundedRect(box, 1.2 * U, 1.2 * U);
    painter.setPen(Qt::NoPen);
    painter.setBrush(colour);
    painter.drawRect(QRectF(box.left() + 0.9 * U, box.top() + 1.4 * U, 1.1 * U, box.height() - 2.8 * U));
    painter.setPen(ink.text);
    painter.setFont(font(32, true));
    painter.drawText(QRectF(box.left() + 2 * U, box.top() + 0.7 * U, box.width() - 2.6 * U, 5 * U),
                     Qt::AlignCenter, words(unit.label));
    painter.setFont(font(22, false));
    painter.setPen(unit.inLoop || !unit.registered ? ink.trouble : ink.text);
    painter.drawText(QRectF(box.left() + 2 * U, box.top() + 5.6 * U, box.width() - 2.6 * U, 4.2 * U),
                     Qt::AlignCenter, underWords(unit));
}

QRectF boundsOf(const DiagramLine& line)
{
    double left = line.points[0].xMm, right = left, top = line.points[0].yMm, bottom = top;
    for (const DiagramPoint& point : line.points) {
        left = std::min(left, point.xMm);
        right = std::max(right, point.xMm);
        top = std::min(top, point.yMm);
        bottom = std::max(bottom, point.yMm);
    }
    // QRectF::intersects knows no lines without width.
    return QRectF(left, top, right - left, bottom - top).adjusted(-1, -1, 1, 1);
}

} // namespace

SequenceInk SequenceInk::forPaper()
{
    return {QColor(Qt::white),
            QColor(PaperInk::Text),
            QColor(PaperInk::Quiet),
            QColor(PaperInk::Quiet),
            QColor(PaperInk::Bad),
            {QColor(0xFF8A949B), QColor(PaperInk::Quiet), QColor(0xFF7A2E12), QColor(PaperInk::Check),
             QColor(0xFF8A6100), QColor(PaperInk::Good)}};
}

void paintSequence(QPainter& painter, const SequenceDiagram& diagram, const SequenceInk& ink,
                   const QRectF& visibleMm, std::optional<std::size_t> chosen)
{
    const auto isChosen = [&](std::size_t unit) { return chosen && *chosen == unit; };
    // Twice, so that what is at hand lies above the rest.
    for (const bool marked : {false, true})
        for (const DiagramLine& line : diagram.lines)
            if ((line.inLoop || isChosen(line.later) || isChosen(line.earlier)) == marked &&
                boundsOf(line).intersects(visibleMm))
                paintLine(painter, line, ink, isChosen(line.later) || isChosen(line.earlier));
    for (std::size_t i = 0; i < diagram.units.size(); ++i) {
        const DiagramUnit& unit = diagram.units[i];
        if (QRectF(unit.leftMm, unit.topMm, unit.widthMm, unit.heightMm)
                .adjusted(-1, -1, 1, 1)
                .intersects(visibleMm))
            paintUnit(painter, unit, ink, isChosen(i));
    }
    if (diagram.unrelatedFromMm) {
        painter.setPen(ink.quiet);
        painter.setFont(font(28, false));
        painter.drawText(QPointF(0, (*diagram.unrelatedFromMm + 5) * U),
                         QStringLiteral("Without a recorded relation"));
    }
}

void paintSequenceKey(QPainter& painter, const SequenceDiagram& diagram, const SequenceInk& ink, double xMm,
                      double yMm)
{
    painter.setFont(font(24, false));
    for (std::size_t stage = 0; stage < ink.stages.size(); ++stage) {
        const auto count =
            std::count_if(diagram.units.begin(), diagram.units.end(), [&](const DiagramUnit& unit) {
                return unit.registered && static_cast<std::size_t>(unit.stage) == stage;
            });
        if (count == 0)
            continue;
        painter.setPen(Qt::NoPen);
        painter.setBrush(ink.stages[stage]);
        painter.drawRect(QRectF(xMm * U, yMm * U, 1.6 * U, 3.2 * U));
        painter.setPen(ink.text);
        const QString text =
            QStringLiteral("%1 %2").arg(count).arg(words(nameOf(static_cast<Stage>(stage))));
        painter.drawText(QPointF((xMm + 2.4) * U, (yMm + 2.5) * U), text);
        xMm += 7 + 1.75 * static_cast<double>(text.size());
    }
}

std::vector<std::string> sequenceRemarks(const SequenceDiagram& diagram)
{
    std::vector<std::string> remarks;
    for (const std::vector<std::size_t>& loop : diagram.loops) {
        std::string text = "Circle: ";
        for (const std::size_t unit : loop)
            text += diagram.units[unit].label + " is later than ";
        remarks.push_back(text + diagram.units[loop.front()].label + ". One of these relations is wrong.");
    }
    if (diagram.leftOut > 0)
        remarks.push_back(std::to_string(diagram.leftOut) +
                          (diagram.leftOut == 1 ? " relation that follows" : " relations that follow") +
                          " from others " + (diagram.leftOut == 1 ? "is" : "are") + " left out.");
    return remarks;
}

} // namespace inkpeg
