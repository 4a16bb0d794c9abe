// SPDX-License-Identifier: GPL-3.0-or-later
// A report as plain content: chapters of paragraphs, facts and tables, written once and then laid out as PDF
// with bookmarks or as a page of HTML that stands alone.
//
//   Document report{"Project report", "SKR26", at, {}};
//   report.chapters.push_back({"Sign-offs", 0, {DocumentTable{{"what", "who", "when"}, rows}}});
//   const std::string pdf = documentPdf(report), html = documentHtml(report);
#pragma once

#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "core/base/Progress.h"

namespace inkpeg {

struct DocumentWords {
    std::string text;
    bool quiet = false; ///< a remark rather than a statement
};

/// Label and value.
struct DocumentFacts {
    std::vector<std::pair<std::string, std::string>> facts;
};

/// Cells wrap; numbers stand to the right where `right` says so.
struct DocumentTable {
    std::vector<std::string> headings;
    std::vector<std::vector<std::string>> rows; ///< each as long as `headings`
    std::vector<double> shares = {};            ///< of the width; empty: equal
    std::vector<bool> right = {};
};

/// Lines to be signed by hand.
struct DocumentSignatures {
    std::vector<std::string> roles;
};

using DocumentBlock = std::variant<DocumentWords, DocumentFacts, DocumentTable, DocumentSignatures>;

struct DocumentChapter {
    std::string title;
    int level = 0; ///< 0 begins a page, 1 stands within it
    std::vector<DocumentBlock> blocks;
};

struct Document {
    std::string title;
    std::string siteCode;
    std::string at; ///< state of the project, ISO 8601, UTC
    std::vector<DocumentChapter> chapters;
};

/// A4, vector, searchable, a bookmark for each chapter. The same document gives the same bytes. Empty when
/// it was stopped.
std::string documentPdf(const Document& document, const Progress& progress = {});

/// One file: no scripts, nothing fetched, every text escaped; tables become cards on a narrow screen.
std::string documentHtml(const Document& document);

} // namespace inkpeg
