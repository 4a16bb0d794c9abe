// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/ProjectTables.h"

#include <set>

#include "core/base/Clock.h"
#include "core/base/Text.h"
#include "core/records/Schema.h"

namespace inkpeg {

namespace {

constexpr const char* ScanAxes = "; x = column, y = row (down) of the scan, pixel centre at .5";
constexpr int UndefinedCartesian = -1;
const char* shapeName(Shape shape)
{
    switch (shape) {
    case Shape::Point:
        return "POINT";
    case Shape::LineString:
        return "LINESTRING";
    case Shape::Polygon:
        return "POLYGON";
    case Shape::MultiPolygon:
        return "MULTIPOLYGON";
    case Shape::None:
        break;
    }
    return "";
}

std::string sqlType(const Column& column)
{
    switch (column.type) {
    case ColumnType::Whole:
        return "INTEGER";
    case ColumnType::Real:
        return "DOUBLE";
    case ColumnType::Text:
        return "TEXT";
    case ColumnType::Truth:
        return "BOOLEAN";
    case ColumnType::Shape:
        return shapeName(column.shape);
    }
    return "";
}

// OGC 12-128r17, annex C (table definition SQL); the last two from annex F.9 (schema extension).
constexpr const char* StandardTables = R"(
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL PRIMARY KEY,
  organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL,
  definition TEXT NOT NULL,
  description TEXT);
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY,
  data_type TEXT NOT NULL,
  identifier TEXT UNIQUE,
  description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE,
  min_y DOUBLE,
  max_x DOUBLE,
  max_y DOUBLE,
  srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL,
  column_name TEXT NOT NULL,
  geometry_type_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL,
  z TINYINT NOT NULL,
  m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id));
CREATE TABLE gpkg_extensions (
  table_name TEXT,
  column_name TEXT,
  extension_name TEXT NOT NULL,
  definition TEXT NOT NULL,
  scope TEXT NOT NULL,
  CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name));
CREATE TABLE gpkg_data_columns (
  table_name TEXT NOT NULL,
  column_name TEXT NOT NULL,
  name TEXT,
  title TEXT,
  description TEXT,
  mime_type TEXT,
  constraint_name TEXT,
  CONSTRAINT pk_gdc PRIMARY KEY (table_name, column_name),
  CONSTRAINT gdc_tn UNIQUE (table_name, name));
CREATE TABLE gpkg_data_column_constraints (
  constraint_name TEXT NOT NULL,
  constraint_type TEXT NOT NULL,
  value TEXT,
  min NUMERIC,
  min_is_inclusive BOOLEAN,
  max NUMERIC,
  max_is_inclusive BOOLEAN,
  description TEXT,
  CONSTRAINT gdcc_ntv UNIQUE (constraint_name, constraint_type, value));
INSERT INTO gpkg_extensions VALUES
  ('gpkg_data_columns', NULL, 'gpkg_schema', 'http://www.geopackage.org/spec130/#extension_schema', 'read-write'),
  ('gpkg_data_column_constraints', NULL, 'gpkg_schema', 'http://www.geopackage.org/spec130/#extension_schema',
   'read-write');
)";

constexpr const char* JournalTables = R"(
CREATE TABLE IF NOT EXISTS journal (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  at DATETIME NOT NULL,
  person TEXT NOT NULL,
  what TEXT NOT NULL,
  why TEXT NOT NULL,
  undoes INTEGER);
CREATE TABLE IF NOT EXISTS journal_changes (
  id INTEGER PRIMARY KEY NOT NULL,
  changeset BLOB NOT NULL);
CREATE TRIGGER IF NOT EXISTS journal_is_not_changed BEFORE UPDATE ON journal
  BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
CREATE TRIGGER IF NOT EXISTS journal_is_not_deleted BEFORE DELETE ON journal
  BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
CREATE TRIGGER IF NOT EXISTS journal_changes_is_not_changed BEFORE UPDATE ON journal_changes
  BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
CREATE TRIGGER IF NOT EXISTS journal_changes_is_not_deleted BEFORE DELETE ON journal_changes
  BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
CREATE TABLE IF NOT EXISTS file_format (
  id INTEGER PRIMARY KEY NOT NULL,
  version INTEGER NOT NULL,
  program TEXT NOT NULL);
)";

/// Runs one statement with values bound in order.
template<typename... Values>
Result<void> runWith(const Database& database, const std::string& sql, const Values&... values)
{
    Result<Statement> statement = database.prepare(sql);
    if (!statement)
        return statement.error();
    int place = 0;
    (statement->bind(++place, values), ...);
    return statement->run();
}

Result<void> addSrs(const Database& database, const std::string& name, int srsId,
                    const std::string& authority, int code, const std::string& wkt,
                    const std::string& description)
{
    return runWith(database, "INSERT INTO gpkg_spatial_ref_sys VALUES (?1, ?2, ?3, ?4, ?5, ?6)", name,
                   std::int64_t{srsId}, authority, std::int64_t{code}, wkt, description);
}

Result<void> addContents(const Database& database, const std::string& table, const char* dataType,
                         const std::string& title, const std::string& words, const Value& srsId)
{
    return runWith(
        database,
        "INSERT OR IGNORE INTO gpkg_contents (table_name, data_type, identifier, description, last_change, "
        "srs_id) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        table, std::string(dataType), title, words, utcNow(), srsId);
}

/// The column that makes the key together with the key column, if there is one.
const Column* keyPartOf(const Table& table)
{
    for (const Column& column : table.columns)
        if (column.keyPart)
            return &column;
    return nullptr;
}

std::string columnSql(const Table& table, const Column& column)
{
    std::string sql = quoted(column.name) + " " + sqlType(column);
    if (column.name == "id")
        return sql + " PRIMARY KEY AUTOINCREMENT NOT NULL";
    if (column.key)
        return sql + (keyPartOf(table) ? " NOT NULL" : " NOT NULL UNIQUE");
    return column.ofDrawing ? sql + " NOT NULL" : sql;
}

Result<void> describeColumns(const Database& database, const Table& table)
{
    for (const Column& column : table.columns) {
        const std::string title =
            column.unit.empty() ? column.name : column.name + " (" + column.unit + ")";
        if (const auto done =
                runWith(database,
                        "INSERT OR REPLACE INTO gpkg_data_columns (table_name, column_name, name, title, "
                        "description) VALUES (?1, ?2, ?3, ?4, ?5)",
                        table.name, column.name, column.name, title,
                        column.space == Space::Scan ? column.words + ScanAxes : column.words);
            !done)
            return done;
    }
    return {};
}

Result<void> createTable(const Database& database, const Table& table, int projectSrsId)
{
    std::string sql = "CREATE TABLE IF NOT EXISTS " + quoted(table.name) + " (";
    for (const Column& column : table.columns)
        sql += (&column == &table.columns.front() ? "" : ", ") + columnSql(table, column);
    if (const Column* part = keyPartOf(table))
        sql += ", UNIQUE (" + quoted(table.columns[static_cast<std::size_t>(table.keyColumn())].name) +
               ", " + quoted(part->name) + ")";
    sql += ");";
    if (const int drawing = table.drawingColumn(); drawing >= 0)
        sql += "CREATE INDEX IF NOT EXISTS " + quoted(table.name + "_of_drawing") + " ON " +
               quoted(table.name) + " (drawing);";
    if (const auto done = database.run(sql); !done)
        return done;
    const int shape = table.shapeColumn();
    const bool features = shape >= 0;
    const Column* column = features ? &table.columns[static_cast<std::size_t>(shape)] : nullptr;
    const Value srsId =
        features ? Value(std::int64_t{srsIdOf(*column, projectSrsId)}) : Value(std::monostate{});
    if (const auto done = addContents(database, table.name, features ? "features" : "attributes",
                                      table.title, table.words, srsId);
        !done)
        return done;
    if (features)
        if (const auto done = runWith(
                database, "INSERT OR IGNORE INTO gpkg_geometry_columns VALUES (?1, ?2, ?3, ?4, 0, 0)",
                table.name, column->name, std::string(shapeName(column->shape)), srsId);
            !done)
            return done;
    return describeColumns(database, table);
}

Result<void> createRecordTables(const Database& database, int projectSrsId)
{
    for (const Table* table : allTables())
        if (const auto done = createTable(database, *table, projectSrsId); !done)
            return done;
    if (const auto done = database.run(JournalTables); !done)
        return done;
    const Value none = std::monostate{};
    if (const auto done = addContents(database, "journal", "attributes", "Journal",
                                      "Who did what, when and why; append-only.", none);
        !done)
        return done;
    if (const auto done = addContents(database, "journal_changes", "attributes", "Journal changes",
                                      "What each act changed, as an SQLite changeset; append-only.", none);
        !done)
        return done;
    if (const auto done = addContents(database, "file_format", "attributes", "File format",
                                      "The version of this project file: one row.", none);
        !done)
        return done;
    return runWith(database, "INSERT OR REPLACE INTO file_format (id, version, program) VALUES (1, ?1, ?2)",
                   std::int64_t{FileVersion}, std::string("inkpeg"));
}

Result<std::set<std::string>> columnsInFile(const Database& database, const std::string& table)
{
    Result<Statement> statement = database.prepare("SELECT name FROM pragma_table_info(?1)");
    if (!statement)
        return statement.error();
    statement->bind(1, table);
    std::set<std::string> names;
    for (;;) {
        const Result<bool> row = statement->step();
        if (!row)
            return row.error();
        if (!*row)
            return names;
        names.insert(statement->text(0));
    }
}

} // namespace

int srsIdOf(const Column& column, int projectSrsId)
{
    return column.space == Space::Scan ? UndefinedCartesian : projectSrsId;
}

Result<void> createTables(const Database& database, const ProjectCrs& crs)
{
    const Result<std::string> wgs84 = wgs84Wkt();
    if (!wgs84)
        return wgs84.error();
    if (const auto done = database.run(StandardTables); !done)
        return done;
    const Result<void> steps[] = {
        addSrs(database, "Undefined cartesian SRS", -1, "NONE", -1, "undefined",
               "positions in a scan, in pixels"),
        addSrs(database, "Undefined geographic SRS", 0, "NONE", 0, "undefined", "undefined geographic"),
        addSrs(database, "WGS 84", 4326, "EPSG", 4326, *wgs84, "longitude and latitude"),
        addSrs(database, crs.name, crs.srsId, crs.authority, crs.code, crs.wkt, "the project's CRS"),
    };
    for (const Result<void>& step : steps)
        if (!step)
            return step;
    return createRecordTables(database, crs.srsId);
}

Result<void> migrateTables(const Database& database)
{
    const Result<std::string> srsId =
        database.ask("SELECT srs_id FROM gpkg_geometry_columns WHERE table_name = 'pegs'");
    if (!srsId)
        return srsId.error();
    for (const Table* table : allTables()) {
        const Result<std::set<std::string>> present = columnsInFile(database, table->name);
        if (!present)
            return present.error();
        for (const Column& column : table->columns)
            if (!present->empty() && !present->contains(column.name))
                if (const auto done = database.run("ALTER TABLE " + quoted(table->name) + " ADD COLUMN " +
                                                   quoted(column.name) + " " + sqlType(column));
                    !done)
                    return done;
    }
    return createRecordTables(database, static_cast<int>(parseWhole(*srsId).value_or(0)));
}

Result<int> fileVersion(const Database& database, const std::string& file)
{
    constexpr const char* Right = "; a project file is made with \"inkpeg new\"";
    const Result<std::string> tables =
        database.ask("SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name IN ('file_format', "
                     "'journal', 'drawings')");
    if (!tables)
        return Error{tables.error().code, file + ": " + tables.error().message};
    if (*tables != "3") {
        const Result<std::string> contents =
            database.ask("SELECT count(*) FROM sqlite_master WHERE name = 'gpkg_contents'");
        const bool geoPackage = contents && *contents == "1";
        return Error{ErrorCode::BadInput,
                     file + ": is " +
                         (geoPackage ? "a GeoPackage, but not an Inkpeg project"
                                     : "an SQLite database, but not an Inkpeg project") +
                         Right};
    }
    const Result<std::string> version = database.ask("SELECT version FROM file_format WHERE id = 1");
    if (!version)
        return Error{version.error().code, file + ": " + version.error().message};
    const auto number = parseWhole(*version);
    if (!number || *number < 0 || *number > 1'000'000)
        return Error{ErrorCode::BadInput, file + ": its row of file_format tells no version"};
    return static_cast<int>(*number);
}

} // namespace inkpeg
