// SPDX-License-Identifier: GPL-3.0-or-later
// Comma-separated text, read into rows of fields that remember their line, and written (RFC 4180).
//
//   const Result<CsvTable> table = readCsvFile("registers/levels.csv");
//   const std::optional<std::size_t> point = table->column("point");
//   std::string line = csvLine({"1032", "=SUM(A1)"});      // 1032,'=SUM(A1)\r\n
#pragma once

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/Result.h"

namespace inkpeg {

struct CsvRow {
    int line = 0; ///< first line of the row in the file, counted from 1
    std::vector<std::string> fields;
    bool operator==(const CsvRow&) const = default;
};

/// How a text was read, so that it can be said.
struct CsvReading {
    std::string encoding = "UTF-8"; ///< or "Windows-1252"
    char separator = ',';           ///< or ';'

    /// "UTF-8, comma between the fields".
    std::string words() const;
};

/// Column names are trimmed and in lower case; every row has as many fields as there are columns (unless
/// uneven rows were asked for); blank lines, and lines of separators alone, are left out.
struct CsvTable {
    std::vector<std::string> columns;
    std::vector<CsvRow> rows;
    CsvReading reading;

    std::optional<std::size_t> column(std::string_view name) const;
};

/// No row of a register comes near this; a longer one is a missing line end or a quote never closed.
inline constexpr std::size_t LongestCsvRowBytes = 4U << 20U;
inline constexpr std::size_t LargestCsvFileBytes = 1U << 30U;

/// The rows of `text` as they stand, header and all; quotes undone, a byte order mark dropped, blank lines
/// left out. The separator is the comma, or the semicolon where the first line has more of those. Text that
/// is not UTF-8 is taken for Windows-1252. What was found is put into `reading`. Errors: BadInput naming
/// `name`, the line and the character in it: a NUL, UTF-16, a byte that is neither UTF-8 nor
///         Windows-1252, a quote within an unquoted field, text after a closing quote, a quote left open, a
///         row longer than LongestCsvRowBytes.
/// Source: RFC 4180, section 2 (and LF or CR alone as line end).
Result<std::vector<CsvRow>> readCsvRows(std::string_view text, const std::string& name,
                                        CsvReading* reading = nullptr);

enum class UnevenRows { Refused, Kept };

/// The same with the first row taken as column names.
/// Errors: as readCsvRows; no header; a column named twice; a row with another number of fields.
Result<CsvTable> readCsv(std::string_view text, const std::string& name,
                         UnevenRows uneven = UnevenRows::Refused);

/// The same from a file; a row too long or a file too large is refused without being taken into memory.
/// Errors: as readCsv; NotFound; System.
Result<CsvTable> readCsvFile(const std::filesystem::path& file, UnevenRows uneven = UnevenRows::Refused);

/// A field for writing: quoted where it must be. A cell that a spreadsheet would run as a formula (it
/// begins with = + - @, a tab or a carriage return, and is no number) gets an apostrophe in front, as does
/// one that has apostrophes before such a beginning; cellAsMeant takes exactly one of them off. Source: RFC
/// 4180, section 2, rules 5 to 7; the apostrophe is common practice, no source.
std::string csvField(std::string_view text, char separator = ',');

/// What a cell written by csvField stood for.
std::string cellAsMeant(std::string_view cell);

/// Fields with separators between and CR LF at the end.
std::string csvLine(const std::vector<std::string>& fields, char separator = ',');

} // namespace inkpeg
