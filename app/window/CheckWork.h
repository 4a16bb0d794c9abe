// SPDX-License-Identifier: GPL-3.0-or-later
// Everything read and checked once, away from the window's thread, through a reading access of its own.
#pragma once

#include "core/checks/Checks.h"
#include "core/checks/Tally.h"
#include "core/store/LoadRecords.h"

namespace inkpeg {

struct CheckWork {
    ProjectRecords records;
    Tally tally;
};

/// Errors: as Project::open, loadRecords, runChecks.
inline Result<CheckWork> checkEverything(const std::filesystem::path& file, const Progress& progress)
{
    const Result<Project> project = Project::open(file, Access::Read);
    if (!project)
        return project.error();
    Result<ProjectRecords> records = loadRecords(*project, progress);
    if (!records)
        return records.error();
    Result<std::vector<Matter>> matters = runChecks(*records, progress);
    if (!matters)
        return matters.error();
    CheckWork work{std::move(*records), {}};
    work.tally = tallyOf(std::move(matters).value(), work.records.waivers);
    return work;
}

} // namespace inkpeg
