// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/SealGuard.h"

#include <algorithm>
#include <memory>
#include <set>

#include "core/base/Text.h"
#include "core/checks/Seal.h"
#include "core/records/Schema.h"
#include "core/store/ProjectFile.h"

namespace inkpeg {

namespace {

/// What an act can have changed, as far as seals go.
struct Touched {
    std::set<std::int64_t> drawings; ///< rows
    std::set<std::string> drawingNumbers, contexts, sheets, pegs;
};

/// One change of a changeset: the values that a column had, got or still has.
class RowChange {
public:
    RowChange(const ProjectFile& file, sqlite3_changeset_iter* iterator)
        : m_file(file), m_iterator(iterator)
    {
        const char* table = nullptr;
        int columns = 0;
        sqlite3changeset_op(iterator, &table, &columns, &m_operation, nullptr);
        m_table = table;
        for (const Table* each : allTables())
            if (each->name == m_table)
                m_description = each;
    }
    const std::string& table() const { return m_table; }

    std::set<std::string> valuesOf(const std::string& column) const
    {
        std::set<std::string> values;
        for (std::size_t i = 0; m_description && i < m_description->columns.size(); ++i)
            if (m_description->columns[i].name == column)
                gather(static_cast<int>(i), values);
        // An update tells only of the columns that it changed.
        if (values.empty() && m_operation == SQLITE_UPDATE) {
            Result<Statement> current = m_file.database().prepare("SELECT " + quoted(column) + " FROM " +
                                                                  quoted(m_table) + " WHERE id = ?1");
            if (!current)
                return values;
            current->bind(1, id());
            if (const Result<bool> row = current->step(); row && *row)
                values.insert(current->text(0));
        }
        return values;
    }
    std::set<std::int64_t> rowsIn(const std::string& column) const
    {
        std::set<std::int64_t> rows;
        for (const std::string& value : valuesOf(column))
            if (const auto row = parseWhole(value))
                rows.insert(*row);
        return rows;
    }
    std::int64_t id() const
    {
        sqlite3_value* value = nullptr;
        if (m_operation == SQLITE_INSERT)
            sqlite3changeset_new(m_iterator, 0, &value);
        else
            sqlite3changeset_old(m_iterator, 0, &value);
        return value ? sqlite3_value_int64(value) : 0;
    }

private:
    void gather(int column, std::set<std::string>& values) const
    {
        const auto take = [&](sqlite3_value* value) {
            if (!value || sqlite3_value_type(value) == SQLITE_NULL)
                return;
            const unsigned char* text = sqlite3_value_text(value);
            values.insert(std::string(reinterpret_cast<const char*>(text),
                                      static_cast<std::size_t>(sqlite3_value_bytes(value))));
        };
        sqlite3_value* value = nullptr;
        if (m_operation != SQLITE_INSERT && sqlite3changeset_old(m_iterator, column, &value) == SQLITE_OK)
            take(value);
        value = nullptr;
        if (m_operation != SQLITE_DELETE && sqlite3changeset_new(m_iterator, column, &value) == SQLITE_OK)
            take(value);
    }

    const ProjectFile& m_file;
    sqlite3_changeset_iter* m_iterator;
    int m_operation = 0;
    std::string m_table;
    const Table* m_description = nullptr;
};

Touched touchedBy(const ProjectFile& file, const std::string& changeset)
{
    Touched touched;
    sqlite3_changeset_iter* iterator = nullptr;
    sqlite3changeset_start(&iterator, static_cast<int>(changeset.size()),
                           const_cast<char*>(changeset.data()));
    const std::set<std::string> ofDrawings{tableOf<Pin>().name, tableOf<Outline>().name,
                                           tableOf<EdgeLine>().name, tableOf<SpotLevel>().name,
                                           tableOf<DrawnPoint>().name};
    while (sqlite3changeset_next(iterator) == SQLITE_ROW) {
        const RowChange change(file, iterator);
        if (ofDrawings.contains(change.table()))
            touched.drawings.merge(change.rowsIn("drawing"));
        if (change.table() == tableOf<Outline>().name || change.table() == tableOf<Relation>().name)
            touched.contexts.merge(change.valuesOf("context"));
        else if (change.table() == tableOf<Drawing>().name)
            touched.drawingNumbers.merge(change.valuesOf("number"));
        else if (change.table() == tableOf<Context>().name)
            touched.contexts.merge(change.valuesOf("number"));
        else if (change.table() == tableOf<Sheet>().name)
            touched.sheets.merge(change.valuesOf("number"));
        else if (change.table() == tableOf<Peg>().name)
            touched.pegs.merge(change.valuesOf("name"));
    }
    sqlite3changeset_finalize(iterator);
    return touched;
}

bool anySeal(const ProjectFile& file)
{
    const auto any =
        file.database().ask("SELECT 1 FROM sign_offs WHERE broken = 0 AND stage = 'signed off' "
                            "LIMIT 1");
    return any && *any == "1";
}

/// The drawings that the act can have changed: by what lies on them, their sheets and their pegs.
void addTouchedDrawings(const Project& project, Touched& touched)
{
    const std::vector<Drawing> drawings = project.all<Drawing>();
    if (!touched.pegs.empty())
        for (const Pin& pin : project.all<Pin>())
            if (touched.pegs.contains(pin.peg))
                touched.drawings.insert(pin.drawing);
    for (const Drawing& drawing : drawings)
        if (touched.drawings.contains(drawing.id) || touched.sheets.contains(drawing.sheet))
            touched.drawingNumbers.insert(drawing.number);
}

/// Seals in force on what was touched.
std::vector<SignOff> sealsOn(const Project& project, const Touched& touched)
{
    ProjectRecords signOffs;
    signOffs.signOffs = project.all<SignOff>();
    std::vector<SignOff> seals;
    for (const std::size_t i : lastSignOffs(signOffs)) {
        const SignOff& signOff = signOffs.signOffs[i];
        const std::set<std::string>& numbers =
            signOff.subjectKind == "drawing" ? touched.drawingNumbers : touched.contexts;
        if (signOff.stage == Stage::SignedOff && !signOff.broken && numbers.contains(signOff.subject))
            seals.push_back(signOff);
    }
    return seals;
}

template<typename Record>
void append(std::vector<Record>& to, std::vector<Record> from)
{
    to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
}

void readDrawing(const Project& project, const Drawing& drawing, ProjectRecords& records)
{
    append(records.pins, project.ofDrawing<Pin>(drawing.id));
    append(records.outlines, project.ofDrawing<Outline>(drawing.id));
    append(records.edgeLines, project.ofDrawing<EdgeLine>(drawing.id));
    append(records.spotLevels, project.ofDrawing<SpotLevel>(drawing.id));
    append(records.drawnPoints, project.ofDrawing<DrawnPoint>(drawing.id));
}

/// What the seals cover, and no more of the project than that while they are few drawings' seals.
ProjectRecords coveredBy(const Project& project, const std::vector<SignOff>& seals)
{
    constexpr std::size_t Few = 24;
    ProjectRecords records;
    records.signOffs = seals;
    records.drawings = project.all<Drawing>();
    records.sheets = project.all<Sheet>();
    records.pegs = project.all<Peg>();
    std::set<std::string> drawings;
    bool contexts = false;
    for (const SignOff& seal : seals)
        if (seal.subjectKind == "drawing")
            drawings.insert(seal.subject);
        else
            contexts = true;
    if (contexts) {
        records.contexts = project.all<Context>();
        records.relations = project.all<Relation>();
    }
    if (contexts || drawings.size() > Few) {
        records.outlines = project.all<Outline>();
        records.pins = project.all<Pin>();
        records.edgeLines = project.all<EdgeLine>();
        records.spotLevels = project.all<SpotLevel>();
        records.drawnPoints = project.all<DrawnPoint>();
        return records;
    }
    for (const Drawing& drawing : records.drawings)
        if (drawings.contains(drawing.number))
            readDrawing(project, drawing, records);
    return records;
}

template<typename Record>
Result<void> backToTraced(const Project& project, Editor& edit, const std::string& number)
{
    std::optional<Record> record = project.byKey<Record>(number);
    if (!record)
        return {}; // signed, then deleted: nothing to take back
    record->stage = Stage::Traced;
    return edit.put(*record);
}

Result<void> breakSeal(const Project& project, Editor& edit, SignOff signOff)
{
    signOff.broken = true;
    if (const auto put = edit.put(signOff); !put)
        return put;
    return signOff.subjectKind == "drawing" ? backToTraced<Drawing>(project, edit, signOff.subject)
                                            : backToTraced<Context>(project, edit, signOff.subject);
}

} // namespace

Result<std::string> settleSeals(const Project& project, const ProjectFile& file, Editor& edit,
                                const std::string& changeset, const std::string& why)
{
    if (!anySeal(file))
        return why;
    Touched touched = touchedBy(file, changeset);
    addTouchedDrawings(project, touched);
    const std::vector<SignOff> seals = sealsOn(project, touched);
    if (seals.empty())
        return why;
    const ProjectRecords records = coveredBy(project, seals);
    const std::vector<std::size_t> broken = newlyBrokenSeals(records);
    if (broken.empty())
        return why;
    std::string reason = why;
    const SignOff& first = records.signOffs[broken.front()];
    if (trimmed(reason).empty() && file.reasonAsked) {
        std::vector<std::string> names;
        for (const std::size_t i : broken)
            names.push_back(records.signOffs[i].subjectKind + " " + records.signOffs[i].subject);
        reason = file.reasonAsked(names);
    }
    if (trimmed(reason).empty())
        return Error{ErrorCode::Conflict, first.subjectKind + " " + first.subject + " is signed off by " +
                                              first.person + "; changing it needs a reason"};
    for (const std::size_t i : broken)
        if (const auto done = breakSeal(project, edit, records.signOffs[i]); !done)
            return done.error();
    return reason;
}

} // namespace inkpeg
