// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/Database.h"

#include "core/store/GeoPackageBlob.h"

namespace inkpeg {

Error sqliteError(int code, const std::string& words)
{
    switch (code & 0xFF) {
    case SQLITE_FULL:
        return {ErrorCode::OutOfSpace, "the disk is full; the act was not kept"};
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return {ErrorCode::ReadOnly,
                "another program holds the project file (" + words + "); close it there first"};
    case SQLITE_READONLY:
        return {ErrorCode::ReadOnly, "the project file cannot be written (" + words + ")"};
    case SQLITE_CONSTRAINT:
        return {ErrorCode::Conflict, words};
    case SQLITE_NOTADB:
    case SQLITE_CORRUPT:
        return {ErrorCode::BadInput, "the project file is damaged (" + words + "); restore it from a copy"};
    default:
        return {ErrorCode::System, "the project file: " + words};
    }
}

std::string quoted(const std::string& name)
{
    std::string text = "\"";
    for (const char c : name)
        text.append(c == '"' ? 2U : 1U, c);
    return text + '"';
}

Statement::~Statement()
{
    if (!m_statement)
        return;
    sqlite3_reset(m_statement);
    sqlite3_clear_bindings(m_statement);
}

void Statement::bind(int place, const Value& value, int srsId)
{
    if (const auto* whole = std::get_if<std::int64_t>(&value))
        sqlite3_bind_int64(m_statement, place, *whole);
    else if (const auto* real = std::get_if<double>(&value))
        sqlite3_bind_double(m_statement, place, *real);
    else if (const auto* text = std::get_if<std::string>(&value))
        bind(place, *text);
    else if (const auto* geometry = std::get_if<Geometry>(&value)) {
        const std::string blob = geoPackageBlob(*geometry, srsId);
        bindBlob(place, blob.data(), blob.size());
    } else
        sqlite3_bind_null(m_statement, place);
}

void Statement::bind(int place, std::int64_t value)
{
    sqlite3_bind_int64(m_statement, place, value);
}

void Statement::bind(int place, const std::string& value)
{
    sqlite3_bind_text64(m_statement, place, value.data(), value.size(), SQLITE_TRANSIENT, SQLITE_UTF8);
}

void Statement::bindBlob(int place, const void* bytes, std::size_t size)
{
    sqlite3_bind_blob64(m_statement, place, bytes, size, SQLITE_TRANSIENT);
}

Result<bool> Statement::step()
{
    const int code = sqlite3_step(m_statement);
    if (code == SQLITE_ROW)
        return true;
    if (code == SQLITE_DONE)
        return false;
    return sqliteError(code, sqlite3_errmsg(m_database));
}

Result<void> Statement::run()
{
    for (;;) {
        const Result<bool> row = step();
        if (!row)
            return row.error();
        if (!*row)
            return {};
    }
}

Value Statement::value(int column) const
{
    switch (sqlite3_column_type(m_statement, column)) {
    case SQLITE_INTEGER:
        return std::int64_t{sqlite3_column_int64(m_statement, column)};
    case SQLITE_FLOAT:
        return sqlite3_column_double(m_statement, column);
    case SQLITE_TEXT:
        return text(column);
    default:
        return std::monostate{};
    }
}

Result<Value> Statement::geometry(int column) const
{
    if (isNull(column))
        return Value(std::monostate{});
    const Result<Geometry> geometry = geometryOfBlob(blob(column));
    if (!geometry)
        return geometry.error();
    return Value(*geometry);
}

std::string Statement::text(int column) const
{
    const auto* bytes = reinterpret_cast<const char*>(sqlite3_column_text(m_statement, column));
    return bytes ? std::string(bytes, static_cast<std::size_t>(sqlite3_column_bytes(m_statement, column)))
                 : std::string();
}

std::string Statement::blob(int column) const
{
    const auto* bytes = static_cast<const char*>(sqlite3_column_blob(m_statement, column));
    return bytes ? std::string(bytes, static_cast<std::size_t>(sqlite3_column_bytes(m_statement, column)))
                 : std::string();
}

namespace {

/// `file` as a URI (RFC 3986): every byte but the plainest escaped.
std::string uriOf(const std::filesystem::path& file)
{
    static constexpr char Digits[] = "0123456789ABCDEF";
    std::string uri = "file:";
    for (const char c : std::filesystem::absolute(file).string()) {
        const auto byte = static_cast<unsigned char>(c);
        const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                           c == '/' || c == '-' || c == '_' || c == '.';
        if (plain)
            uri += c;
        else
            (uri += '%').append({Digits[byte >> 4U], Digits[byte & 0xFU]});
    }
    return uri;
}

} // namespace

Result<Database> Database::open(const std::filesystem::path& file, int flags, bool unchanging)
{
    Database database;
    sqlite3* handle = nullptr;
    const std::string uri = uriOf(file) + (unchanging ? "?immutable=1" : "");
    const int code =
        sqlite3_open_v2(uri.c_str(), &handle, flags | SQLITE_OPEN_URI | SQLITE_OPEN_FULLMUTEX, nullptr);
    database.m_handle.reset(handle);
    if (code != SQLITE_OK) {
        Error error = sqliteError(code, handle ? sqlite3_errmsg(handle) : "no memory");
        error.message = file.string() + ": " + error.message;
        return error;
    }
    sqlite3_extended_result_codes(handle, 1);
    sqlite3_busy_timeout(handle, 5000);
    // A project from elsewhere must not run functions of its own choosing through views or triggers.
    sqlite3_db_config(handle, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
    return database;
}

Database& Database::operator=(Database&& other) noexcept
{
    m_prepared.clear();
    m_handle = std::move(other.m_handle);
    m_prepared = std::move(other.m_prepared);
    return *this;
}

Database::~Database()
{
    m_prepared.clear();
}

Result<Statement> Database::prepare(const std::string& sql) const
{
    auto& held = m_prepared[sql];
    if (held && sqlite3_stmt_busy(held.get())) {
        // The same statement is still running further up: it cannot serve twice at once.
        return Error{ErrorCode::System, "the statement is in use: " + sql};
    }
    if (!held) {
        sqlite3_stmt* statement = nullptr;
        const int code = sqlite3_prepare_v3(m_handle.get(), sql.c_str(), static_cast<int>(sql.size()) + 1,
                                            SQLITE_PREPARE_PERSISTENT, &statement, nullptr);
        if (code != SQLITE_OK)
            return sqliteError(code, std::string(sqlite3_errmsg(m_handle.get())) + " in: " + sql);
        held.reset(statement);
    }
    return Statement(m_handle.get(), held.get());
}

Result<void> Database::run(const std::string& sql) const
{
    const int code = sqlite3_exec(m_handle.get(), sql.c_str(), nullptr, nullptr, nullptr);
    if (code != SQLITE_OK)
        return sqliteError(code, sqlite3_errmsg(m_handle.get()));
    return {};
}

Result<std::string> Database::ask(const std::string& sql) const
{
    Result<Statement> statement = prepare(sql);
    if (!statement)
        return statement.error();
    const Result<bool> row = statement->step();
    if (!row)
        return row.error();
    return *row ? statement->text(0) : std::string();
}

Error Database::lastError() const
{
    return sqliteError(sqlite3_extended_errcode(m_handle.get()), sqlite3_errmsg(m_handle.get()));
}

} // namespace inkpeg
