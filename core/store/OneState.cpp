// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/OneState.h"

#include <utility>

#include "core/store/ProjectFile.h"

namespace inkpeg {

Result<OneState> OneState::hold(const Project& project)
{
    const ProjectFile& file = *project.m_file;
    const Database& database = file.database();
    if (sqlite3_get_autocommit(database.handle()) == 0)
        return OneState(nullptr);
    const auto failed = [&](const Error& error) {
        return Error{error.code, file.path.string() + ": " + error.message};
    };
    if (const auto begun = database.run("BEGIN DEFERRED"); !begun)
        return failed(begun.error());
    OneState state(&file);
    // SQLite takes the state that a transaction sees at the first reading, not at its beginning.
    if (const auto read = database.ask("SELECT count(*) FROM sqlite_master"); !read)
        return failed(read.error());
    return state;
}

OneState::OneState(OneState&& other) noexcept : m_file(std::exchange(other.m_file, nullptr)) {}

OneState::~OneState()
{
    if (m_file)
        (void)m_file->database().run("ROLLBACK");
}

} // namespace inkpeg
