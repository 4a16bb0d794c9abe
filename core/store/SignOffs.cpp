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
        return {}; // signed, then deleted: nothing to take back
    record->stage = stage;
    return edit.put(*record);
}

Result<void> putStage(const Project& project, Editor& edit, const std::string& subjectKind,
                      const std::string& subject, Stage stage)
{
    return subjectKind == "drawing" ? putStage<Drawing>(project, edit, subject, stage)
                                    : putStage<Context>(project, edit, subject, stage);
}

} // namespace

Result<Change> signOff(Project& project, const std::string& subjectKind, const std::string& subject,
                       Stage stage, const std::string& reason)
{
    const Result<ProjectRecords> records = loadRecords(project);
    if (!records)
        return records.error();
    const Tally tally = tallyOf(runChecks(*records), records->waivers);
    const SigningIntent intent{subjectKind, subject, stage, project.person()};
    if (const Result<void> may = maySign(*records, intent, tally.open); !may)
        return may.error();
    SignOff signOff;
    signOff.subjectKind = subjectKind;
    signOff.subject = subject;
    signOff.stage = stage;
    signOff.person = project.person();
    signOff.at = utcNow();
    signOff.reason = reason;
    signOff.sealSha256 = Seals(*records).of(subjectKind, subject);
    const std::string what =
        (stage == Stage::SignedOff ? "sign off " : "check ") + subjectKind + " " + subject;
    return project.act(
        what,
        [&](Editor& edit) -> Result<void> {
            if (const Result<void> put = edit.put(signOff); !put)
                return put;
            return putStage(project, edit, subjectKind, subject, stage);
        },
        reason);
}

Result<std::optional<Change>> breakSeals(Project& project, const std::string& reason)
{
    const Result<ProjectRecords> records = loadRecords(project);
    if (!records)
        return records.error();
    const std::vector<std::size_t> broken = newlyBrokenSeals(*records);
    if (broken.empty())
        return std::optional<Change>();
    if (trimmed(reason).empty())
        return Error{ErrorCode::BadInput, records->signOffs[broken.front()].subjectKind + " " +
                                              records->signOffs[broken.front()].subject +
                                              " is signed off; changing it needs a reason"};
    Result<Change> change = project.act(
        "break the seal of what was changed",
        [&](Editor& edit) -> Result<void> {
            for (const std::size_t i : broken) {
                SignOff signOff = records->signOffs[i];
                signOff.broken = true;
                if (const Result<void> put = edit.put(signOff); !put)
                    return put;
                if (const Result<void> put =
                        putStage(project, edit, signOff.subjectKind, signOff.subject, Stage::Traced);
                    !put)
                    return put;
            }
            return {};
        },
        reason);
    if (!change)
        return change.error();
    return std::optional<Change>(std::move(change).value());
}

bool isSealed(const Project& project, const std::string& subjectKind, const std::string& subject)
{
    bool sealed = false;
    for (const SignOff& signOff : project.all<SignOff>())
        if (signOff.subjectKind == subjectKind && signOff.subject == subject)
            sealed = signOff.stage == Stage::SignedOff && !signOff.broken;
    return sealed;
}

} // namespace inkpeg
