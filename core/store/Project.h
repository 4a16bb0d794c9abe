// SPDX-License-Identifier: GPL-3.0-or-later
// The project file: one GeoPackage in which each act is one committed transaction with a journal entry and
// can be undone.
//
//   Result<Project> project = Project::open("skelder-rigg.gpkg", Access::Write);
//   project->setPerson("MH");
//   Result<Change> change = project->act("place pin A1", [&](Editor& edit) { return edit.put(pin); });
//   std::vector<Pin> pins = project->all<Pin>();
//   project->undo();
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/records/Records.h"

namespace inkpeg {

enum class Access { Read, Write };

/// One row touched by an act, for views to refresh: the table and the row.
struct TouchedRow {
    std::string table;
    std::int64_t id = 0;
};

/// What an act did.
struct Change {
    std::int64_t journalId = 0;
    std::string what;
    std::vector<TouchedRow> rows;
};

/// One line of the append-only journal.
struct JournalEntry {
    std::int64_t id = 0;
    std::string at;     ///< ISO 8601, UTC
    std::string person; ///< initials
    std::string what;
    std::string why;
    std::optional<std::int64_t> undoes; ///< the entry that this one takes back
};

/// Asks the person why something that is signed off is being changed; given its names, e.g.
/// "drawing P-014". An empty answer gives the act up.
using ReasonAsked = std::function<std::string(const std::vector<std::string>& sealed)>;

class ProjectFile;

/// Writes within one act. Record is any of the structs of Records.h that have an `id` (and ProjectFacts).
class Editor {
public:
    /// Inserts when record.id is 0 (and sets it), replaces the row otherwise. An id given within an act
    /// that failed belongs to no row. Errors: Conflict (a register number that another row has; names it);
    /// NotFound (no row with that id); BadInput (an outline whose rings and edge kinds do not fit together).
    template<typename Record>
    Result<void> put(Record& record);
    /// Errors: Conflict (another CRS: a project keeps the one it was made with).
    Result<void> putFacts(const ProjectFacts& facts);

    /// Takes a row away; a drawing takes its pins, outlines, edges, levels and points along.
    /// Errors: NotFound.
    template<typename Record>
    Result<void> remove(std::int64_t id);

private:
    friend class Project;
    explicit Editor(ProjectFile& file) : m_file(&file) {}
    ProjectFile* m_file;
};

/// Move-only. One thread at a time.
class Project {
public:
    /// Errors: Conflict (the file exists, or the log of one that is gone); NotFound (its folder); BadInput
    ///         (PROJ knows no such CRS, or it is not projected in metres); System.
    static Result<Project> create(const std::filesystem::path& file, const ProjectFacts& facts);

    /// Opens with a write-ahead log and full sync. With Access::Write, fails as ReadOnly while another
    /// process writes, or when the file is newer than this program; older files are copied, then migrated.
    /// Errors: NotFound; BadInput (not a project file: says what it is); ReadOnly.
    static Result<Project> open(const std::filesystem::path& file, Access access);

    Project(Project&&) noexcept;
    Project& operator=(Project&&) noexcept;
    ~Project();

    const std::filesystem::path& file() const;
    Access access() const;

    /// Initials written into the journal with each act.
    void setPerson(const std::string& initials);
    const std::string& person() const;

    ProjectFacts facts() const;

    /// All rows of a record type in order of id.
    template<typename Record>
    std::vector<Record> all() const;

    /// How many there are, without reading them.
    template<typename Record>
    std::size_t count() const;

    /// The row with this id, if there is one.
    template<typename Record>
    std::optional<Record> byId(std::int64_t id) const;

    /// The row whose register number (or name, or initials) is `key`, if there is one.
    template<typename Record>
    std::optional<Record> byKey(const std::string& key) const;

    /// Rows of a type that carries `drawing`, for one drawing: Pin, Outline, EdgeLine, SpotLevel, DrawnPoint.
    template<typename Record>
    std::vector<Record> ofDrawing(std::int64_t drawingId) const;

    /// Which context each outline shows, by rising id, without reading their shapes.
    std::vector<std::pair<std::int64_t, std::string>> outlineContexts() const;

    /// Runs `edit` in one transaction; commits and writes the journal if it succeeds, else leaves the file
    /// as it was. Acting clears what could be redone. An act that changes nothing leaves no journal entry:
    /// journalId is then 0. An act that changes what is signed off needs a reason, `why` or the answer to
    /// setReasonAsked; it then breaks the seals and takes what they were on back to `traced` (SealGuard.h).
    /// Errors: those of `edit`; ReadOnly; OutOfSpace; Conflict (within another act; no reason for changing
    /// what is signed off).
    Result<Change> act(const std::string& what, const std::function<Result<void>(Editor&)>& edit,
                       const std::string& why = {});

    /// Who is asked, in the middle of the act, for the reason of changing what is signed off.
    void setReasonAsked(ReasonAsked asked);

    /// The next undo's or redo's act in words, if there is one. Undo reaches back to the opening of the file.
    std::optional<std::string> canUndo() const;
    std::optional<std::string> canRedo() const;
    Result<Change> undo();
    Result<Change> redo();

    std::vector<JournalEntry> journal() const;

    /// The first failure of a reading function since the last call, which then gave less than the file
    /// holds: a damaged file, a disk that went away, a row that another program left unreadable. Names the
    /// file, the record and the field.
    std::optional<Error> takeReadingTrouble() const;

    /// Words about how the last session ended, e.g. that an act in flight was rolled back; empty if it ended well.
    const std::string& openingRemark() const;

private:
    friend class OneState;
    explicit Project(std::unique_ptr<ProjectFile> file);
    std::unique_ptr<ProjectFile> m_file;
};

/// The scan's path for a sheet of this project.
std::filesystem::path scanPath(const Project& project, const Sheet& sheet);

} // namespace inkpeg
