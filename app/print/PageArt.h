// SPDX-License-Identifier: GPL-3.0-or-later
// One printed page as a list of pieces with lengths in millimetres: drawn into PDF, SVG and the preview from
// the same list, so that the three cannot differ.
//
//   PageArt page{"Context 1032", 420, 297, {}};
//   page.line({{10, 10}, {60, 10}}, {.widthMm = 0.35});
//   const std::string pdf = artPdf({page}, "Plans", "2026-07-01T12:00:00.000Z");
#pragma once

#include <cstdint>
#include <string>
#include <variant>
#include <vector>

#include "app/print/PageMm.h"

class QPainter;

namespace inkpeg {

/// 0xRRGGBB. Print-ready pages are black and grey: they must survive any copier.
using ArtInk = std::uint32_t;
inline constexpr ArtInk InkBlack = 0x000000;
inline constexpr ArtInk InkGrey = 0x6E6E6E;
inline constexpr ArtInk InkPale = 0xE4E4E4;
inline constexpr ArtInk InkPaper = 0xFFFFFF;

struct ArtPen {
    double widthMm = 0.25;
    ArtInk ink = InkBlack;
    std::vector<double> dashesMm = {}; ///< line, gap, line, gap; empty = unbroken
};

struct ArtLine {
    std::vector<PageMm> at;
    bool closed = false;
    ArtPen pen;
};

/// Filled by the even-odd rule, without an edge.
struct ArtArea {
    std::vector<std::vector<PageMm>> rings;
    ArtInk ink = InkBlack;
};

struct ArtText {
    enum class Anchor { Start, Middle, End };
    PageMm at; ///< on the base line
    std::string words;
    double sizeMm = 2.4; ///< of the font's body
    bool bold = false;
    ArtInk ink = InkBlack;
    Anchor anchor = Anchor::Start;
    double turnDegrees = 0; ///< counter-clockwise about `at`
};

using ArtPiece = std::variant<ArtLine, ArtArea, ArtText>;

struct PageArt {
    std::string title;
    double widthMm = 210, heightMm = 297;
    std::vector<ArtPiece> pieces; ///< later ones lie above earlier ones

    void line(std::vector<PageMm> at, const ArtPen& pen, bool closed = false)
    {
        pieces.emplace_back(std::in_place_type<ArtLine>, std::move(at), closed, pen);
    }
    void area(std::vector<std::vector<PageMm>> rings, ArtInk ink)
    {
        pieces.emplace_back(std::in_place_type<ArtArea>, std::move(rings), ink);
    }
    void box(PageMm upperLeft, double widthMm, double heightMm, ArtInk ink);
    void frame(PageMm upperLeft, double widthMm, double heightMm, const ArtPen& pen);
    void text(const ArtText& text) { pieces.emplace_back(std::in_place_type<ArtText>, text); }
};

/// Width of the words as all three forms draw them. Makes a QGuiApplication for fonts if there is none.
double artTextWidthMm(const std::string& words, double sizeMm, bool bold = false);

/// The words cut with an ellipsis so that they are no wider than `roomMm`.
std::string artTextWithin(const std::string& words, double sizeMm, double roomMm, bool bold = false);

/// Draws with the painter's present origin as the page's upper left corner.
void paintArt(QPainter& painter, const PageArt& page, double unitsPerMm);

/// A PDF with one page for each of `pages`, in their own sizes, and a bookmark for each; searchable,
/// vectors only. `at` (ISO 8601) becomes the date in the file; the same pages give the same bytes.
std::string artPdf(const std::vector<PageArt>& pages, const std::string& title, const std::string& at);

/// One page as a file of SVG (W3C Scalable Vector Graphics 1.1, second edition), in millimetres.
std::string artSvg(const PageArt& page);

} // namespace inkpeg
