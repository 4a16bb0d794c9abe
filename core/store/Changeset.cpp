// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/Changeset.h"

#include "core/records/Schema.h"

namespace inkpeg {

Result<ChangeWatch> ChangeWatch::start(const Database& database)
{
    sqlite3_session* session = nullptr;
    int code = sqlite3session_create(database.handle(), "main", &session);
    ChangeWatch watch(session);
    for (const Table* table : allTables())
        if (code == SQLITE_OK)
            code = sqlite3session_attach(session, table->name.c_str());
    if (code != SQLITE_OK)
        return sqliteError(code, "the changes of an act cannot be watched");
    return watch;
}

Result<std::string> ChangeWatch::changeset() const
{
    int size = 0;
    void* bytes = nullptr;
    const int code = sqlite3session_changeset(m_session.get(), &size, &bytes);
    const std::unique_ptr<void, decltype(&sqlite3_free)> owner(bytes, &sqlite3_free);
    if (code != SQLITE_OK)
        return sqliteError(code, "the changes of an act cannot be gathered");
    return std::string(static_cast<const char*>(bytes), static_cast<std::size_t>(size));
}

std::vector<TouchedRow> touchedRows(const std::string& changeset)
{
    std::vector<TouchedRow> rows;
    sqlite3_changeset_iter* iterator = nullptr;
    sqlite3changeset_start(&iterator, static_cast<int>(changeset.size()),
                           const_cast<char*>(changeset.data()));
    while (sqlite3changeset_next(iterator) == SQLITE_ROW) {
        const char* table = nullptr;
        int columns = 0;
        int operation = 0;
        sqlite3changeset_op(iterator, &table, &columns, &operation, nullptr);
        sqlite3_value* id = nullptr;
        if (operation == SQLITE_INSERT)
            sqlite3changeset_new(iterator, 0, &id);
        else
            sqlite3changeset_old(iterator, 0, &id);
        rows.push_back({table, id ? sqlite3_value_int64(id) : 0});
    }
    sqlite3changeset_finalize(iterator);
    return rows;
}

Result<void> takeBack(const Database& database, const std::string& changeset)
{
    int size = 0;
    void* bytes = nullptr;
    const int inverting =
        sqlite3changeset_invert(static_cast<int>(changeset.size()), changeset.data(), &size, &bytes);
    const std::unique_ptr<void, decltype(&sqlite3_free)> inverted(bytes, &sqlite3_free);
    if (inverting != SQLITE_OK)
        return sqliteError(inverting, "an act cannot be turned round");
    const auto onConflict = [](void*, int, sqlite3_changeset_iter*) -> int {
        return SQLITE_CHANGESET_ABORT;
    };
    const int code = sqlite3changeset_apply(database.handle(), size, bytes, nullptr, onConflict, nullptr);
    if (code == SQLITE_ABORT)
        return Error{ErrorCode::Conflict,
                     "the rows of this act were changed since; it cannot be taken back by itself"};
    if (code != SQLITE_OK)
        return sqliteError(code, sqlite3_errmsg(database.handle()));
    return {};
}

} // namespace inkpeg
