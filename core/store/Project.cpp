// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/Project.h"

#include "core/records/Schema.h"
#include "core/store/ProjectFile.h"
#include "core/store/ProjectTables.h"
#include "core/store/SealGuard.h"

namespace inkpeg {

namespace {

Result<void> buildFile(const std::filesystem::path& file, const ProjectCrs& crs, const ProjectFacts& facts)
{
    Result<Database> database = Database::open(file, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
    if (!database)
        return database.error();
    // OGC 12-128r17, requirement 2: application id "GPKG", user version 1.3.0.
    if (const auto set =
            database->run("PRAGMA application_id = 1196444487; PRAGMA user_version = 10300; BEGIN");
        !set)
        return set;
    if (const auto made = createTables(*database, crs); !made)
        return made;
    const std::vector<Value> row = rowOf(facts);
    const Table& table = tableOf<ProjectFacts>();
    std::string sql = "INSERT INTO facts VALUES (?1";
    for (std::size_t i = 1; i < table.columns.size(); ++i)
        sql += ", ?" + std::to_string(i + 1);
    {
        Result<Statement> statement = database->prepare(sql + ")");
        if (!statement)
            return statement.error();
        for (std::size_t i = 0; i < row.size(); ++i)
            statement->bind(static_cast<int>(i) + 1, row[i]);
        if (const auto run = statement->run(); !run)
            return run;
    }
    return database->run("COMMIT");
}

template<typename Record>
Result<void> fitsTogether(const Record&)
{
    return {};
}

Result<void> fitsTogether(const Outline& outline)
{
    const auto fits = [](const Ring& ring) {
        return ring.vertices.size() >= 3 && ring.vertices.size() == ring.kinds.size();
    };
    for (const Part& part : outline.parts) {
        bool good = fits(part.outer);
        for (const Ring& hole : part.holes)
            good = good && fits(hole);
        if (!good)
            return Error{ErrorCode::BadInput,
                         "outline of context " + outline.context +
                             ": a ring needs three vertices or more, and a kind for each edge"};
    }
    return {};
}

template<typename... Records>
Result<void> removeAllOfDrawing(const ProjectFile& file, std::int64_t drawing)
{
    for (const Table* table : {&tableOf<Records>()...})
        if (const auto removed = file.removeOfDrawing(*table, drawing); !removed)
            return removed;
    return {};
}

/// Records of rows; what fails is kept for takeReadingTrouble.
template<typename Record>
std::vector<Record> recordsOf(const ProjectFile& file, const std::string& where, const Value& bound)
{
    std::vector<Record> records;
    const Result<std::vector<std::vector<Value>>> rows = file.rows(tableOf<Record>(), where, bound);
    if (!rows) {
        file.keepTrouble(tableOf<Record>().name, rows.error());
        return records;
    }
    records.reserve(rows->size());
    for (const std::vector<Value>& row : *rows) {
        Result<Record> record = recordOf<Record>(row);
        if (record)
            records.push_back(std::move(*record));
        else
            file.keepTrouble(rowWords(tableOf<Record>(), row), record.error());
    }
    return records;
}

template<typename Record>
std::optional<Record> firstOf(std::vector<Record> records)
{
    return records.empty() ? std::nullopt : std::optional<Record>(std::move(records.front()));
}

} // namespace

template<typename Record>
Result<void> Editor::put(Record& record)
{
    if (const auto fits = fitsTogether(record); !fits)
        return fits;
    if (record.id != 0)
        return m_file->update(tableOf<Record>(), rowOf(record));
    const Result<std::int64_t> id = m_file->insert(tableOf<Record>(), rowOf(record));
    if (!id)
        return id.error();
    record.id = *id;
    return {};
}

Result<void> Editor::putFacts(const ProjectFacts& facts)
{
    const auto rows = m_file->rows(tableOf<ProjectFacts>(), "WHERE id = 1", {});
    if (!rows)
        return rows.error();
    if (!rows->empty()) {
        const Result<ProjectFacts> held = recordOf<ProjectFacts>(rows->front());
        if (held && held->crs != facts.crs)
            return Error{ErrorCode::Conflict, "the project's CRS is " + held->crs + " and stays so; for " +
                                                  facts.crs + " make a new project"};
    }
    return m_file->update(tableOf<ProjectFacts>(), rowOf(facts));
}

template<typename Record>
Result<void> Editor::remove(std::int64_t id)
{
    if constexpr (std::same_as<Record, Drawing>)
        if (const auto gone =
                removeAllOfDrawing<Pin, Outline, EdgeLine, SpotLevel, DrawnPoint>(*m_file, id);
            !gone)
            return gone;
    return m_file->remove(tableOf<Record>(), id);
}

Result<Project> Project::create(const std::filesystem::path& file, const ProjectFacts& facts)
{
    std::error_code code;
    if (std::filesystem::exists(file, code))
        return Error{ErrorCode::Conflict, file.string() + ": exists already; give another name"};
    const std::filesystem::path folder = std::filesystem::absolute(file).parent_path();
    if (!std::filesystem::is_directory(folder, code))
        return Error{ErrorCode::NotFound, file.string() + ": there is no folder " + folder.string()};
    // SQLite would fold an old log into the new file.
    for (const char* ending : {"-wal", "-journal"})
        if (const std::string log = file.string() + ending; std::filesystem::exists(log, code))
            return Error{ErrorCode::Conflict,
                         log + ": is left of a project of this name that is gone; put it "
                               "back beside that project, or remove it"};
    const Result<ProjectCrs> crs = projectCrs(facts.crs);
    if (!crs)
        return crs.error();
    // Built aside and renamed, so that no half-made project is ever seen under its name.
    std::filesystem::path aside = file;
    aside += "-new";
    std::filesystem::remove(aside, code);
    std::filesystem::remove(aside.string() + "-journal", code);
    if (const auto built = buildFile(aside, *crs, facts); !built) {
        std::filesystem::remove(aside, code);
        return Error{built.error().code, file.string() + ": " + built.error().message};
    }
    std::filesystem::rename(aside, file, code);
    if (code)
        return Error{ErrorCode::System, file.string() + ": " + code.message()};
    return open(file, Access::Write);
}

Result<Project> Project::open(const std::filesystem::path& file, Access access)
{
    Result<std::unique_ptr<ProjectFile>> opened = ProjectFile::open(file, access);
    if (!opened)
        return opened.error();
    return Project(std::move(*opened));
}

Project::Project(std::unique_ptr<ProjectFile> file) : m_file(std::move(file)) {}
Project::Project(Project&&) noexcept = default;
Project& Project::operator=(Project&&) noexcept = default;
Project::~Project() = default;

const std::filesystem::path& Project::file() const
{
    return m_file->path;
}
Access Project::access() const
{
    return m_file->access;
}
void Project::setPerson(const std::string& initials)
{
    m_file->person = initials;
}
const std::string& Project::person() const
{
    return m_file->person;
}
void Project::setReasonAsked(ReasonAsked asked)
{
    m_file->reasonAsked = std::move(asked);
}
const std::string& Project::openingRemark() const
{
    return m_file->remark;
}
std::optional<Error> Project::takeReadingTrouble() const
{
    return std::exchange(m_file->trouble, std::nullopt);
}

ProjectFacts Project::facts() const
{
    return firstOf(recordsOf<ProjectFacts>(*m_file, "WHERE id = 1", {})).value_or(ProjectFacts{});
}

template<typename Record>
std::vector<Record> Project::all() const
{
    return recordsOf<Record>(*m_file, "ORDER BY id", {});
}

template<typename Record>
std::size_t Project::count() const
{
    const Result<std::size_t> rows = m_file->countRows(tableOf<Record>());
    if (rows)
        return *rows;
    m_file->keepTrouble(tableOf<Record>().name, rows.error());
    return 0;
}

template<typename Record>
std::optional<Record> Project::byId(std::int64_t id) const
{
    return firstOf(recordsOf<Record>(*m_file, "WHERE id = ?1", id));
}

template<typename Record>
std::optional<Record> Project::byKey(const std::string& key) const
{
    const Table& table = tableOf<Record>();
    const Column& column = table.columns[static_cast<std::size_t>(table.keyColumn())];
    return firstOf(recordsOf<Record>(*m_file, "WHERE " + quoted(column.name) + " = ?1", key));
}

template<typename Record>
std::vector<Record> Project::ofDrawing(std::int64_t drawingId) const
{
    return recordsOf<Record>(*m_file, "WHERE drawing = ?1 ORDER BY id", drawingId);
}

std::vector<std::pair<std::int64_t, std::string>> Project::outlineContexts() const
{
    std::vector<std::pair<std::int64_t, std::string>> found;
    const auto keep = [&](const Error& error) { m_file->keepTrouble(tableOf<Outline>().name, error); };
    Result<Statement> statement = m_file->database().prepare(
        "SELECT id, context FROM " + quoted(tableOf<Outline>().name) + " ORDER BY id");
    if (!statement) {
        keep(statement.error());
        return found;
    }
    for (;;) {
        const Result<bool> more = statement->step();
        if (!more)
            keep(more.error());
        if (!more || !*more)
            return found;
        found.emplace_back(std::get<std::int64_t>(statement->value(0)), statement->text(1));
    }
}

Result<Change> Project::act(const std::string& what, const std::function<Result<void>(Editor&)>& edit,
                            const std::string& why)
{
    Editor editor(*m_file);
    const auto settle = [&](const std::string& changeset) {
        return settleSeals(*this, *m_file, editor, changeset, why);
    };
    Result<Change> change = m_file->act(
        what, std::nullopt, [&] { return edit(editor); }, settle);
    if (change && change->journalId != 0) {
        m_file->done.push_back({change->journalId, what});
        m_file->undone.clear();
    }
    return change;
}

std::optional<std::string> Project::canUndo() const
{
    return m_file->done.empty() ? std::nullopt : std::optional(m_file->done.back().what);
}

std::optional<std::string> Project::canRedo() const
{
    return m_file->undone.empty() ? std::nullopt : std::optional(m_file->undone.back().what);
}

Result<Change> Project::undo()
{
    if (m_file->done.empty())
        return Error{ErrorCode::NotFound, "there is nothing to undo since the project was opened"};
    const ProjectFile::Done last = m_file->done.back();
    Result<Change> change = m_file->act("undo: " + last.what, last.journalId,
                                        [&] { return m_file->takeBackChanges(last.journalId); });
    if (change) {
        m_file->done.pop_back();
        m_file->undone.push_back({change->journalId, last.what});
    }
    return change;
}

Result<Change> Project::redo()
{
    if (m_file->undone.empty())
        return Error{ErrorCode::NotFound, "there is nothing to redo"};
    const ProjectFile::Done last = m_file->undone.back();
    Result<Change> change = m_file->act("redo: " + last.what, last.journalId,
                                        [&] { return m_file->takeBackChanges(last.journalId); });
    if (change) {
        m_file->undone.pop_back();
        m_file->done.push_back({change->journalId, last.what});
    }
    return change;
}

std::vector<JournalEntry> Project::journal() const
{
    std::vector<JournalEntry> entries;
    const auto keep = [&](const Error& error) {
        m_file->keepTrouble("journal", error);
        return entries;
    };
    Result<Statement> statement =
        m_file->database().prepare("SELECT id, at, person, what, why, undoes FROM journal ORDER BY id");
    if (!statement)
        return keep(statement.error());
    for (;;) {
        const Result<bool> row = statement->step();
        if (!row)
            return keep(row.error());
        if (!*row)
            return entries;
        entries.push_back({statement->whole(0), statement->text(1), statement->text(2), statement->text(3),
                           statement->text(4),
                           statement->isNull(5) ? std::nullopt : std::optional(statement->whole(5))});
    }
}

std::filesystem::path scanPath(const Project& project, const Sheet& sheet)
{
    return project.file().parent_path() / std::filesystem::path(sheet.scanFile);
}

#define INKPEG_INSTANTIATE(Record)                                                                         \
    template Result<void> Editor::put<Record>(Record&);                                                    \
    template Result<void> Editor::remove<Record>(std::int64_t);                                            \
    template std::vector<Record> Project::all<Record>() const;                                             \
    template std::size_t Project::count<Record>() const;                                                   \
    template std::optional<Record> Project::byId<Record>(std::int64_t) const;
#define INKPEG_INSTANTIATE_KEYED(Record)                                                                   \
    INKPEG_INSTANTIATE(Record)                                                                             \
    template std::optional<Record> Project::byKey<Record>(const std::string&) const;
#define INKPEG_INSTANTIATE_DRAWN(Record)                                                                   \
    INKPEG_INSTANTIATE(Record)                                                                             \
    template std::vector<Record> Project::ofDrawing<Record>(std::int64_t) const;
INKPEG_INSTANTIATE_KEYED(Person)
INKPEG_INSTANTIATE_KEYED(Trench)
INKPEG_INSTANTIATE_KEYED(Sheet)
INKPEG_INSTANTIATE_KEYED(Drawing)
INKPEG_INSTANTIATE_KEYED(Peg)
INKPEG_INSTANTIATE_KEYED(Context)
INKPEG_INSTANTIATE_KEYED(Find)
INKPEG_INSTANTIATE_KEYED(Sample)
INKPEG_INSTANTIATE_KEYED(Timber)
INKPEG_INSTANTIATE_KEYED(Photograph)
INKPEG_INSTANTIATE_DRAWN(Pin)
INKPEG_INSTANTIATE_DRAWN(Outline)
INKPEG_INSTANTIATE_DRAWN(EdgeLine)
INKPEG_INSTANTIATE_DRAWN(SpotLevel)
INKPEG_INSTANTIATE_DRAWN(DrawnPoint)
INKPEG_INSTANTIATE(Relation)
INKPEG_INSTANTIATE(SignOff)
INKPEG_INSTANTIATE(Waiver)
INKPEG_INSTANTIATE(ColumnMatch)
INKPEG_INSTANTIATE_KEYED(LevelBook)
INKPEG_INSTANTIATE(LevelReading)

} // namespace inkpeg
