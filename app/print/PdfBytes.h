// SPDX-License-Identifier: GPL-3.0-or-later
// What a PDF made by Qt lacks or should not have: bookmarks, and the clock of the machine.
#pragma once

#include <string>
#include <vector>

class QByteArray;

namespace inkpeg {

/// Fonts need a QGuiApplication; reports must not need a display. Makes one on the offscreen platform if
/// there is none.
void ensureFonts();

/// Puts `at` (ISO 8601, UTC) in the place of the machine's clock: the same project must give the same bytes.
void setPdfDate(QByteArray& pdf, const std::string& at);

/// Leads to the top of a page. `level` 0 stands outermost; each level is at most one deeper than the last.
struct Bookmark {
    std::string title; ///< UTF-8
    int page = 0;      ///< from 0
    int level = 0;
};

/// The PDF with a document outline, appended as an incremental update.
/// Shape:  `pdf` as QPdfWriter writes it: a table of cross references, one flat list of pages.
/// Errors: none; a PDF of another make is given back unchanged (and the report's test would tell).
/// Source: ISO 32000-1:2008, 7.5.6 (incremental updates), 12.3.3 (document outline), 7.9.2.2 (text strings).
std::string withBookmarks(const std::string& pdf, const std::vector<Bookmark>& bookmarks);

} // namespace inkpeg
