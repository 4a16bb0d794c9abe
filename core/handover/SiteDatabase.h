// SPDX-License-Identifier: GPL-3.0-or-later
// Hands over straight into the site database: PostgreSQL with PostGIS, through OGR.
//
//   const Result<PushReport> tried = pushToDatabase(project, {.service = "site", .dryRun = true});
//   const Result<PushReport> done = pushToDatabase(project, {.service = "site"});
//
// Where the database is and who may write there is said by the standard connection service file
// (PGSERVICEFILE) and password file (PGPASSFILE), never by the project.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/handover/FeatureLayer.h"
#include "core/records/Records.h"
#include "core/store/Project.h"

namespace inkpeg {

struct DatabaseSettings {
    std::string service;       ///< name of the connection in the service file
    std::string password = {}; ///< as typed at a prompt; empty: the password file's, or none is needed
    std::string schema = "excavation";
    Stage leastStage = Stage::SignedOff; ///< records of a lower stage stay behind
    bool dryRun = false;                 ///< everything is done and then taken back
    bool overwrite = false;              ///< also rows that were changed in the database
};

/// Rows of one table, against the records of this project.
struct TablePush {
    std::string table;
    std::size_t added = 0;
    std::size_t changed = 0; ///< differ from the project's record, and were not touched in the database
    std::size_t same = 0;
    std::size_t conflicting = 0; ///< were changed in the database since they were pushed, or by other hands
    std::size_t gone = 0; ///< in the database and no longer in what the project hands over; left there
};

struct PushConflict {
    std::string table, record;
    std::string fields; ///< that differ, with commas between
};

struct PushReport {
    std::vector<TablePush> tables;
    std::vector<PushConflict> conflicts; ///< left as they are, unless overwritten was asked for
    std::vector<std::string> remarks;
    bool committed = false;

    TablePush sum() const;
};

/// Makes schema and tables where they are missing, then adds and changes rows by site code and record
/// number, all in one transaction. Errors: BadInput (no site code in the project; a service or schema name
/// with other than letters, digits and low lines); NotFound (the service file does not know the service,
/// the server cannot be reached or wants another password: in the server's words, never with the
/// password); System (PostGIS is not there, the account may not write); Cancelled.
Result<PushReport> pushToDatabase(const Project& project, const DatabaseSettings& settings,
                                  const Progress& progress = {});

/// The same for layers at hand, as gatherLayers gives them. Used by the bench.
Result<PushReport> pushLayers(const std::vector<FeatureLayer>& layers, const std::string& siteCode,
                              const std::string& crs, const std::string& at,
                              const DatabaseSettings& settings, const Progress& progress = {});

/// Those features whose drawing or context has reached the stage; registers that have no stage (trenches,
/// pegs, people, sheets, photographs, sign-offs) stay whole.
std::vector<FeatureLayer> layersOfStage(const Project& project, std::vector<FeatureLayer> layers,
                                        Stage leastStage);

/// The record number of each feature within its site: "1032", "P-01/A3", "P-01#2"; all different.
std::vector<std::string> recordNumbers(const FeatureLayer& layer);

/// True if the server asked for a password and was given none: the caller may ask for one and try again.
bool wantsPassword(const Error& error);

} // namespace inkpeg
