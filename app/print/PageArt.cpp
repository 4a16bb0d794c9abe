// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/PageArt.h"

#include <QFontMetricsF>
#include <QPainter>
#include <QPainterPath>
#include <QPolygonF>

#include "app/print/PdfBytes.h"

namespace inkpeg {

namespace {

/// Letters are sized in whole units: hundredths of a millimetre, so that nothing is rounded that can be seen.
constexpr double UnitsPerMm = 100;

QFont artFont(double sizeMm, bool bold)
{
    QFont font(QStringLiteral("DejaVu Sans"));
    font.setStyleHint(QFont::SansSerif);
    font.setPixelSize(std::max(1, qRound(sizeMm * UnitsPerMm)));
    font.setBold(bold);
    font.setHintingPreference(QFont::PreferNoHinting);
    // Any spacing of letters keeps Qt from joining f and i into one sign, which a search would not find.
    font.setLetterSpacing(QFont::AbsoluteSpacing, 0.1);
    return font;
}

QString wordsOf(const std::string& text)
{
    return QString::fromUtf8(text.data(), static_cast<qsizetype>(text.size()));
}

QPointF units(PageMm at)
{
    return {at.x * UnitsPerMm, at.y * UnitsPerMm};
}

QPolygonF units(const std::vector<PageMm>& places)
{
    QPolygonF polygon;
    polygon.reserve(static_cast<qsizetype>(places.size()) + 1);
    for (const PageMm& at : places)
        polygon << units(at);
    return polygon;
}

void paintLine(QPainter& painter, const ArtLine& line)
{
    QPen pen(QColor::fromRgb(line.pen.ink), line.pen.widthMm * UnitsPerMm);
    pen.setCapStyle(Qt::FlatCap);
    pen.setJoinStyle(Qt::RoundJoin);
    if (!line.pen.dashesMm.empty()) {
        QList<qreal> dashes; // Qt counts them in widths of the pen
        for (const double dash : line.pen.dashesMm)
            dashes << dash / line.pen.widthMm;
        pen.setDashPattern(dashes);
    }
    painter.setPen(pen);
    painter.setBrush(Qt::NoBrush);
    const QPolygonF places = units(line.at);
    if (line.closed)
        painter.drawPolygon(places);
    else
        painter.drawPolyline(places);
}

void paintArea(QPainter& painter, const ArtArea& area)
{
    QPainterPath path;
    path.setFillRule(Qt::OddEvenFill);
    for (const std::vector<PageMm>& ring : area.rings) {
        path.addPolygon(units(ring));
        path.closeSubpath();
    }
    painter.fillPath(path, QColor::fromRgb(area.ink));
}

void paintText(QPainter& painter, const ArtText& text)
{
    const QFont font = artFont(text.sizeMm, text.bold);
    const QString words = wordsOf(text.words);
    const double width = artTextWidthMm(text.words, text.sizeMm, text.bold) * UnitsPerMm;
    const double shift = text.anchor == ArtText::Anchor::Start    ? 0
                         : text.anchor == ArtText::Anchor::Middle ? width / 2
                                                                  : width;
    painter.setFont(font);
    painter.setPen(QColor::fromRgb(text.ink));
    if (text.turnDegrees == 0) {
        painter.drawText(units(text.at) - QPointF(shift, 0), words);
        return;
    }
    painter.save();
    painter.translate(units(text.at));
    painter.rotate(-text.turnDegrees);
    painter.drawText(QPointF(-shift, 0), words);
    painter.restore();
}

} // namespace

void PageArt::box(PageMm upperLeft, double wideMm, double highMm, ArtInk ink)
{
    const auto [x, y] = upperLeft;
    area({{{x, y}, {x + wideMm, y}, {x + wideMm, y + highMm}, {x, y + highMm}}}, ink);
}

void PageArt::frame(PageMm upperLeft, double wideMm, double highMm, const ArtPen& pen)
{
    const auto [x, y] = upperLeft;
    line({{x, y}, {x + wideMm, y}, {x + wideMm, y + highMm}, {x, y + highMm}}, pen, true);
}

double artTextWidthMm(const std::string& words, double sizeMm, bool bold)
{
    ensureFonts();
    // Measured without a device, at a size where hinting rounds nothing that matters.
    return QFontMetricsF(artFont(sizeMm, bold)).horizontalAdvance(wordsOf(words)) / UnitsPerMm;
}

std::string artTextWithin(const std::string& words, double sizeMm, double roomMm, bool bold)
{
    ensureFonts();
    return QFontMetricsF(artFont(sizeMm, bold))
        .elidedText(wordsOf(words).simplified(), Qt::ElideRight, roomMm * UnitsPerMm)
        .toStdString();
}

void paintArt(QPainter& painter, const PageArt& page, double unitsPerMm)
{
    painter.save();
    painter.scale(unitsPerMm / UnitsPerMm, unitsPerMm / UnitsPerMm);
    for (const ArtPiece& piece : page.pieces) {
        if (const auto* line = std::get_if<ArtLine>(&piece))
            paintLine(painter, *line);
        else if (const auto* area = std::get_if<ArtArea>(&piece))
            paintArea(painter, *area);
        else
            paintText(painter, std::get<ArtText>(piece));
    }
    painter.restore();
}

} // namespace inkpeg
