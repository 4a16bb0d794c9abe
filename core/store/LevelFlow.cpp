// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/LevelFlow.h"

#include <algorithm>

#include "core/store/LevelBookRows.h"

namespace inkpeg {

namespace {

template<typename Record, typename Set>
Result<void> change(const Project& project, Editor& edit, std::int64_t id, const Set& set)
{
    std::optional<Record> record = project.byId<Record>(id);
    if (!record)
        return Error{ErrorCode::NotFound, "a record that a level belongs to is gone; try again"};
    set(*record);
    return edit.put(*record);
}

Result<void> give(const Project& project, Editor& edit, const LevelUse& use)
{
    const double levelM = use.reducedM;
    switch (use.target) {
    case LevelTarget::Peg:
        return change<Peg>(project, edit, use.id, [&](Peg& peg) { peg.levelM = levelM; });
    case LevelTarget::Datum:
        return change<Drawing>(project, edit, use.id, [&](Drawing& drawing) { drawing.datumM = levelM; });
    case LevelTarget::SpotLevel:
        return change<SpotLevel>(project, edit, use.id, [&](SpotLevel& spot) { spot.levelM = levelM; });
    case LevelTarget::Find:
        return change<Find>(project, edit, use.id, [&](Find& find) { find.levelM = levelM; });
    case LevelTarget::Sample:
        return change<Sample>(project, edit, use.id, [&](Sample& sample) { sample.levelM = levelM; });
    case LevelTarget::TimberTop:
        return change<Timber>(project, edit, use.id, [&](Timber& timber) { timber.topM = levelM; });
    }
    return {};
}

/// True if the level belongs to a drawing that is signed off.
bool isSealed(const Project& project, const LevelUse& use)
{
    std::optional<Drawing> drawing;
    if (use.target == LevelTarget::Datum)
        drawing = project.byId<Drawing>(use.id);
    else if (use.target == LevelTarget::SpotLevel)
        if (const auto spot = project.byId<SpotLevel>(use.id))
            drawing = project.byId<Drawing>(spot->drawing);
    return drawing && drawing->stage == Stage::SignedOff;
}

/// What is to be given a level. A record that two points belong to (the nails of a datum line) takes the
/// first; the others are held against it.
LevelFlow planFlow(const Project& project, const LevelFlowSettings& settings)
{
    LevelFlow flow;
    for (LevelUse& use : levelUses(project)) {
        if (!settings.book.empty() && use.book != settings.book)
            continue;
        const auto given =
            std::find_if(flow.carried.begin(), flow.carried.end(), [&](const LevelUse& other) {
                return other.target == use.target && other.id == use.id;
            });
        if (given != flow.carried.end()) {
            use.heldM = given->reducedM;
            if (use.disagrees())
                flow.conflicts.push_back(std::move(use));
            else
                ++flow.agreeing;
        } else if (!use.missing() && !use.disagrees()) {
            ++flow.agreeing;
        } else if (!isSealed(project, use) && (use.missing() || settings.overwrite)) {
            flow.carried.push_back(std::move(use));
        } else {
            flow.conflicts.push_back(std::move(use));
        }
    }
    return flow;
}

} // namespace

std::vector<std::pair<LevelBook, Result<ReducedBook>>> reducedBooks(const Project& project)
{
    const std::vector<LevelReading> readings = project.all<LevelReading>();
    std::vector<std::pair<LevelBook, Result<ReducedBook>>> books;
    for (LevelBook& book : project.all<LevelBook>()) {
        Result<ReducedBook> reduced = reduceBook(book, readings);
        books.emplace_back(std::move(book), std::move(reduced));
    }
    return books;
}

std::vector<LevelUse> levelUses(const Project& project)
{
    ProjectRecords records;
    records.drawings = project.all<Drawing>();
    records.pegs = project.all<Peg>();
    records.pins = project.all<Pin>();
    records.finds = project.all<Find>();
    records.samples = project.all<Sample>();
    records.timbers = project.all<Timber>();
    records.spotLevels = project.all<SpotLevel>();
    records.levelBooks = project.all<LevelBook>();
    records.levelReadings = project.all<LevelReading>();
    return levelUses(records);
}

Result<LevelFlow> carryLevels(Project& project, const LevelFlowSettings& settings)
{
    if (!settings.book.empty() && !project.byKey<LevelBook>(settings.book))
        return Error{ErrorCode::NotFound,
                     "level book \"" + settings.book +
                         "\" is not in the project; take it in with its register levels"};
    for (const auto& [book, reduced] : reducedBooks(project))
        if (!reduced && (settings.book.empty() || settings.book == book.name))
            return reduced.error();
    LevelFlow flow = planFlow(project, settings);
    if (settings.dryRun || flow.carried.empty())
        return flow;
    const Result<Change> done = project.act(
        "carry " + std::to_string(flow.carried.size()) + " levels from the level book",
        [&](Editor& edit) -> Result<void> {
            for (const LevelUse& use : flow.carried)
                if (const Result<void> given = give(project, edit, use); !given)
                    return given;
            return {};
        },
        settings.why);
    if (!done)
        return done.error();
    flow.journalId = done->journalId;
    return flow;
}

Result<Change> putLevelBook(Project& project, LevelBook book, std::vector<LevelReading> readings,
                            const std::string& why)
{
    for (std::size_t i = 0; i < readings.size(); ++i) {
        readings[i].id = 0;
        readings[i].book = book.name;
        readings[i].line = static_cast<int>(i) + 1;
    }
    if (const Result<ReducedBook> reduced = reduceBook(book, readings); !reduced)
        return reduced.error();
    return project.act(
        "level book " + book.name + ": " + std::to_string(readings.size()) + " lines",
        [&](Editor& edit) -> Result<void> {
            if (const std::optional<LevelBook> held = project.byKey<LevelBook>(book.name))
                book.id = held->id;
            return replaceReadings(edit, book, readingsOf(project, book.name), readings);
        },
        why);
}

} // namespace inkpeg
