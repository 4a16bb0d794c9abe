// SPDX-License-Identifier: GPL-3.0-or-later
// SQLite's C interface wrapped: handles that close themselves, errors as Result, values of rows.
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <unordered_map>
#include <vector>

#include <sqlite3.h>

#include "core/base/Result.h"
#include "core/records/Row.h"

namespace inkpeg {

/// A prepared statement in use; goes back to rest, ready for its next use, when this leaves scope.
class Statement {
public:
    Statement(sqlite3* database, sqlite3_stmt* statement) : m_database(database), m_statement(statement) {}
    Statement(Statement&& other) noexcept
        : m_database(other.m_database), m_statement(std::exchange(other.m_statement, nullptr))
    {
    }
    Statement& operator=(Statement&&) = delete;
    ~Statement();

    /// Binds the value at a place counted from 1. Geometries go in as GeoPackage blobs under `srsId`.
    void bind(int place, const Value& value, int srsId = 0);
    void bind(int place, std::int64_t value);
    void bind(int place, const std::string& value);
    void bindBlob(int place, const void* bytes, std::size_t size);

    /// True while there is a row.
    Result<bool> step();
    /// Runs to the end.
    Result<void> run();

    /// Values of the row at hand, columns counted from 0.
    Value value(int column) const;
    Result<Value> geometry(int column) const;
    std::int64_t whole(int column) const { return sqlite3_column_int64(m_statement, column); }
    std::string text(int column) const;
    std::string blob(int column) const;
    bool isNull(int column) const { return sqlite3_column_type(m_statement, column) == SQLITE_NULL; }

private:
    sqlite3* m_database;
    sqlite3_stmt* m_statement;
};

/// An open database with its prepared statements.
class Database {
public:
    /// `flags` as for sqlite3_open_v2. `unchanging` opens without locks, for places that cannot be written.
    static Result<Database> open(const std::filesystem::path& file, int flags, bool unchanging = false);

    Database(Database&& other) noexcept = default;
    Database& operator=(Database&& other) noexcept;
    ~Database();

    Result<Statement> prepare(const std::string& sql) const;
    /// Runs statements that give no rows.
    Result<void> run(const std::string& sql) const;
    /// The first value of the first row, as text; empty when there is none.
    Result<std::string> ask(const std::string& sql) const;

    /// What SQLite says about its last failure, as an Error of ours.
    Error lastError() const;

    sqlite3* handle() const { return m_handle.get(); }

private:
    struct Close {
        void operator()(sqlite3* handle) const { sqlite3_close_v2(handle); }
    };
    struct Finalize {
        void operator()(sqlite3_stmt* statement) const { sqlite3_finalize(statement); }
    };
    Database() = default;

    std::unique_ptr<sqlite3, Close> m_handle;
    mutable std::unordered_map<std::string, std::unique_ptr<sqlite3_stmt, Finalize>> m_prepared;
};

/// The Error for a result code of SQLite; `what` is put before its words.
Error sqliteError(int code, const std::string& words);

/// `name` in double quotes, as an SQL identifier.
std::string quoted(const std::string& name);

} // namespace inkpeg
