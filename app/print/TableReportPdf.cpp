// SPDX-License-Identifier: GPL-3.0-or-later
#include <numeric>

#include "app/print/Paper.h"
#include "app/print/TableReport.h"
#include "core/handover/Geodata.h"

namespace inkpeg {

namespace {

constexpr double Left = Paper::MarginMm;
constexpr double Right = Paper::WidthMm - Paper::MarginMm;
constexpr double Bottom = Paper::HeightMm - FootMm - 6;
constexpr double RowMm = 5.2;

QString words(const std::string& text)
{
    return QString::fromUtf8(text.data(), static_cast<qsizetype>(text.size()));
}

class TablePages {
public:
    explicit TablePages(const TableReport& report)
        : m_report(report), m_paper(words(report.title), report.at)
    {
        m_paper.text(Left, m_y + 3, words(report.title), Paper::font(8), PaperInk::Quiet);
        m_paper.text(Left, m_y + 11, words(report.subtitle), Paper::font(15, true), PaperInk::Text,
                     Paper::Side::Left, Right - Left);
        m_y += 17;
    }

    std::string finish()
    {
        for (const ReportTable& table : m_report.tables)
            write(table);
        drawFoot(m_paper, m_report.at);
        return m_paper.bytes();
    }

private:
    void write(const ReportTable& table)
    {
        roomFor(28);
        m_paper.text(Left, m_y + 4, words(table.heading), Paper::font(11, true));
        m_y += 7;
        for (const std::string& note : table.notes) {
            roomFor(10);
            m_y = m_paper.paragraph(Left, m_y, Right - Left, words(note), Paper::font(8)) + 1;
        }
        if (table.rows.empty()) {
            m_y = m_paper.paragraph(Left, m_y, Right - Left, words(table.ifEmpty), Paper::font(8),
                                    PaperInk::Quiet) +
                  5;
            return;
        }
        head(table);
        for (const ReportRow& row : table.rows) {
            if (m_y + RowMm > Bottom) {
                nextPage();
                head(table);
            }
            line(table, row.cells, row.isBad ? PaperInk::Bad : PaperInk::Text, row.isBad);
        }
        m_y += 6;
    }

    void head(const ReportTable& table)
    {
        std::vector<std::string> heads;
        for (const ReportColumn& column : table.columns)
            heads.push_back(column.head);
        line(table, heads, PaperInk::Quiet, false);
        m_paper.rule(Left, m_y - 1.2, Right, PaperInk::Text);
    }

    void line(const ReportTable& table, const std::vector<std::string>& cells, QRgb ink, bool bold)
    {
        const double shares = std::accumulate(
            table.columns.begin(), table.columns.end(), 0.0,
            [](double sum, const ReportColumn& column) { return sum + column.shareOfWidth; });
        double x = Left;
        for (std::size_t i = 0; i < table.columns.size(); ++i) {
            const double width = (Right - Left) * table.columns[i].shareOfWidth / shares;
            const bool isNumber = table.columns[i].isNumber;
            m_paper.text(isNumber ? x + width - 1.5 : x, m_y + 3.4, words(cells[i]), Paper::font(7.5, bold),
                         ink, isNumber ? Paper::Side::Right : Paper::Side::Left, width - 1.5);
            x += width;
        }
        m_y += RowMm;
    }

    void roomFor(double mm)
    {
        if (m_y + mm > Bottom)
            nextPage();
    }

    void nextPage()
    {
        drawFoot(m_paper, m_report.at);
        m_paper.newPage();
        m_y = Paper::MarginMm;
    }

    const TableReport& m_report;
    Paper m_paper;
    double m_y = Paper::MarginMm;
};

} // namespace

std::string tableReportPdf(const TableReport& report)
{
    return TablePages(report).finish();
}

} // namespace inkpeg
