// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <numeric>

#include <QString>

#include "app/print/Document.h"
#include "app/print/Paper.h"
#include "core/handover/Geodata.h"

namespace inkpeg {

namespace {

constexpr double Left = Paper::MarginMm;
constexpr double Right = Paper::WidthMm - Paper::MarginMm;
constexpr double Top = 27;
constexpr double Bottom = Paper::HeightMm - FootMm - 4;
constexpr double CellGapMm = 2;

QString words(const std::string& text)
{
    return QString::fromUtf8(text.data(), static_cast<qsizetype>(text.size()));
}

/// Wrapped and set in columns, page after page.
class DocumentPages {
public:
    explicit DocumentPages(const Document& document)
        : m_document(document), m_paper(words(document.siteCode + " " + document.title), document.at)
    {
        head();
    }

    void chapter(const DocumentChapter& chapter, bool first)
    {
        if (chapter.level == 0 && !first)
            nextPage();
        roomFor(chapter.level == 0 ? 24 : 34); // a heading alone at the foot of a page is a riddle
        m_paper.bookmark(chapter.title, chapter.level);
        m_y += chapter.level == 0 ? 4 : 3;
        m_paper.text(Left, m_y, words(chapter.title), Paper::font(chapter.level == 0 ? 15 : 10, true),
                     PaperInk::Text, Paper::Side::Left, Right - Left);
        m_y += chapter.level == 0 ? 8 : 5.5;
        for (const DocumentBlock& block : chapter.blocks)
            std::visit([this](const auto& one) { add(one); }, block);
    }

    std::string finish()
    {
        drawFoot(m_paper, m_document.at);
        return m_paper.bytes();
    }

private:
    void add(const DocumentWords& block)
    {
        roomFor(m_paper.paragraphHeightMm(Right - Left, words(block.text), Paper::font(8.5)));
        m_y = m_paper.paragraph(Left, m_y - 3, Right - Left, words(block.text), Paper::font(8.5),
                                block.quiet ? PaperInk::Quiet : PaperInk::Text) +
              5;
    }

    void add(const DocumentFacts& block)
    {
        for (const auto& [label, value] : block.facts) {
            const double room = Right - Left - 38;
            roomFor(m_paper.paragraphHeightMm(room, words(value), Paper::font(8.5)));
            m_paper.text(Left, m_y, words(label), Paper::font(8), PaperInk::Quiet, Paper::Side::Left, 36);
            m_y = std::max(
                m_y + 5, m_paper.paragraph(Left + 38, m_y - 3, room, words(value), Paper::font(8.5)) + 3.2);
        }
        m_y += 3;
    }

    void add(const DocumentSignatures& block)
    {
        for (const std::string& role : block.roles) {
            roomFor(22);
            m_y += 14;
            m_paper.rule(Left, m_y, Left + 80, PaperInk::Text, 0.25);
            m_paper.rule(Left + 88, m_y, Left + 130, PaperInk::Text, 0.25);
            m_paper.text(Left, m_y + 3.4, words(role + ": name and signature"), Paper::font(7),
                         PaperInk::Quiet);
            m_paper.text(Left + 88, m_y + 3.4, "date", Paper::font(7), PaperInk::Quiet);
            m_y += 6;
        }
    }

    struct Column {
        double x = 0, width = 0;
        bool right = false;
    };

    std::vector<Column> columnsOf(const DocumentTable& table) const
    {
        std::vector<double> shares = table.shares;
        shares.resize(table.headings.size(), 1);
        const double sum = std::accumulate(shares.begin(), shares.end(), 0.0);
        std::vector<Column> columns;
        double x = Left;
        for (std::size_t i = 0; i < shares.size(); ++i) {
            const double width = (Right - Left) * shares[i] / sum;
            columns.push_back({x, width - CellGapMm, i < table.right.size() && table.right[i]});
            x += width;
        }
        return columns;
    }

    void tableHead(const DocumentTable& table, const std::vector<Column>& columns)
    {
        for (std::size_t i = 0; i < columns.size(); ++i)
            m_paper.text(columns[i].x + (columns[i].right ? columns[i].width : 0), m_y,
                         words(table.headings[i]), Paper::font(7), PaperInk::Quiet,
                         columns[i].right ? Paper::Side::Right : Paper::Side::Left, columns[i].width);
        m_paper.rule(Left, m_y + 1.5, Right, PaperInk::Text, 0.25);
        m_y += 5.4;
    }

    void add(const DocumentTable& table)
    {
        const std::vector<Column> columns = columnsOf(table);
        roomFor(16);
        tableHead(table, columns);
        const QFont font = Paper::font(7.5);
        for (const std::vector<std::string>& row : table.rows) {
            double height = 4;
            for (std::size_t i = 0; i < columns.size(); ++i)
                height = std::max(height, m_paper.paragraphHeightMm(columns[i].width, words(row[i]), font));
            if (m_y + height > Bottom && m_y > Top + 12) {
                nextPage();
                tableHead(table, columns);
            }
            for (std::size_t i = 0; i < columns.size(); ++i)
                if (columns[i].right)
                    m_paper.text(columns[i].x + columns[i].width, m_y, words(row[i]), font, PaperInk::Text,
                                 Paper::Side::Right);
                else
                    m_paper.paragraph(columns[i].x, m_y - 2.7, columns[i].width, words(row[i]), font);
            m_y += height + 0.8;
            m_paper.rule(Left, m_y - 2.6, Right, PaperInk::Rule, 0.1);
        }
        m_y += 4;
    }

    void roomFor(double mm)
    {
        if (m_y + mm > Bottom && m_y > Top + 12)
            nextPage();
    }

    void head()
    {
        m_paper.text(Left, 17, words(m_document.title).toUpper(), Paper::font(7.5, true), PaperInk::Quiet,
                     Paper::Side::Left, 120);
        m_paper.text(Right, 17, words(m_document.siteCode), Paper::font(7.5, true), PaperInk::Quiet,
                     Paper::Side::Right, 60);
        m_paper.rule(Left, 19, Right, PaperInk::Text, 0.4);
        m_y = Top;
    }

    void nextPage()
    {
        drawFoot(m_paper, m_document.at);
        m_paper.newPage();
        head();
    }

    const Document& m_document;
    Paper m_paper;
    double m_y = Top;
};

} // namespace

std::string documentPdf(const Document& document, const Progress& progress)
{
    DocumentPages pages(document);
    for (std::size_t i = 0; i < document.chapters.size(); ++i) {
        pages.chapter(document.chapters[i], i == 0);
        if (!report(progress, static_cast<double>(i + 1) / static_cast<double>(document.chapters.size())))
            return {};
    }
    return pages.finish();
}

} // namespace inkpeg
