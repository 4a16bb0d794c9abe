// SPDX-License-Identifier: GPL-3.0-or-later
// Carries the levels of the level books to the records they belong to, as one act that can be undone.
//
//   const Result<LevelFlow> flow = carryLevels(project, {});
//   for (const LevelUse& use : flow->conflicts) tell(use.inWords());
#pragma once

#include <string>
#include <vector>

#include "core/checks/LevelBooks.h"
#include "core/store/Project.h"

namespace inkpeg {

struct LevelFlowSettings {
    std::string book = {};  ///< only of this book; empty = of all
    bool overwrite = false; ///< a record that disagrees takes the reduced level; else it stays and is told
    bool dryRun = false;    ///< only tell what would happen
    std::string why = {};   ///< for the journal
};

struct LevelFlow {
    std::vector<LevelUse> carried;   ///< records that were given a level, or another one
    std::vector<LevelUse> conflicts; ///< records that disagree and were left as they are
    int agreeing = 0;                ///< records that have the level already, within tolerance
    std::int64_t journalId = 0;      ///< 0 when nothing was to be done
};

/// The books of a project with their readings reduced; a book that cannot be reduced is an error of its own.
std::vector<std::pair<LevelBook, Result<ReducedBook>>> reducedBooks(const Project& project);

/// Records of the level books alone, as the uses want them.
std::vector<LevelUse> levelUses(const Project& project);

/// A record that is signed off (a drawing's datum or spot height) is left as it is and told as a conflict.
/// Errors: NotFound (no such book); BadInput, Conflict (a book that cannot be reduced); those of Project::act.
Result<LevelFlow> carryLevels(Project& project, const LevelFlowSettings& settings);

/// Puts a book with its readings in the place of what the project holds under its name, as one act.
/// Errors: BadInput, Conflict: as reduceLevelBook; the project is then as it was.
Result<Change> putLevelBook(Project& project, LevelBook book, std::vector<LevelReading> readings,
                            const std::string& why = {});

} // namespace inkpeg
