// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/TableReport.h"

#include "app/print/ReportHtml.h"
#include "app/print/WholeFile.h"
#include "core/base/Text.h"
#include "core/handover/Geodata.h"

namespace inkpeg {

namespace {

std::string tableHtml(const ReportTable& table)
{
    std::string html = element("h2", table.heading) + "\n";
    for (const std::string& note : table.notes)
        html += element("p", note) + "\n";
    if (table.rows.empty())
        return html + element("p", table.ifEmpty, "quiet") + "\n";
    html += "<div class=\"wide\"><table>\n<tr>";
    for (const ReportColumn& column : table.columns)
        html += element("th", column.head, column.isNumber ? "n" : nullptr);
    html += "</tr>\n";
    for (const ReportRow& row : table.rows) {
        html += "<tr>";
        for (std::size_t i = 0; i < table.columns.size(); ++i) {
            const bool isNumber = table.columns[i].isNumber;
            html += element("td", row.cells[i],
                            row.isBad ? (isNumber ? "n bad" : "bad") : (isNumber ? "n" : nullptr));
        }
        html += "</tr>\n";
    }
    return html + "</table></div>\n";
}

} // namespace

std::string tableReportHtml(const TableReport& report)
{
    std::string html = htmlHead(report.title) + element("p", report.title, "quiet") + "\n" +
                       element("h1", report.subtitle) + "\n";
    for (const ReportTable& table : report.tables)
        html += tableHtml(table);
    html += "<footer>\n";
    for (const std::string& caution : cautions())
        html += element("p", caution) + "\n";
    return html + element("p", "State of the project: " + report.at) + "\n</footer>\n</body>\n</html>\n";
}

Result<std::vector<std::filesystem::path>>
writeTableReport(const TableReport& report, const std::filesystem::path& folder, const std::string& stem)
{
    std::vector<std::filesystem::path> files;
    for (const auto& [suffix, bytes] :
         {std::pair{".pdf", tableReportPdf(report)}, {".html", tableReportHtml(report)}}) {
        const std::filesystem::path file = folder / (stem + suffix);
        if (const Result<void> written = writeWhole(file, bytes); !written)
            return written.error();
        files.push_back(file);
    }
    return files;
}

} // namespace inkpeg
