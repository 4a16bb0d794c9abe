// SPDX-License-Identifier: GPL-3.0-or-later
// Behind Project: the open database with its lock, its rows as plain values, and the acts that can be undone.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/store/Database.h"
#include "core/store/Project.h"
#include "core/store/WriterLock.h"

namespace inkpeg {

class ProjectFile {
public:
    static Result<std::unique_ptr<ProjectFile>> open(const std::filesystem::path& file, Access access);
    ~ProjectFile();

    /// Rows of a table in order of id, `where` being SQL after SELECT ... FROM with one bound value at most.
    /// A row whose geometry cannot be read is left out, and kept as trouble.
    Result<std::vector<std::vector<Value>>> rows(const Table& table, const std::string& where,
                                                 const Value& bound) const;
    /// Keeps the first failure for Project::takeReadingTrouble, with the file and `where` in it put before it.
    void keepTrouble(const std::string& where, const Error& error) const;
    Result<std::size_t> countRows(const Table& table) const;
    Result<std::int64_t> insert(const Table& table, const std::vector<Value>& row) const;
    Result<void> update(const Table& table, const std::vector<Value>& row) const;
    Result<void> remove(const Table& table, std::int64_t id) const;
    Result<void> removeOfDrawing(const Table& table, std::int64_t drawing) const;

    using Edit = std::function<Result<void>()>;
    /// Looks at what the edit changed, changes what follows from it, and gives the reason to write down.
    using Settle = std::function<Result<std::string>(const std::string& changeset)>;
    Result<Change> act(const std::string& what, std::optional<std::int64_t> undoes, const Edit& edit,
                       const Settle& settle = {});
    /// Takes back what a journal entry changed.
    Result<void> takeBackChanges(std::int64_t journalId) const;

    std::filesystem::path path;
    Access access = Access::Read;
    std::string person;
    ReasonAsked reasonAsked;
    std::string remark;
    int srsId = 0;
    mutable std::optional<Error> trouble;

    /// An act that can be undone (or, in `undone`, done again): the journal entry whose changes count, and
    /// its words.
    struct Done {
        std::int64_t journalId = 0;
        std::string what;
    };
    std::vector<Done> done;
    std::vector<Done> undone;

    const Database& database() const { return *m_database; }

private:
    ProjectFile() = default;
    Result<void> bringUpToDate(int version);
    void remarkOnLastSession();
    Result<Change> finish(const std::string& what, const std::string& why,
                          std::optional<std::int64_t> undoes, const std::string& changeset) const;

    std::optional<WriterLock> m_lock; // outlives the database
    std::optional<Database> m_database;
    bool m_acting = false;
};

/// A row as messages name it: "contexts 1032", and the row's id where the table has no numbers or names.
std::string rowWords(const Table& table, const std::vector<Value>& row);

} // namespace inkpeg
