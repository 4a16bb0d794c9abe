// SPDX-License-Identifier: GPL-3.0-or-later
// Reads a whole project into the value that the checks look at, with every fitted drawing carried to the
// ground.
//
//   const Result<ProjectRecords> records = loadRecords(project);
//   const Tally tally = tallyOf(runChecks(*records), records->waivers);
#pragma once

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/checks/ProjectRecords.h"
#include "core/store/Project.h"

namespace inkpeg {

/// A drawing whose pins do not suffice is no error: the checks tell of it. Scans are read for their digest;
/// a file whose size and time of change are as when this process last read it is not read again. Errors:
/// Cancelled; those of Project::takeReadingTrouble: with a row missing nothing said of the whole would hold.
Result<ProjectRecords> loadRecords(const Project& project, const Progress& progress = {});

} // namespace inkpeg
