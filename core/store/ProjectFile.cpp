// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/ProjectFile.h"

#include <set>

#include "core/base/Clock.h"
#include "core/base/Text.h"
#include "core/records/Schema.h"
#include "core/store/Changeset.h"
#include "core/store/FileHeader.h"
#include "core/store/ProjectTables.h"

namespace inkpeg {

namespace {

Result<Database> openDatabase(const std::filesystem::path& file, Access access)
{
    if (access == Access::Write)
        return Database::open(file, SQLITE_OPEN_READWRITE);
    Result<Database> shared = Database::open(file, SQLITE_OPEN_READONLY);
    if (shared && shared->ask("SELECT count(*) FROM sqlite_master"))
        return shared;
    // Where the folder cannot be written, SQLite cannot make its shared-memory file for a write-ahead log;
    // with no log there is nothing to share, and nobody can be writing.
    std::error_code code;
    if (!std::filesystem::exists(file.string() + "-wal", code))
        return Database::open(file, SQLITE_OPEN_READONLY, true);
    return shared;
}

std::string columnList(const Table& table)
{
    std::string list;
    for (const Column& column : table.columns)
        list += (list.empty() ? "" : ", ") + quoted(column.name);
    return list;
}

/// Takes a transaction back unless it was kept; also when an edit throws.
class Transaction {
public:
    explicit Transaction(const Database& database) : m_database(database) {}
    Transaction(const Transaction&) = delete;
    Transaction& operator=(const Transaction&) = delete;
    ~Transaction()
    {
        if (!sqlite3_get_autocommit(m_database.handle()))
            (void)m_database.run("ROLLBACK");
    }
    Result<void> begin() { return m_database.run("BEGIN IMMEDIATE"); }
    Result<void> commit() { return m_database.run("COMMIT"); }

private:
    const Database& m_database;
};

Error withFile(Error error, const std::filesystem::path& file)
{
    error.message = file.string() + ": " + error.message;
    return error;
}

} // namespace

Result<std::unique_ptr<ProjectFile>> ProjectFile::open(const std::filesystem::path& file, Access access)
{
    if (const auto checked = checkHeader(file); !checked)
        return checked.error();
    std::unique_ptr<ProjectFile> opened(new ProjectFile);
    opened->path = file;
    opened->access = access;
    if (access == Access::Write) {
        Result<WriterLock> lock = WriterLock::take(file);
        if (!lock)
            return lock.error();
        opened->m_lock.emplace(std::move(*lock));
    }
    Result<Database> database = openDatabase(file, access);
    if (!database)
        return database.error();
    opened->m_database.emplace(std::move(*database));
    const Result<int> version = fileVersion(*opened->m_database, file.string());
    if (!version)
        return version.error();
    if (const auto current = opened->bringUpToDate(*version); !current)
        return withFile(current.error(), file);
    if (access == Access::Write)
        if (const auto set =
                opened->m_database->run("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;");
            !set)
            return withFile(set.error(), file);
    const auto srs =
        opened->m_database->ask("SELECT srs_id FROM gpkg_geometry_columns WHERE table_name = 'pegs'");
    if (!srs)
        return withFile(srs.error(), file);
    opened->srsId = static_cast<int>(parseWhole(*srs).value_or(0));
    opened->remarkOnLastSession();
    return opened;
}

ProjectFile::~ProjectFile()
{
    if (access != Access::Write || !m_database)
        return;
    // A closed project is one file. While somebody reads, the log stays until the next writer closes.
    (void)m_database->run(
        "PRAGMA wal_checkpoint(TRUNCATE); PRAGMA busy_timeout = 0; PRAGMA journal_mode = DELETE;");
}

Result<void> ProjectFile::bringUpToDate(int version)
{
    if (version == FileVersion)
        return {};
    const std::string which = "is a project file of version " + std::to_string(version) +
                              ", this program writes version " + std::to_string(FileVersion);
    if (version > FileVersion) {
        if (access == Access::Write)
            return Error{ErrorCode::ReadOnly, which + "; open it for reading, or use a newer program"};
        remark = "The file " + which + ": it is opened for reading, and what is new in it is not shown.";
        return {};
    }
    if (access == Access::Read)
        return Error{ErrorCode::ReadOnly,
                     which + "; open it for writing once, so that it is copied and brought up to date"};
    std::filesystem::path copy;
    for (int i = 0; copy.empty() || std::filesystem::exists(copy); ++i)
        copy = path.string() + ".version-" + std::to_string(version) + (i ? "-" + std::to_string(i) : "") +
               ".copy";
    Result<Database> target = Database::open(copy, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
    if (!target)
        return target.error();
    sqlite3_backup* backup = sqlite3_backup_init(target->handle(), "main", m_database->handle(), "main");
    const int code = backup ? sqlite3_backup_step(backup, -1) : SQLITE_ERROR;
    if (sqlite3_backup_finish(backup) != SQLITE_OK || code != SQLITE_DONE)
        return Error{ErrorCode::System, which + "; the copy " + copy.string() + " could not be made (" +
                                            sqlite3_errmsg(target->handle()) + "), so nothing was changed"};
    Transaction transaction(*m_database);
    if (const auto begun = transaction.begin(); !begun)
        return begun;
    if (const auto migrated = migrateTables(*m_database); !migrated)
        return migrated;
    if (const auto kept = transaction.commit(); !kept)
        return kept;
    remark = "The file was of version " + std::to_string(version) + " and is now of version " +
             std::to_string(FileVersion) + "; a copy as it was is " + copy.filename().string() + ".";
    return {};
}

void ProjectFile::remarkOnLastSession()
{
    if (!m_lock || !m_lock->leftBehind())
        return;
    const auto acts = m_database->ask("SELECT count(*) FROM journal");
    const auto last = m_database->ask("SELECT what FROM journal ORDER BY id DESC LIMIT 1");
    remark += std::string(remark.empty() ? "" : " ") +
              "The last session ended without closing the project. Every finished act is here (" +
              (acts ? *acts : std::string("?")) + " in the journal" +
              (last && !last->empty() ? ", the last: " + *last : std::string()) +
              "); an act still in flight was taken back.";
}

Result<std::vector<std::vector<Value>>> ProjectFile::rows(const Table& table, const std::string& where,
                                                          const Value& bound) const
{
    Result<Statement> statement =
        m_database->prepare("SELECT " + columnList(table) + " FROM " + quoted(table.name) + " " + where);
    if (!statement)
        return statement.error();
    if (!std::holds_alternative<std::monostate>(bound))
        statement->bind(1, bound);
    std::vector<std::vector<Value>> found;
    for (;;) {
        const Result<bool> more = statement->step();
        if (!more)
            return more.error();
        if (!*more)
            return found;
        std::vector<Value>& row = found.emplace_back();
        row.reserve(table.columns.size());
        std::optional<Error> unreadable;
        for (std::size_t i = 0; i < table.columns.size(); ++i) {
            if (table.columns[i].type != ColumnType::Shape) {
                row.push_back(statement->value(static_cast<int>(i)));
                continue;
            }
            Result<Value> geometry = statement->geometry(static_cast<int>(i));
            if (!geometry) {
                unreadable = Error{geometry.error().code, table.name + "." + table.columns[i].name + ": " +
                                                              geometry.error().message};
                row.emplace_back();
                continue;
            }
            if (auto* held = std::get_if<Geometry>(&*geometry))
                held->space = table.columns[i].space;
            row.push_back(std::move(*geometry));
        }
        if (unreadable) {
            keepTrouble(rowWords(table, row), *unreadable);
            found.pop_back();
        }
    }
}

void ProjectFile::keepTrouble(const std::string& where, const Error& error) const
{
    if (!trouble)
        trouble = Error{error.code, path.string() + ": " + where + ": " + error.message};
}

std::string rowWords(const Table& table, const std::vector<Value>& row)
{
    const int key = table.keyColumn();
    if (key >= 0)
        if (const auto* text = std::get_if<std::string>(&row[static_cast<std::size_t>(key)]))
            return table.name + " " + *text;
    const auto* id = std::get_if<std::int64_t>(&row[0]);
    return table.name + ", row " + (id ? std::to_string(*id) : "?");
}

Result<std::size_t> ProjectFile::countRows(const Table& table) const
{
    Result<Statement> statement = m_database->prepare("SELECT count(*) FROM " + quoted(table.name));
    if (!statement)
        return statement.error();
    if (const Result<bool> row = statement->step(); !row)
        return row.error();
    return static_cast<std::size_t>(std::get<std::int64_t>(statement->value(0)));
}

namespace {

void bindRow(Statement& statement, const Table& table, const std::vector<Value>& row, int projectSrsId)
{
    for (std::size_t i = 1; i < row.size(); ++i)
        statement.bind(static_cast<int>(i) + 1, row[i], srsIdOf(table.columns[i], projectSrsId));
}

/// A clash of register numbers in words of the trade.
Error inWords(Error error, const Table& table, const std::vector<Value>& row)
{
    const int key = table.keyColumn();
    if (error.code == ErrorCode::Conflict && key >= 0)
        if (const auto* text = std::get_if<std::string>(&row[static_cast<std::size_t>(key)]))
            error.message = table.name + ": another row has the " +
                            table.columns[static_cast<std::size_t>(key)].name + " \"" + *text +
                            "\" already";
    return error;
}

} // namespace

Result<std::int64_t> ProjectFile::insert(const Table& table, const std::vector<Value>& row) const
{
    std::string sql = "INSERT INTO " + quoted(table.name) + " (" + columnList(table) + ") VALUES (?1";
    for (std::size_t i = 1; i < row.size(); ++i)
        sql += ", ?" + std::to_string(i + 1);
    Result<Statement> statement = m_database->prepare(sql + ")");
    if (!statement)
        return statement.error();
    // The id is given by the file, but for the one row of facts.
    const auto id = std::get<std::int64_t>(row[0]);
    if (id != 0)
        statement->bind(1, id);
    bindRow(*statement, table, row, srsId);
    if (const auto run = statement->run(); !run)
        return inWords(run.error(), table, row);
    return std::int64_t{sqlite3_last_insert_rowid(m_database->handle())};
}

Result<void> ProjectFile::update(const Table& table, const std::vector<Value>& row) const
{
    std::string sql = "UPDATE " + quoted(table.name) + " SET ";
    for (std::size_t i = 1; i < row.size(); ++i)
        sql += (i == 1 ? "" : ", ") + quoted(table.columns[i].name) + " = ?" + std::to_string(i + 1);
    Result<Statement> statement = m_database->prepare(sql + " WHERE id = ?1");
    if (!statement)
        return statement.error();
    const auto id = std::get<std::int64_t>(row[0]);
    statement->bind(1, id);
    bindRow(*statement, table, row, srsId);
    if (const auto run = statement->run(); !run)
        return inWords(run.error(), table, row);
    if (sqlite3_changes(m_database->handle()) == 0)
        return Error{ErrorCode::NotFound, table.name + ": there is no row " + std::to_string(id)};
    return {};
}

Result<void> ProjectFile::remove(const Table& table, std::int64_t id) const
{
    Result<Statement> statement =
        m_database->prepare("DELETE FROM " + quoted(table.name) + " WHERE id = ?1");
    if (!statement)
        return statement.error();
    statement->bind(1, id);
    if (const auto run = statement->run(); !run)
        return run;
    if (sqlite3_changes(m_database->handle()) == 0)
        return Error{ErrorCode::NotFound, table.name + ": there is no row " + std::to_string(id)};
    return {};
}

Result<void> ProjectFile::removeOfDrawing(const Table& table, std::int64_t drawing) const
{
    Result<Statement> statement =
        m_database->prepare("DELETE FROM " + quoted(table.name) + " WHERE drawing = ?1");
    if (!statement)
        return statement.error();
    statement->bind(1, drawing);
    return statement->run();
}

Result<Change> ProjectFile::act(const std::string& what, std::optional<std::int64_t> undoes,
                                const Edit& edit, const Settle& settle)
{
    if (access != Access::Write)
        return Error{ErrorCode::ReadOnly, path.string() + ": is open for reading only"};
    if (m_acting)
        return Error{ErrorCode::Conflict, "\"" + what + "\" cannot be done in the middle of another act"};
    struct Acting {
        bool& flag;
        explicit Acting(bool& theFlag) : flag(theFlag) { flag = true; }
        ~Acting() { flag = false; }
    } const acting(m_acting);

    Transaction transaction(*m_database);
    if (const auto begun = transaction.begin(); !begun)
        return begun.error();
    std::string changeset, why;
    {
        const Result<ChangeWatch> watch = ChangeWatch::start(*m_database);
        if (!watch)
            return watch.error();
        if (const auto edited = edit(); !edited)
            return edited.error();
        Result<std::string> gathered = watch->changeset();
        if (!gathered)
            return gathered.error();
        if (settle && !gathered->empty()) {
            Result<std::string> settled = settle(*gathered);
            if (!settled)
                return settled.error();
            why = std::move(*settled);
            gathered = watch->changeset();
            if (!gathered)
                return gathered.error();
        }
        changeset = std::move(*gathered);
    }
    if (changeset.empty())
        return Change{0, what, {}};
    Result<Change> change = finish(what, why, undoes, changeset);
    if (!change)
        return change;
    if (const auto kept = transaction.commit(); !kept)
        return kept.error();
    return change;
}

Result<Change> ProjectFile::finish(const std::string& what, const std::string& why,
                                   std::optional<std::int64_t> undoes, const std::string& changeset) const
{
    const std::string now = utcNow();
    Result<Statement> entry = m_database->prepare(
        "INSERT INTO journal (at, person, what, why, undoes) VALUES (?1, ?2, ?3, ?4, ?5)");
    if (!entry)
        return entry.error();
    entry->bind(1, now);
    entry->bind(2, person);
    entry->bind(3, what);
    entry->bind(4, why);
    entry->bind(5, undoes ? Value(*undoes) : Value(std::monostate{}));
    if (const auto run = entry->run(); !run)
        return run.error();
    Change change{sqlite3_last_insert_rowid(m_database->handle()), what, touchedRows(changeset)};
    Result<Statement> changes =
        m_database->prepare("INSERT INTO journal_changes (id, changeset) VALUES (?1, ?2)");
    if (!changes)
        return changes.error();
    changes->bind(1, change.journalId);
    changes->bindBlob(2, changeset.data(), changeset.size());
    if (const auto run = changes->run(); !run)
        return run.error();
    std::set<std::string> tables;
    for (const TouchedRow& row : change.rows)
        tables.insert(row.table);
    for (const std::string& table : tables) {
        Result<Statement> contents =
            m_database->prepare("UPDATE gpkg_contents SET last_change = ?1 WHERE table_name = ?2");
        if (!contents)
            return contents.error();
        contents->bind(1, now);
        contents->bind(2, table);
        if (const auto run = contents->run(); !run)
            return run.error();
    }
    return change;
}

Result<void> ProjectFile::takeBackChanges(std::int64_t journalId) const
{
    std::string changeset;
    {
        Result<Statement> statement =
            m_database->prepare("SELECT changeset FROM journal_changes WHERE id = ?1");
        if (!statement)
            return statement.error();
        statement->bind(1, journalId);
        const Result<bool> row = statement->step();
        if (!row)
            return row.error();
        if (!*row)
            return Error{ErrorCode::NotFound,
                         "the journal keeps no changes of entry " + std::to_string(journalId)};
        changeset = statement->blob(0);
    }
    return takeBack(*m_database, changeset);
}

} // namespace inkpeg
