// SPDX-License-Identifier: GPL-3.0-or-later
// Takes a register from a CSV file into the project: a dry run first if asked, all or nothing, merged by
// number.
//
//   const Result<ImportReport> report = importRegister(project, "registers/contexts.csv", {.dryRun =
//   true}); for (const ImportLine& line : report->lines) ...      // "line 14: context 1032 changed:
//   period"
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/records/Registers.h"
#include "core/store/Project.h"

namespace inkpeg {

struct ImportSettings {
    /// Which register; recognised by the name of the file ("contexts.csv") when not given.
    std::optional<RegisterKind> kind = {};
    /// Where the site's own column names differ: {"number", "Ctx no"}. Remembered in the project, and used
    /// again when none are given.
    std::map<std::string, std::string> columns = {};
    /// Columns of the file that are not wanted; any other unknown column is an error. Remembered likewise.
    std::set<std::string> passOver = {};
    /// Only tell what would happen.
    bool dryRun = false;
    /// Take the good lines although others are refused; otherwise a refused line refuses the file.
    bool skipRefused = false;
    /// Why, for the journal.
    std::string why = {};
    /// Hears of the lines as they are looked at and taken; may stop the work.
    Progress progress = {};
};

enum class ImportOutcome { Added, Changed, Unchanged, Refused };

/// What becomes of one line of the file.
struct ImportLine {
    int line = 0;       ///< in the file, counted from 1
    std::string number; ///< register number of the record
    ImportOutcome outcome = ImportOutcome::Unchanged;
    std::string message; ///< changed: the columns; refused: what is wrong and what would be right
};

struct ImportReport {
    RegisterKind kind = RegisterKind::Contexts;
    std::string reading; ///< how the file was read: "UTF-8, comma", "Windows-1252, semicolon"
    std::vector<ImportLine> lines;
    std::vector<std::string> remarks; ///< e.g. a column that was passed over, a scan that is missing
    int added = 0, changed = 0, unchanged = 0, refused = 0;
    bool applied = false; ///< false after a dry run, or when nothing was to be done
    std::int64_t journalId = 0;
};

/// How this site's files were matched to the columns of a register so far.
HeaderMapping rememberedMapping(const Project& project, RegisterKind kind);

/// A line whose number the project holds changes that record: columns that the file has not, and empty
/// cells, leave what is there; a cell of relations replaces the relations of that kind written on that
/// context. A record that is signed off is never changed: such a line is refused. What else lies under a
/// seal (a peg, a scan) is changed with a reason alone, and breaks the seal (Project::act).
///
/// Sheets: the scan is looked for from the project's folder, the register's folder and the folder above it;
/// it is opened, and its size and digest are kept. Pins: a drawing that can then be fitted becomes
/// "pinned".
///
/// Errors: NotFound; BadInput naming the file and line or column: empty, not text, broken quoting, a column
///         missing (names it, the expected ones and the nearest), or a refused line when not skipRefused
///         (the message gives the first ones; the dry run gives all); Cancelled. The project is then as it
///         was.
Result<ImportReport> importRegister(Project& project, const std::filesystem::path& csv,
                                    const ImportSettings& settings = {});

} // namespace inkpeg
