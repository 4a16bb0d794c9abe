// SPDX-License-Identifier: GPL-3.0-or-later
// The registers that a project takes in as CSV: which there are, their columns, and how a file's header
// meets them.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "core/base/Csv.h"
#include "core/base/Result.h"

namespace inkpeg {

enum class RegisterKind {
    People,
    Trenches,
    Pegs,
    Sheets,
    Drawings,
    Contexts,
    Finds,
    Samples,
    Timbers,
    Photographs,
    Pins,
    Levels
};

/// In the order in which they are best taken in: what is referred to comes first.
const std::vector<RegisterKind>& allRegisters();

/// "people", "trenches", ..., "levels": also the name of the file without ".csv".
std::string registerName(RegisterKind kind);

/// The register that a file's name tells: "contexts.csv" and the like, in any case of letters.
std::optional<RegisterKind> registerOfFileName(const std::filesystem::path& csv);

struct RegisterColumn {
    std::string name;
    bool required = false; ///< the file must have the column, and a new record a value in it
    std::string words;     ///< what goes in
};

/// The columns of a register in their order.
std::vector<RegisterColumn> registerColumns(RegisterKind kind);

/// How a site's file differs from the register's columns.
struct HeaderMapping {
    /// Column of the file for a column of the register: {"number", "Ctx no"}. Case of letters is ignored.
    std::map<std::string, std::string> columns;
    /// Columns of the file that are not wanted.
    std::set<std::string> passOver;
};

/// For each column of the register the place of its column in the file, if it is there.
/// Errors: BadInput naming the file, and a column that is missing, unknown, or mapped to one that is not there;
///         with the columns expected and the nearest in spelling.
Result<std::vector<std::optional<std::size_t>>> matchHeader(RegisterKind kind, const CsvTable& table,
                                                            const std::string& file,
                                                            const HeaderMapping& mapping);

} // namespace inkpeg
