// SPDX-License-Identifier: GPL-3.0-or-later
// What an act changed, as SQLite's session extension records it: gathered, listed, taken back.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "core/store/Database.h"
#include "core/store/Project.h"

namespace inkpeg {

/// Watches every record table of a database from its start on.
class ChangeWatch {
public:
    static Result<ChangeWatch> start(const Database& database);

    /// Everything changed so far; empty when nothing was.
    Result<std::string> changeset() const;

private:
    struct Delete {
        void operator()(sqlite3_session* session) const { sqlite3session_delete(session); }
    };
    explicit ChangeWatch(sqlite3_session* session) : m_session(session) {}
    std::unique_ptr<sqlite3_session, Delete> m_session;
};

/// The rows of a changeset: the first column of every record table is its id.
std::vector<TouchedRow> touchedRows(const std::string& changeset);

/// Undoes a changeset, within a transaction of the caller's.
/// Errors: Conflict (its rows were changed since).
Result<void> takeBack(const Database& database, const std::string& changeset);

} // namespace inkpeg
