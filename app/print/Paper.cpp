// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/Paper.h"

#include <QBuffer>
#include <QFontMetricsF>
#include <QPageLayout>
#include <QPainter>
#include <QPdfWriter>
#include <QTextLayout>
#include <QTextOption>

#include "app/print/PdfBytes.h"
#include "core/handover/Geodata.h"

namespace inkpeg {

namespace {

constexpr int Dpi = 1200; // positions in a PDF are whole units of this: 0.02 mm

} // namespace

Paper::Paper(const QString& title, const std::string& at, double widthMm, double heightMm) : m_at(at)
{
    ensureFonts();
    m_buffer = std::make_unique<QBuffer>();
    m_buffer->open(QIODevice::WriteOnly);
    m_writer = std::make_unique<QPdfWriter>(m_buffer.get());
    m_writer->setResolution(Dpi);
    const bool a4 = widthMm == WidthMm && heightMm == HeightMm;
    m_writer->setPageSize(a4 ? QPageSize(QPageSize::A4)
                             : QPageSize(QSizeF(widthMm, heightMm), QPageSize::Millimeter));
    m_writer->setPageMargins(QMarginsF(0, 0, 0, 0));
    m_writer->setTitle(title);
    m_writer->setCreator(QStringLiteral("inkpeg"));
    m_painter = std::make_unique<QPainter>(m_writer.get());
}

Paper::~Paper()
{
    if (m_painter && m_painter->isActive())
        m_painter->end();
}

void Paper::bookmark(const std::string& title, int level)
{
    m_bookmarks.push_back({title, m_page - 1, level});
}

void Paper::newPage()
{
    m_writer->newPage();
    ++m_page;
}

double Paper::units(double mm) const
{
    return mm * Dpi / 25.4;
}

QFont Paper::font(double points, bool bold)
{
    QFont font(QStringLiteral("DejaVu Sans"));
    font.setStyleHint(QFont::SansSerif);
    font.setPointSizeF(points);
    font.setBold(bold);
    // Any spacing of letters keeps Qt from joining f and i into one sign, which would not be found by a search.
    font.setLetterSpacing(QFont::AbsoluteSpacing, 0.02);
    return font;
}

double Paper::textWidthMm(const QString& words, const QFont& font) const
{
    return QFontMetricsF(font, m_writer.get()).horizontalAdvance(words) * 25.4 / Dpi;
}

void Paper::text(double xMm, double yMm, const QString& words, const QFont& font, QRgb ink, Side side,
                 double roomMm)
{
    const QFontMetricsF metrics(font, m_writer.get());
    const QString shown = roomMm > 0 ? metrics.elidedText(words, Qt::ElideRight, units(roomMm)) : words;
    const double width = metrics.horizontalAdvance(shown);
    const double shift = side == Side::Left ? 0 : side == Side::Middle ? width / 2 : width;
    m_painter->setFont(font);
    m_painter->setPen(QColor(ink));
    m_painter->drawText(QPointF(units(xMm) - shift, units(yMm)), shown);
}

namespace {

/// Wraps the layout's words to `width`; gives the height, in the same units.
double wrap(QTextLayout& layout, double width)
{
    QTextOption option;
    option.setWrapMode(QTextOption::WrapAtWordBoundaryOrAnywhere);
    layout.setTextOption(option);
    layout.beginLayout();
    double height = 0;
    for (QTextLine line = layout.createLine(); line.isValid(); line = layout.createLine()) {
        line.setLineWidth(width);
        line.setPosition(QPointF(0, height));
        height += line.height() * 1.12;
    }
    layout.endLayout();
    return height;
}

} // namespace

double Paper::paragraphHeightMm(double widthMm, const QString& words, const QFont& font) const
{
    QTextLayout layout(words, font, m_writer.get());
    return wrap(layout, units(widthMm)) * 25.4 / Dpi;
}

double Paper::paragraph(double xMm, double yMm, double widthMm, const QString& words, const QFont& font,
                        QRgb ink)
{
    QTextLayout layout(words, font, m_writer.get());
    const double height = wrap(layout, units(widthMm));
    m_painter->setPen(QColor(ink));
    layout.draw(m_painter.get(), QPointF(units(xMm), units(yMm)));
    return yMm + height * 25.4 / Dpi;
}

void Paper::rule(double fromXMm, double yMm, double toXMm, QRgb ink, double widthMm)
{
    m_painter->setPen(QPen(QColor(ink), units(widthMm)));
    m_painter->drawLine(QPointF(units(fromXMm), units(yMm)), QPointF(units(toXMm), units(yMm)));
}

void Paper::box(const QRectF& mm, QRgb fill, double roundMm)
{
    m_painter->setPen(Qt::NoPen);
    m_painter->setBrush(QColor(fill));
    m_painter->drawRoundedRect(QRectF(units(mm.x()), units(mm.y()), units(mm.width()), units(mm.height())),
                               units(roundMm), units(roundMm));
    m_painter->setBrush(Qt::NoBrush);
}

void Paper::frame(const QRectF& mm, QRgb ink, double widthMm, double roundMm)
{
    m_painter->setPen(QPen(QColor(ink), units(widthMm)));
    m_painter->setBrush(Qt::NoBrush);
    m_painter->drawRoundedRect(QRectF(units(mm.x()), units(mm.y()), units(mm.width()), units(mm.height())),
                               units(roundMm), units(roundMm));
}

std::string Paper::bytes()
{
    m_painter->end();
    m_buffer->close();
    QByteArray pdf = m_buffer->data();
    setPdfDate(pdf, m_at);
    return withBookmarks(pdf.toStdString(), m_bookmarks);
}

void drawFoot(Paper& paper, const std::string& at, const QString& first)
{
    constexpr double left = Paper::MarginMm, right = Paper::WidthMm - Paper::MarginMm;
    QString text = first;
    for (const std::string& caution : cautions())
        text += (text.isEmpty() ? "" : " ") + QString::fromStdString(caution);
    paper.rule(left, Paper::HeightMm - FootMm, right);
    paper.paragraph(left, Paper::HeightMm - FootMm + 1.5, right - left, text, Paper::font(6.5),
                    PaperInk::Quiet);
    paper.text(left, Paper::HeightMm - 7.5, QString::fromStdString("State of the project: " + at),
               Paper::font(6.5), PaperInk::Quiet);
    paper.text(right, Paper::HeightMm - 7.5, QString::number(paper.page()), Paper::font(6.5, true),
               PaperInk::Quiet, Paper::Side::Right);
}

} // namespace inkpeg
