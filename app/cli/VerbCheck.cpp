// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/CheckActs.h"
#include "app/cli/Verb.h"
#include "core/checks/Checks.h"
#include "core/checks/Tally.h"
#include "core/store/LoadRecords.h"

namespace inkpeg {

namespace {

using nlohmann::ordered_json;

ordered_json jsonOf(const Matter& matter)
{
    ordered_json text{{"check", matter.check},
                      {"severity", severityName(matter.severity)},
                      {"subjectKind", matter.subjectKind},
                      {"subject", matter.subject},
                      {"trench", matter.trench},
                      {"drawing", matter.drawing},
                      {"person", matter.person},
                      {"words", matter.words},
                      {"whatToDo", matter.whatToDo}};
    if (matter.ground)
        text["ground"] = {matter.ground->east, matter.ground->north};
    if (matter.scan)
        text["scan"] = {matter.scan->column, matter.scan->row};
    return text;
}

void writeJson(const Call& call, const Tally& tally)
{
    ordered_json open = ordered_json::array(), waived = ordered_json::array(), idle = ordered_json::array();
    for (const Matter& matter : tally.open)
        open.push_back(jsonOf(matter));
    for (const WaivedMatter& one : tally.waived) {
        ordered_json text = jsonOf(one.matter);
        text["reason"] = one.waiver.reason;
        text["waivedBy"] = one.waiver.person;
        waived.push_back(text);
    }
    for (const Waiver& waiver : tally.idle)
        idle.push_back({{"check", waiver.check}, {"subject", waiver.subject}});
    const ordered_json text{
        {"count", {{"must", tally.count.must}, {"should", tally.count.should}, {"note", tally.count.note}}},
        {"open", open},
        {"waived", waived},
        {"idleWaivers", idle}};
    *call.out << text.dump(2, ' ', false, ordered_json::error_handler_t::replace) << "\n";
}

void writeWords(const Call& call, const Tally& tally, GroupBy by)
{
    for (const Group& group : groupMatters(tally.open, by)) {
        *call.out << groupByName(by) << " " << (group.name.empty() ? "(none)" : group.name) << "\n";
        for (const std::size_t i : group.matters) {
            const Matter& matter = tally.open[i];
            *call.out << "  " << severityName(matter.severity) << "  " << matter.check << ": "
                      << waiverSubject(matter) << "\n"
                      << "        " << matter.words << "\n"
                      << "        " << matter.whatToDo << "\n";
        }
    }
    *call.out << tally.count.must << " must, " << tally.count.should << " should, " << tally.count.note
              << " note; " << tally.waived.size() << " set aside\n";
}

Result<Severity> leastSeverity(const std::string& name)
{
    for (const Severity severity : {Severity::Must, Severity::Should, Severity::Note})
        if (severityName(severity) == name)
            return severity;
    return Error{ErrorCode::BadInput, "--least " + name + ": use must, should or note"};
}

/// Leaves out what was not asked for, after waivers have found their matters.
void leaveOut(Tally& tally, Severity least, const Call& call)
{
    const auto isUnasked = [&](const Matter& matter) {
        return matter.severity > least || (call.has("trench") && matter.trench != call.value("trench"));
    };
    std::erase_if(tally.open, isUnasked);
    std::erase_if(tally.waived, [&](const WaivedMatter& one) { return isUnasked(one.matter); });
    tally.count = countOf(tally.open);
}

Result<VerbEnd> run(const Call& call)
{
    const Result<GroupBy> by = groupByNamed(call.value("by", "trench"));
    if (!by)
        return Error{ErrorCode::BadInput, "--by: " + by.error().message};
    const Result<Severity> least = leastSeverity(call.value("least", "note"));
    if (!least)
        return least.error();
    if (const auto done = doCheckActs(call); !done)
        return done.error();
    const Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    const Result<ProjectRecords> records = loadRecords(*project, call.progress());
    if (!records)
        return records.error();
    Result<std::vector<Matter>> matters = runChecks(*records, call.progress());
    if (!matters)
        return matters.error();
    Tally tally = tallyOf(std::move(matters).value(), records->waivers);
    leaveOut(tally, *least, call);
    if (call.json)
        writeJson(call, tally);
    else
        writeWords(call, tally, *by);
    return tally.count.must > 0 ? VerbEnd::Faults : VerbEnd::Done;
}

} // namespace

Verb checkVerb()
{
    Verb verb{
        "check",
        "PROJECT",
        1,
        1,
        "lists what is outstanding, and signs what is done; exit code 1 while anything must be put right",
        {{"by", "WORD", "group by trench (the default), drawing, person, severity or check"},
         {"trench", "NAME", "only this trench"},
         {"least", "SEVERITY", "leave out what weighs less than must, should or note (the default)"}},
        run};
    for (OptionWords& option : checkActOptions())
        verb.options.push_back(std::move(option));
    return verb;
}

} // namespace inkpeg
