// SPDX-License-Identifier: GPL-3.0-or-later
// The coordinate reference system of a project, looked up in PROJ's database.
#pragma once

#include <string>

#include "core/base/Result.h"

namespace inkpeg {

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

/// WGS 84 as WKT 1, which every GeoPackage holds.
/// Errors: System (PROJ's database is missing).
Result<std::string> wgs84Wkt();

} // namespace inkpeg
