// SPDX-License-Identifier: GPL-3.0-or-later
// The two files that a page of pieces becomes: PDF and SVG.
#include <QBuffer>
#include <QPageLayout>
#include <QPainter>
#include <QPdfWriter>

#include "app/print/PageArt.h"
#include "app/print/PdfBytes.h"
#include "app/print/ResidualPicture.h"
#include "core/base/Text.h"

namespace inkpeg {

namespace {

constexpr int Dpi = 1200; // glyphs are placed in whole units of this, 0.02 mm; lines are not rounded

QPageLayout layoutOf(const PageArt& page)
{
    // QPageSize keeps portrait sizes; a lying page is the same size turned.
    const bool lying = page.widthMm > page.heightMm;
    const QSizeF standing(std::min(page.widthMm, page.heightMm), std::max(page.widthMm, page.heightMm));
    return QPageLayout(QPageSize(standing, QPageSize::Millimeter, QString(), QPageSize::FuzzyMatch),
                       lying ? QPageLayout::Landscape : QPageLayout::Portrait, QMarginsF(0, 0, 0, 0),
                       QPageLayout::Millimeter);
}

std::string mm(double value)
{
    std::string text = fixed(value, 4);
    while (text.back() == '0')
        text.pop_back();
    if (text.back() == '.')
        text.pop_back();
    return text;
}

std::string inkText(ArtInk ink)
{
    char text[8];
    std::snprintf(text, sizeof text, "#%06x", static_cast<unsigned>(ink & 0xFFFFFFU));
    return text;
}

std::string pathOf(const std::vector<PageMm>& at, bool closed)
{
    std::string path;
    for (const PageMm& place : at)
        path += (path.empty() ? "M" : "L") + mm(place.x) + " " + mm(place.y);
    return path + (closed ? "Z" : "");
}

std::string svgOf(const ArtLine& line)
{
    std::string svg = "<path fill=\"none\" stroke=\"" + inkText(line.pen.ink) + "\" stroke-width=\"" +
                      mm(line.pen.widthMm) + "\"";
    if (!line.pen.dashesMm.empty()) {
        std::string dashes;
        for (const double dash : line.pen.dashesMm)
            dashes += (dashes.empty() ? "" : " ") + mm(dash);
        svg += " stroke-dasharray=\"" + dashes + "\"";
    }
    return svg + " d=\"" + pathOf(line.at, line.closed) + "\"/>\n";
}

std::string svgOf(const ArtArea& area)
{
    std::string path;
    for (const std::vector<PageMm>& ring : area.rings)
        path += pathOf(ring, true);
    return "<path fill=\"" + inkText(area.ink) + "\" fill-rule=\"evenodd\" d=\"" + path + "\"/>\n";
}

std::string svgOf(const ArtText& text)
{
    static constexpr const char* Anchors[] = {"start", "middle", "end"};
    std::string svg = "<text x=\"" + mm(text.at.x) + "\" y=\"" + mm(text.at.y) + "\" font-size=\"" +
                      mm(text.sizeMm) + "\" fill=\"" + inkText(text.ink) + "\"";
    if (text.bold)
        svg += " font-weight=\"bold\"";
    if (text.anchor != ArtText::Anchor::Start)
        svg += std::string(" text-anchor=\"") + Anchors[static_cast<int>(text.anchor)] + "\"";
    if (text.turnDegrees != 0)
        svg += " transform=\"rotate(" + mm(-text.turnDegrees) + " " + mm(text.at.x) + " " + mm(text.at.y) +
               ")\"";
    return svg + ">" + escapedForMarkup(text.words) + "</text>\n";
}

} // namespace

std::string artPdf(const std::vector<PageArt>& pages, const std::string& title, const std::string& at)
{
    ensureFonts();
    QBuffer buffer;
    buffer.open(QIODevice::WriteOnly);
    QPdfWriter writer(&buffer);
    writer.setResolution(Dpi);
    writer.setTitle(QString::fromStdString(title));
    writer.setCreator(QStringLiteral("inkpeg"));
    std::vector<Bookmark> bookmarks;
    QPainter painter;
    for (std::size_t i = 0; i < pages.size(); ++i) {
        writer.setPageLayout(layoutOf(pages[i]));
        if (i == 0)
            painter.begin(&writer);
        else
            writer.newPage();
        paintArt(painter, pages[i], Dpi / 25.4);
        bookmarks.push_back({pages[i].title, static_cast<int>(i), 0});
    }
    if (pages.empty())
        return {};
    painter.end();
    buffer.close();
    QByteArray pdf = buffer.data();
    setPdfDate(pdf, at);
    return withBookmarks(pdf.toStdString(), bookmarks);
}

std::string artSvg(const PageArt& page)
{
    const std::string width = mm(page.widthMm), height = mm(page.heightMm);
    std::string svg =
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
        "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"" +
        width + "mm\" height=\"" + height + "mm\" viewBox=\"0 0 " + width + " " + height +
        "\" font-family=\"DejaVu Sans, Verdana, sans-serif\" stroke-linejoin=\"round\">\n<title>" +
        escapedForMarkup(page.title) + "</title>\n<path fill=\"#ffffff\" d=\"M0 0H" + width + "V" + height +
        "H0Z\"/>\n";
    for (const ArtPiece& piece : page.pieces)
        svg += std::visit([](const auto& one) { return svgOf(one); }, piece);
    return svg + "</svg>\n";
}

} // namespace inkpeg
