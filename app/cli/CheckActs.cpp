// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/CheckActs.h"

#include <algorithm>

#include "core/base/Clock.h"
#include "core/base/Text.h"
#include "core/checks/Checks.h"
#include "core/checks/Tally.h"
#include "core/store/LoadRecords.h"
#include "core/store/SignOffs.h"

namespace inkpeg {

namespace {

/// "drawing P-01" or "context 1004".
Result<Subject> subjectOf(const std::string& option, const std::string& text)
{
    const std::size_t blank = text.find(' ');
    const std::string kind = text.substr(0, blank);
    const std::string number =
        blank == std::string::npos ? std::string() : std::string(trimmed(text.substr(blank)));
    if ((kind != "drawing" && kind != "context") || number.empty())
        return Error{ErrorCode::BadInput,
                     "--" + option + " \"" + text + "\": write \"drawing P-01\" or \"context 1004\""};
    return Subject{kind, number};
}

/// The project's open matters as they are now.
Result<Tally> tallyNow(const Project& project, ProjectRecords& records)
{
    Result<ProjectRecords> loaded = loadRecords(project);
    if (!loaded)
        return loaded.error();
    records = std::move(*loaded);
    return tallyOf(runChecks(records), records.waivers);
}

Result<void> sign(const Call& call, Project& project, const std::string& option, Stage stage)
{
    std::vector<Subject> subjects;
    for (const std::string& text : call.values(option)) {
        const Result<Subject> subject = subjectOf(option, text);
        if (!subject)
            return subject.error();
        subjects.push_back(*subject);
    }
    if (subjects.empty())
        return {};
    ProjectRecords records;
    const Result<Tally> tally = tallyNow(project, records);
    if (!tally)
        return tally.error();
    const Result<Change> change =
        signOff(project, records, tally->open, subjects, stage, call.value("why"));
    if (!change)
        return change.error();
    call.say(change->what);
    return {};
}

Result<void> takeBack(const Call& call, Project& project)
{
    for (const std::string& text : call.values("take-back")) {
        const Result<Subject> subject = subjectOf("take-back", text);
        if (!subject)
            return subject.error();
        const Result<Change> change = takeSignOffBack(project, *subject, call.value("why"));
        if (!change)
            return change.error();
        call.say(change->what);
    }
    return {};
}

Result<void> setAside(const Call& call, Project& project)
{
    if (!call.has("set-aside"))
        return {};
    ProjectRecords records;
    const Result<Tally> tally = tallyNow(project, records);
    if (!tally)
        return tally.error();
    for (const std::string& text : call.values("set-aside")) {
        const auto matter = std::find_if(tally->open.begin(), tally->open.end(), [&](const Matter& each) {
            return each.check + ": " + waiverSubject(each) == text;
        });
        if (matter == tally->open.end())
            return Error{ErrorCode::NotFound,
                         "--set-aside \"" + text +
                             "\": nothing of that name is open; write e.g. \"out of place: find SF-093\", "
                             "as the list has it"};
        Result<Waiver> waiver = waive(*matter, project.person(), call.value("why"), utcNow());
        if (!waiver)
            return waiver.error();
        const Result<Change> change = project.act(
            "set aside: " + matter->words, [&](Editor& edit) { return edit.put(*waiver); }, waiver->reason);
        if (!change)
            return change.error();
        call.say(change->what);
    }
    return {};
}

} // namespace

std::vector<OptionWords> checkActOptions()
{
    return {{"mark-checked", "SUBJECT", "mark \"drawing P-01\" or \"context 1004\" as checked by --person"},
            {"sign-off", "SUBJECT", "sign it off; both may be given more than once"},
            {"take-back", "SUBJECT", "take it back to traced; needs --why"},
            {"set-aside", "\"CHECK: SUBJECT\"", "set a matter aside; needs --person and --why"},
            {"person", "INITIALS", "who is at the keyboard"},
            {"why", "TEXT", "why, for the journal"}};
}

Result<void> doCheckActs(const Call& call)
{
    const bool acts =
        call.has("mark-checked") || call.has("sign-off") || call.has("take-back") || call.has("set-aside");
    if (!acts)
        return {};
    if (trimmed(call.value("person")).empty())
        return Error{ErrorCode::BadInput, "say who: --person INITIALS"};
    Result<Project> project = Project::open(call.files[0], Access::Write);
    if (!project)
        return project.error();
    project->setPerson(call.value("person"));
    if (const auto done = takeBack(call, *project); !done)
        return done;
    if (const auto done = setAside(call, *project); !done)
        return done;
    if (const auto done = sign(call, *project, "mark-checked", Stage::Checked); !done)
        return done;
    return sign(call, *project, "sign-off", Stage::SignedOff);
}

} // namespace inkpeg
