// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/SignOffs.h"

#include "core/base/Clock.h"
#include "core/base/Text.h"
#include "core/checks/Checks.h"
#include "core/checks/Seal.h"
#include "core/checks/Tally.h"
#include "core/store/LoadRecords.h"

namespace inkpeg {

namespace {

template<typename Record>
Result<void> putStage(const Project& project, Editor& edit, const std::string& number, Stage stage)
{
    std::optional<Record> record = project.byKey<Record>(number);
    if (!record)
        return Error{ErrorCode::NotFound, number + ": the project has no such record"};
    record->stage = stage;
    return edit.put(*record);
}

Result<void> putStage(const Project& project, Editor& edit, const Subject& subject, Stage stage)
{
    return subject.kind == "drawing" ? putStage<Drawing>(project, edit, subject.number, stage)
                                     : putStage<Context>(project, edit, subject.number, stage);
}

std::optional<Stage> stageOf(const Project& project, const Subject& subject)
{
    if (subject.kind == "drawing") {
        const auto drawing = project.byKey<Drawing>(subject.number);
        return drawing ? std::optional(drawing->stage) : std::nullopt;
    }
    const auto context = project.byKey<Context>(subject.number);
    return context ? std::optional(context->stage) : std::nullopt;
}

std::string actInWords(std::span<const Subject> subjects, Stage stage)
{
    std::string words = stage == Stage::SignedOff ? "sign off " : "check ";
    if (subjects.size() == 1)
        return words + subjects[0].kind + " " + subjects[0].number;
    return words + std::to_string(subjects.size()) + " drawings and contexts, " + subjects[0].kind + " " +
           subjects[0].number + " the first";
}

} // namespace

Result<Change> signOff(Project& project, const ProjectRecords& records, std::span<const Matter> open,
                       std::span<const Subject> subjects, Stage stage, const std::string& reason)
{
    if (subjects.empty())
        return Error{ErrorCode::NotFound, "there is nothing to sign"};
    const SigningRules rules(records, open);
    std::vector<SignOff> signOffs;
    for (const Subject& subject : subjects) {
        const SigningIntent intent{subject.kind, subject.number, stage, project.person()};
        if (const Result<void> may = rules.may(intent); !may)
            return may.error();
        signOffs.push_back({0, subject.kind, subject.number, stage, project.person(), utcNow(),
                            std::string(trimmed(reason)), rules.sealOf(intent), false});
    }
    return project.act(
        actInWords(subjects, stage),
        [&](Editor& edit) -> Result<void> {
            for (std::size_t i = 0; i < subjects.size(); ++i) {
                if (const Result<void> put = edit.put(signOffs[i]); !put)
                    return put;
                if (const Result<void> put = putStage(project, edit, subjects[i], stage); !put)
                    return put;
            }
            return {};
        },
        reason);
}

Result<Change> signOff(Project& project, const std::string& subjectKind, const std::string& subject,
                       Stage stage, const std::string& reason)
{
    const Result<ProjectRecords> records = loadRecords(project);
    if (!records)
        return records.error();
    const Tally tally = tallyOf(runChecks(*records), records->waivers);
    const Subject one{subjectKind, subject};
    return signOff(project, *records, tally.open, std::span(&one, 1), stage, reason);
}

Result<Change> takeSignOffBack(Project& project, const Subject& subject, const std::string& reason)
{
    const std::string named = subject.kind + " " + subject.number;
    const std::optional<Stage> stage = stageOf(project, subject);
    if (!stage)
        return Error{ErrorCode::NotFound, named + ": the project has no such record"};
    if (*stage < Stage::Checked)
        return Error{ErrorCode::Conflict, named + ": it is neither checked nor signed off"};
    if (trimmed(reason).empty())
        return Error{ErrorCode::BadInput, named + ": taking it back to traced needs a reason"};
    SignOff back{0,
                 subject.kind,
                 subject.number,
                 Stage::Traced,
                 project.person(),
                 utcNow(),
                 std::string(trimmed(reason)),
                 {},
                 false};
    return project.act(
        "take " + named + " back to traced",
        [&](Editor& edit) -> Result<void> {
            if (const Result<void> put = edit.put(back); !put)
                return put;
            return putStage(project, edit, subject, Stage::Traced);
        },
        reason);
}

std::vector<SignOff> signOffsOf(const Project& project, const Subject& subject)
{
    std::vector<SignOff> signOffs;
    for (SignOff& signOff : project.all<SignOff>())
        if (signOff.subjectKind == subject.kind && signOff.subject == subject.number)
            signOffs.push_back(std::move(signOff));
    return signOffs;
}

bool isSealed(const Project& project, const std::string& subjectKind, const std::string& subject)
{
    const std::vector<SignOff> signOffs = signOffsOf(project, {subjectKind, subject});
    return !signOffs.empty() && signOffs.back().stage == Stage::SignedOff && !signOffs.back().broken;
}

} // namespace inkpeg
