// SPDX-License-Identifier: GPL-3.0-or-later
// The stratigraphic diagram as a page: PDF and SVG.
#include <algorithm>

#include <QBuffer>
#include <QPainter>
#include <QPdfWriter>
#include <QSvgGenerator>

#include "app/print/Paper.h"
#include "app/print/PdfBytes.h"
#include "app/print/SequencePainting.h"

namespace inkpeg {

namespace {

constexpr double MarginMm = 12;
constexpr double HeadMm = 20;
constexpr double RemarkMm = 5;
constexpr double LargestPdfMm = 5080; // 14,400 units of 1/72 inch (ISO 32000-1:2008, annex C.2)

QString words(const std::string& text)
{
    return QString::fromStdString(text);
}

QString titleWords(const SequenceTitle& title)
{
    return words("Stratigraphic sequence, " + title.site + (title.title.empty() ? "" : " " + title.title) +
                 (title.trench.empty() ? "" : ", trench " + title.trench));
}

struct PageMm {
    double width = 0, height = 0;
};

PageMm pageOf(const SequenceDiagram& diagram)
{
    const double remarksMm = RemarkMm * static_cast<double>(sequenceRemarks(diagram).size());
    return {std::max(diagram.widthMm, 170.0) + 2 * MarginMm,
            std::max(diagram.heightMm, 20.0) + HeadMm + remarksMm + 2 * MarginMm + 4};
}

/// Everything on the page, in tenths of a millimetre.
void paintPage(QPainter& painter, const SequenceDiagram& diagram, const SequenceTitle& title)
{
    constexpr double U = SequenceUnitsPerMm;
    const SequenceInk ink = SequenceInk::forPaper();
    const PageMm page = pageOf(diagram);
    QFont bold = Paper::font(8, true), plain = Paper::font(8);
    bold.setPixelSize(46);
    plain.setPixelSize(24);
    painter.setPen(ink.text);
    painter.setFont(bold);
    painter.drawText(QPointF(MarginMm * U, (MarginMm + 5) * U), titleWords(title));
    painter.setFont(plain);
    painter.setPen(ink.quiet);
    painter.drawText(QPointF(MarginMm * U, (MarginMm + 10) * U),
                     words("The latest above, the earliest below. State of the project: " + title.at));
    paintSequenceKey(painter, diagram, ink, MarginMm, MarginMm + 12.5);
    painter.save();
    painter.translate(MarginMm * U, (MarginMm + HeadMm) * U);
    paintSequence(painter, diagram, ink, QRectF(-5, -5, diagram.widthMm + 10, diagram.heightMm + 10));
    painter.restore();
    const std::vector<std::string> remarks = sequenceRemarks(diagram);
    double y = page.height - MarginMm - RemarkMm * static_cast<double>(remarks.size());
    painter.setFont(plain);
    painter.setPen(ink.text);
    for (const std::string& remark : remarks)
        painter.drawText(QPointF(MarginMm * U, (y += RemarkMm) * U), words(remark));
}

} // namespace

std::string sequencePdf(const SequenceDiagram& diagram, const SequenceTitle& title)
{
    PageMm page = pageOf(diagram);
    const double smaller = std::min(1.0, LargestPdfMm / std::max(page.width, page.height));
    page = {page.width * smaller, page.height * smaller};
    Paper paper(titleWords(title), title.at, page.width, page.height);
    QPainter& painter = paper.painter();
    const double unit = paper.units(1 / SequenceUnitsPerMm) * smaller;
    painter.scale(unit, unit);
    paintPage(painter, diagram, title);
    return paper.bytes();
}

std::string sequenceSvg(const SequenceDiagram& diagram, const SequenceTitle& title)
{
    ensureFonts();
    const PageMm page = pageOf(diagram);
    const QSizeF units(page.width * SequenceUnitsPerMm, page.height * SequenceUnitsPerMm);
    QBuffer buffer;
    buffer.open(QIODevice::WriteOnly);
    QSvgGenerator svg;
    svg.setOutputDevice(&buffer);
    svg.setTitle(titleWords(title));
    svg.setDescription(QStringLiteral("The latest above, the earliest below."));
    svg.setResolution(254); // ten units to the millimetre
    svg.setSize(units.toSize());
    svg.setViewBox(QRectF(QPointF(0, 0), units));
    QPainter painter(&svg);
    paintPage(painter, diagram, title);
    painter.end();
    return buffer.data().toStdString();
}

} // namespace inkpeg
