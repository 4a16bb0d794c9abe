// SPDX-License-Identifier: GPL-3.0-or-later
// The data dictionary: every table and column of a project, made from the one description of the records.
#pragma once

#include <string>

namespace inkpeg {

/// A heading and a table of columns for each table, as Markdown.
std::string dataDictionaryMarkdown();

/// One line for each column: table, column, type, unit, meaning (RFC 4180).
std::string dataDictionaryCsv();

} // namespace inkpeg
