// SPDX-License-Identifier: GPL-3.0-or-later
// The tables of the project file: made new, brought up to date, recognised.
#pragma once

#include <string>

#include "core/store/Database.h"
#include "core/store/ProjectCrs.h"

namespace inkpeg {

/// The version of the project file that this program writes.
inline constexpr int FileVersion = 4;

/// Makes every table in an empty database, within a transaction of the caller's.
Result<void> createTables(const Database& database, const ProjectCrs& crs);

/// Adds the tables and columns that an older file lacks, and says so in the version row.
Result<void> migrateTables(const Database& database);

/// The version row. Errors: BadInput saying what the file is instead of a project.
Result<int> fileVersion(const Database& database, const std::string& file);

/// Geometry columns live under the project's CRS on the ground and under -1 (undefined cartesian) on the
/// scan.
int srsIdOf(const Column& column, int projectSrsId);

} // namespace inkpeg
