// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/PaletteStyle.h"

#include <algorithm>

#include <QPainter>
#include <QStyleOption>

#include "app/board/Palette.h"

namespace inkpeg {
namespace {

/// A hook, or a dash for what is ticked in part.
void drawTick(QPainter& painter, const QRectF& box, bool inPart)
{
    const auto at = [&](double x, double y) {
        return box.topLeft() + QPointF(box.width() * x, box.height() * y);
    };
    if (inPart)
        painter.drawLine(at(0.25, 0.5), at(0.75, 0.5));
    else
        painter.drawPolyline(QPolygonF{at(0.22, 0.52), at(0.43, 0.74), at(0.8, 0.27)});
}

} // namespace

PaletteStyle::PaletteStyle() : QProxyStyle("Fusion") {}

void PaletteStyle::drawPrimitive(PrimitiveElement element, const QStyleOption* option, QPainter* painter,
                                 const QWidget* widget) const
{
    const bool round = element == PE_IndicatorRadioButton;
    if (!round && element != PE_IndicatorCheckBox && element != PE_IndicatorItemViewItemCheck)
        return QProxyStyle::drawPrimitive(element, option, painter, widget);
    const Palette& colours = inkpeg::palette();
    const bool enabled = option->state & State_Enabled, on = option->state & State_On;
    const bool inPart = option->state & State_NoChange;
    const double side = std::min(option->rect.width(), option->rect.height()) - 1;
    QRectF box(0, 0, side, side);
    box.moveCenter(QRectF(option->rect).center());
    painter->save();
    painter->setRenderHint(QPainter::Antialiasing);
    const QColor frame = !enabled ? colours.rule : on || inPart ? colours.accent : colours.faintInk;
    painter->setPen(QPen(frame, option->state & State_HasFocus ? 2 : 1.2));
    painter->setBrush(on || inPart ? (enabled ? colours.accent : colours.rule) : colours.raised);
    if (round)
        painter->drawEllipse(box);
    else
        painter->drawRoundedRect(box, 3, 3);
    painter->setPen(QPen(colours.onAccent, 2, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
    painter->setBrush(colours.onAccent);
    if (round && on)
        painter->drawEllipse(box.center(), side * 0.16, side * 0.16);
    else if (on || inPart)
        drawTick(*painter, box, inPart);
    painter->restore();
}

int PaletteStyle::styleHint(StyleHint hint, const QStyleOption* option, const QWidget* widget,
                            QStyleHintReturn* answer) const
{
    if (hint == SH_DialogButtonBox_ButtonsHaveIcons)
        return 0;
    return QProxyStyle::styleHint(hint, option, widget, answer);
}

} // namespace inkpeg
