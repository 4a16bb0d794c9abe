// SPDX-License-Identifier: GPL-3.0-or-later
// Pages drawn in millimetres into a PDF held in memory: A4, or as large as what stands on them.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include <QColor>
#include <QFont>
#include <QRectF>
#include <QString>

#include "app/print/PdfBytes.h"

class QBuffer;
class QPainter;
class QPdfWriter;

namespace inkpeg {

/// The colours of printed reports: dark enough for a grey printer; meaning never hangs on hue alone.
struct PaperInk {
    static constexpr QRgb Text = 0xFF1D2730;
    static constexpr QRgb Quiet = 0xFF5C6B76;
    static constexpr QRgb Rule = 0xFFC4CDD3;
    static constexpr QRgb Wash = 0xFFF1F4F5;
    static constexpr QRgb Film = 0xFFE8F0EC;
    static constexpr QRgb Good = 0xFF1B6B5A;
    static constexpr QRgb Bad = 0xFFA8321F;
    static constexpr QRgb Check = 0xFF2F5D9E;
};

/// Lengths in millimetres from the upper left corner of the page.
class Paper {
public:
    static constexpr double WidthMm = 210, HeightMm = 297, MarginMm = 16;

    /// Makes a QGuiApplication for fonts if there is none. `at` (ISO 8601) becomes the date in the file.
    Paper(const QString& title, const std::string& at, double widthMm = WidthMm,
          double heightMm = HeightMm);
    ~Paper();

    void newPage();
    int page() const { return m_page; }
    /// An entry of the document outline that leads to the present page.
    void bookmark(const std::string& title, int level = 0);

    QPainter& painter() { return *m_painter; }
    /// Millimetres in the painter's own units.
    double units(double mm) const;

    static QFont font(double points, bool bold = false);

    enum class Side { Left, Middle, Right };
    /// One line with its base line at y; too long for `roomMm` it is cut with an ellipsis.
    void text(double xMm, double yMm, const QString& words, const QFont& font, QRgb ink = PaperInk::Text,
              Side side = Side::Left, double roomMm = 0);
    /// Wrapped words from y down; returns the y below them.
    double paragraph(double xMm, double yMm, double widthMm, const QString& words, const QFont& font,
                     QRgb ink = PaperInk::Text);
    /// How far paragraph() would go down.
    double paragraphHeightMm(double widthMm, const QString& words, const QFont& font) const;
    double textWidthMm(const QString& words, const QFont& font) const;
    void rule(double fromXMm, double yMm, double toXMm, QRgb ink = PaperInk::Rule, double widthMm = 0.2);
    void box(const QRectF& mm, QRgb fill, double roundMm = 0);
    void frame(const QRectF& mm, QRgb ink, double widthMm, double roundMm = 0);

    /// Ends the file and gives its bytes.
    std::string bytes();

private:
    std::string m_at;
    std::unique_ptr<QBuffer> m_buffer;
    std::unique_ptr<QPdfWriter> m_writer;
    std::unique_ptr<QPainter> m_painter;
    std::vector<Bookmark> m_bookmarks;
    int m_page = 1;
};

/// The foot of a report's page, between the margins: the cautions, after `first` where a report has one of its
/// own, when the project was as told (ISO 8601), the page's number. It takes up the lowest FootMm of the page.
void drawFoot(Paper& paper, const std::string& at, const QString& first = {});
inline constexpr double FootMm = 21;

} // namespace inkpeg
