// SPDX-License-Identifier: GPL-3.0-or-later
// What cannot be read of a scan, said where the eye is.
#include <QObject>

#include "app/board/BoardPainting.h"

namespace inkpeg {
namespace {

constexpr int mostLines = 3;

QStringList linesOf(const QStringList& words, bool restIsShown)
{
    QStringList lines;
    for (const QString& each : words.mid(0, mostLines))
        lines << QStringLiteral("! ") + each;
    if (words.size() > mostLines)
        lines << QObject::tr("and %1 more parts").arg(words.size() - mostLines);
    if (restIsShown)
        lines << QObject::tr("The rest of the scan is shown; the hatched parts hold damage.");
    return lines;
}

} // namespace

void paintDamage(QPainter& painter, const BoardPicture& picture, const std::vector<PxRect>& parts,
                 const QStringList& words)
{
    painter.setPen(QPen(picture.colours.bad, 1.5, Qt::DashLine));
    painter.setBrush(QBrush(picture.colours.bad, Qt::BDiagPattern));
    for (const PxRect& part : parts) {
        const double left = part.column, top = part.row;
        const double right = left + part.width, bottom = top + part.height;
        painter.drawPolygon(
            picture.at(std::vector<ScanPx>{{left, top}, {right, top}, {right, bottom}, {left, bottom}}));
    }
    const QStringList lines = linesOf(words, !parts.empty());
    const QFontMetricsF metrics(picture.font);
    const double room = picture.widget.width() - 28 - 24;
    double width = 0;
    QStringList fitting;
    for (const QString& line : lines) {
        fitting << metrics.elidedText(line, Qt::ElideMiddle, room);
        width = std::max(width, metrics.horizontalAdvance(fitting.last()));
    }
    const QRectF panel(14, 14, width + 24, metrics.lineSpacing() * static_cast<double>(lines.size()) + 14);
    painter.setPen(QPen(picture.colours.bad, 1.5));
    painter.setBrush(picture.colours.raised);
    painter.drawRoundedRect(panel, 5, 5);
    painter.setPen(picture.colours.bad);
    painter.setFont(picture.font);
    for (int i = 0; i < fitting.size(); ++i)
        painter.drawText(
            QPointF(panel.left() + 12, panel.top() + 7 + metrics.ascent() + i * metrics.lineSpacing()),
            fitting[i]);
}

} // namespace inkpeg
