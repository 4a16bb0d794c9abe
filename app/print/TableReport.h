// SPDX-License-Identifier: GPL-3.0-or-later
// A report made of tables: the level book page, plans against sections. Written as PDF and HTML.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/base/Result.h"

namespace inkpeg {

struct ReportColumn {
    std::string head;
    double shareOfWidth = 1; ///< among the columns of its table
    bool isNumber = false;   ///< set to the right
};

struct ReportRow {
    std::vector<std::string> cells; ///< one for each column
    bool isBad = false; ///< set in bold and in the colour of what is wrong; the words say it too
};

struct ReportTable {
    std::string heading;
    std::vector<std::string> notes; ///< above the table, one paragraph each
    std::vector<ReportColumn> columns;
    std::vector<ReportRow> rows;
    std::string ifEmpty; ///< said in the place of a table without rows
};

struct TableReport {
    std::string title; ///< "Level books SKR26"
    std::string subtitle;
    std::string at; ///< state of the project, ISO 8601, UTC
    std::vector<ReportTable> tables;
};

std::string tableReportHtml(const TableReport& report);

/// A4 pages; the head of a table comes again on each page. Works without a display.
std::string tableReportPdf(const TableReport& report);

/// STEM.pdf and STEM.html in `folder`. Errors: OutOfSpace; System.
Result<std::vector<std::filesystem::path>>
writeTableReport(const TableReport& report, const std::filesystem::path& folder, const std::string& stem);

} // namespace inkpeg
