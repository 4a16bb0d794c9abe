// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/BoardPainting.h"

#include <cmath>

#include <QHash>
#include <QImage>
#include <QMutex>
#include <QPainterPath>

namespace inkpeg {

QPolygonF BoardPicture::at(const std::vector<ScanPx>& positions) const
{
    QPolygonF polygon;
    for (const ScanPx& position : positions)
        polygon << at(position);
    return polygon;
}

QPolygonF BoardPicture::at(const std::vector<GroundM>& places) const
{
    QPolygonF polygon;
    for (const GroundM& place : places)
        polygon << at(place);
    return polygon;
}

std::optional<ScanBox> scanInView(const BoardPicture& picture, double aroundPx)
{
    ScanBox box;
    constexpr int steps = 4; // a fit may bend: the border is followed, not its corners alone
    const QRectF shown = picture.wanted().adjusted(-aroundPx, -aroundPx, aroundPx, aroundPx);
    for (int i = 0; i <= steps; ++i)
        for (int k = 0; k <= steps; ++k) {
            const QPointF at(shown.left() + shown.width() * i / steps,
                             shown.top() + shown.height() * k / steps);
            const std::optional<ScanPx> scan = picture.frame.scanOfScene(picture.view.toScene(at));
            if (!scan)
                return std::nullopt;
            box.take(*scan);
        }
    const double bends = picture.frame.side() == BoardSide::Film ? 0 : 0.05;
    return box.grownBy(bends * std::max(box.right - box.left, box.bottom - box.top));
}

double roundNoMoreThan(double most)
{
    const double power = std::pow(10.0, std::floor(std::log10(most)));
    for (const double step : {5.0, 2.0})
        if (step * power <= most)
            return step * power;
    return power;
}

/// A number made by `roundNoMoreThan`, as a person writes it: 1000, 0.5.
static QString plainly(double rounded)
{
    const int decimals = static_cast<int>(std::ceil(-std::log10(rounded) - 1e-9));
    return QString::number(rounded, 'f', std::max(0, decimals));
}

namespace {

/// A label as it was painted once: most of them stand on the board many times over.
struct LabelImage {
    QImage image;
    QPointF corner; ///< its upper left, from the middle left of the label
};

LabelImage labelImage(const QFont& font, const QString& text, const QColor& colour, const QColor& halo,
                      double ratio)
{
    constexpr double haloPx = 3.5;
    QPainterPath path;
    const QFontMetricsF metrics(font);
    path.addText(QPointF(0, (metrics.ascent() - metrics.descent()) / 2), font, text);
    const QRect around = path.boundingRect().adjusted(-haloPx, -haloPx, haloPx, haloPx).toAlignedRect();
    LabelImage label{QImage((QSizeF(around.size()) * ratio).toSize().expandedTo({1, 1}),
                            QImage::Format_ARGB32_Premultiplied),
                     around.topLeft()};
    label.image.setDevicePixelRatio(ratio);
    label.image.fill(Qt::transparent);
    QPainter painter(&label.image);
    painter.setRenderHint(QPainter::Antialiasing);
    painter.translate(-around.topLeft());
    painter.setPen(QPen(halo, haloPx, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
    painter.drawPath(path);
    painter.fillPath(path, colour);
    return label;
}

/// A label takes half a millisecond to paint: what one thread has painted is there for all.
LabelImage keptLabel(const QFont& font, const QString& text, const QColor& colour, const QColor& halo,
                     double ratio)
{
    constexpr qsizetype mostKept = 4000;
    static QMutex mutex;
    static QHash<QString, LabelImage> kept;
    const QString key =
        QString("%1 %2 %3 %4 %5").arg(font.key()).arg(colour.rgba()).arg(halo.rgba()).arg(ratio).arg(text);
    {
        const QMutexLocker lock(&mutex);
        if (const auto found = kept.constFind(key); found != kept.constEnd())
            return *found;
    }
    const LabelImage label = labelImage(font, text, colour, halo, ratio);
    const QMutexLocker lock(&mutex);
    if (kept.size() >= mostKept)
        kept.clear();
    kept.insert(key, label);
    return label;
}

} // namespace

void paintWriting(QPainter& painter, const QFont& font, const QColor& halo, QPointF middleLeft,
                  const QString& text, const QColor& colour)
{
    const double ratio = painter.device()->devicePixelRatioF();
    const LabelImage label = keptLabel(font, text, colour, halo, ratio);
    // On whole pixels of the screen, where its letters are as sharp as they were painted.
    const QPointF at = middleLeft + label.corner;
    painter.drawImage(QPointF(std::round(at.x() * ratio), std::round(at.y() * ratio)) / ratio, label.image);
}

void paintLabel(QPainter& painter, const BoardPicture& picture, QPointF middleLeft, const QString& text,
                const QColor& colour)
{
    paintWriting(painter, picture.font, picture.colours.halo, middleLeft, text, colour);
}

void paintDots(QPainter& painter, const QPolygonF& centres, const QColor& colour)
{
    QList<QRectF> dots;
    dots.reserve(centres.size());
    for (const QPointF& centre : centres)
        dots.push_back(QRectF(centre - QPointF(dotPx, dotPx) / 2, QSizeF(dotPx, dotPx)));
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing, false);
    painter.setPen(Qt::NoPen);
    painter.setBrush(colour);
    painter.drawRects(dots);
    painter.restore();
}

void paintPinMark(QPainter& painter, QPointF at, PinUse use, const Palette& colours, bool selected)
{
    constexpr double r = 9;
    const QColor colour = use == PinUse::Fit     ? colours.pinFit
                          : use == PinUse::Check ? colours.pinCheck
                                                 : colours.pinLeftOut;
    const auto strokes = [&](const QColor& pen, double width) {
        painter.setPen(QPen(pen, width));
        painter.setBrush(Qt::NoBrush);
        if (use == PinUse::Check)
            painter.drawRect(QRectF(at.x() - r, at.y() - r, 2 * r, 2 * r));
        else
            painter.drawEllipse(at, r, r);
        // The middle stays open, so that the mark on the film can be seen under the pin.
        for (const QPointF& arm : {QPointF(1, 0), QPointF(-1, 0), QPointF(0, 1), QPointF(0, -1)})
            painter.drawLine(at + arm * 3.5, at + arm * (r + 5));
        if (use == PinUse::LeftOut)
            painter.drawLine(at + QPointF(-r, r) * 1.1, at + QPointF(r, -r) * 1.1);
    };
    strokes(colours.halo, selected ? 6.5 : 4.5);
    strokes(colour, selected ? 3 : 1.8);
}

std::array<QRectF, 2> roomOfPin(const BoardPicture& picture, const Pin& pin)
{
    constexpr double markPx = 12;
    const QFontMetricsF metrics(picture.font);
    const QPointF at = picture.at(pin.mark);
    return {QRectF(at - QPointF(markPx, markPx), at + QPointF(markPx, markPx)),
            QRectF(at.x() + 17, at.y() - 13 - metrics.height() / 2,
                   metrics.horizontalAdvance(QString::fromStdString(pin.peg)), metrics.height())};
}

void paintPins(QPainter& painter, const BoardPicture& picture, std::int64_t selectedPin)
{
    if (!picture.scene.drawing)
        return;
    for (const Pin& pin : picture.scene.drawing->pins) {
        const QPointF at = picture.at(pin.mark);
        paintPinMark(painter, at, pin.use, picture.colours, pin.id == selectedPin);
        const QColor ink = pin.use == PinUse::Fit     ? picture.colours.pinFit
                           : pin.use == PinUse::Check ? picture.colours.pinCheck
                                                      : picture.colours.pinLeftOut;
        const QString name = QString::fromStdString(pin.peg);
        const double width = QFontMetricsF(picture.font).horizontalAdvance(name);
        const bool onTheLeft =
            at.x() + 17 + width > picture.widget.right(); // else its end would be cut off
        paintLabel(painter, picture, at + QPointF(onTheLeft ? -17 - width : 17, -13), name, ink);
    }
}

namespace {

void paintArrow(QPainter& painter, QPointF from, QPointF to, const QColor& colour, const QColor& halo)
{
    const QPointF along = to - from;
    const double length = std::hypot(along.x(), along.y());
    if (length < 1.5)
        return;
    const QPointF unit = along / length;
    const QPointF across(-unit.y(), unit.x());
    const double head = std::min(9.0, length * 0.5);
    QPolygonF tip;
    tip << to << to - unit * head + across * head * 0.45 << to - unit * head - across * head * 0.45;
    painter.setPen(QPen(halo, 5.5, Qt::SolidLine, Qt::RoundCap));
    painter.drawLine(from, to);
    painter.setPen(QPen(colour, 2.4, Qt::SolidLine, Qt::FlatCap));
    painter.drawLine(from, to - unit * head * 0.8);
    painter.setPen(Qt::NoPen);
    painter.setBrush(colour);
    painter.drawPolygon(tip);
}

/// The residual at a pin as a vector on film, in mm, in the direction of the screen's film side (y down).
QPointF filmVector(const BoardDrawing& drawing, const Pin& pin, const PinResidual& residual)
{
    const GroundJacobian j = drawing.ground->fit.transform.jacobian(drawing.film.toFilm(pin.mark));
    const double determinant = j.eastByX * j.northByY - j.eastByY * j.northByX;
    if (std::abs(determinant) < 1e-30)
        return {};
    const double x = (j.northByY * residual.eastM - j.eastByY * residual.northM) / determinant;
    const double y = (-j.northByX * residual.eastM + j.eastByX * residual.northM) / determinant;
    return {x, -y};
}

} // namespace

void paintPanel(QPainter& painter, const BoardPicture& picture, const QRectF& panel)
{
    QColor ground = picture.colours.raised;
    ground.setAlphaF(0.92F);
    painter.setPen(QPen(picture.colours.rule, 1));
    painter.setBrush(ground);
    painter.drawRoundedRect(panel, 5, 5);
}

double arrowPixelsPerMm(const BoardDrawing& drawing)
{
    double worstMm = 0;
    for (const PinResidual& residual : drawing.residuals)
        worstMm = std::max(worstMm, residual.filmMm);
    return worstMm < 1e-6 ? 0 : roundNoMoreThan(80 / worstMm);
}

void paintResiduals(QPainter& painter, const BoardPicture& picture)
{
    if (!picture.scene.drawing || !picture.scene.drawing->ground)
        return;
    const BoardDrawing& drawing = *picture.scene.drawing;
    const double pxPerMm = arrowPixelsPerMm(drawing);
    if (!(pxPerMm > 0) || drawing.residuals.size() != drawing.pins.size())
        return;
    for (std::size_t i = 0; i < drawing.pins.size(); ++i) {
        const PinResidual& residual = drawing.residuals[i];
        const QPointF at = picture.at(drawing.pins[i].mark);
        // On the ground the arrow points to where the fit puts the peg; on film the same, turned back.
        QPointF direction =
            picture.frame.side() == BoardSide::Ground
                ? QPointF(residual.eastM, -residual.northM)
                : picture.frame.turnedAsFilm(filmVector(drawing, drawing.pins[i], residual));
        const double length = std::hypot(direction.x(), direction.y());
        if (length > 0)
            direction *= residual.filmMm * pxPerMm / length;
        paintArrow(painter, at, at + direction, picture.colours.arrow, picture.colours.halo);
    }
    const double keyMm = roundNoMoreThan(110 / pxPerMm);
    const QString words = QString("residual %1 mm on film").arg(plainly(keyMm));
    const QFontMetricsF metrics(picture.font);
    const double width = std::max(metrics.horizontalAdvance(words), keyMm * pxPerMm) + 28;
    const QRectF panel(picture.widget.right() - width - 14, picture.widget.bottom() - metrics.height() - 44,
                       width, metrics.height() + 30);
    paintPanel(painter, picture, panel);
    const QPointF from(panel.left() + 14, panel.bottom() - 13);
    paintArrow(painter, from, from + QPointF(keyMm * pxPerMm, 0), picture.colours.arrow,
               picture.colours.raised);
    painter.setPen(picture.colours.ink);
    painter.setFont(picture.font);
    painter.drawText(QPointF(panel.left() + 14, panel.top() + 6 + metrics.ascent()), words);
}

void paintScaleBar(QPainter& painter, const BoardPicture& picture)
{
    const bool ground = picture.frame.side() == BoardSide::Ground;
    const double units = roundNoMoreThan(150 / picture.view.scale());
    const QString length = ground ? (units < 1 ? QString("%1 cm").arg(plainly(units * 100))
                                               : QString("%1 m").arg(plainly(units)))
                                  : QString("%1 mm on film").arg(plainly(units));
    const QFontMetricsF metrics(picture.font);
    const double barPx = units * picture.view.scale();
    const double width = std::max(metrics.horizontalAdvance(length), barPx) + 28 + (ground ? 26 : 0);
    const QRectF panel(14, picture.widget.bottom() - metrics.height() - 44, width, metrics.height() + 30);
    paintPanel(painter, picture, panel);
    painter.setFont(picture.font);
    painter.setPen(picture.colours.ink);
    painter.drawText(QPointF(panel.left() + 14, panel.top() + 6 + metrics.ascent()), length);
    const double y = panel.bottom() - 12;
    painter.setPen(QPen(picture.colours.ink, 2));
    painter.drawLine(QPointF(panel.left() + 14, y), QPointF(panel.left() + 14 + barPx, y));
    for (const double share : {0.0, 0.5, 1.0})
        painter.drawLine(QPointF(panel.left() + 14 + barPx * share, y - 5),
                         QPointF(panel.left() + 14 + barPx * share, y));
    if (ground) {
        const QPointF foot(panel.right() - 16, panel.bottom() - 10);
        paintArrow(painter, foot, QPointF(foot.x(), panel.top() + 8 + metrics.height() * 0.7),
                   picture.colours.ink, picture.colours.raised);
        painter.setPen(picture.colours.ink);
        painter.drawText(QPointF(foot.x() - metrics.horizontalAdvance("N") / 2,
                                 panel.top() + 2 + metrics.ascent() * 0.9),
                         "N");
    }
}

} // namespace inkpeg
