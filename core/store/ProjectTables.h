// SPDX-License-Identifier: GPL-3.0-or-later
// The tables of the project file: made new, brought up to date, recognised.
#pragma once

#include <string>

#include "core/records/Records.h"
#include "core/store/Database.h"

namespace inkpeg {

/// The version of the project file that this program writes.
inline constexpr int FileVersion = 1;

/// A CRS as the project file keeps it.
struct ProjectCrs {
    std::string name;
    std::string authority; ///< "EPSG"
    int code = 0;
    int srsId = 0;   ///< under which the file keeps it: the code for EPSG
    std::string wkt; ///< WKT 1 as GeoPackage 1.3 asks (OGC 01-009)
};

/// Errors: BadInput (not "authority:code"; PROJ knows none such; not a projected CRS in metres).
Result<ProjectCrs> projectCrs(const std::string& authorityAndCode);

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
