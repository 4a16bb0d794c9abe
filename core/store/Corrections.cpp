// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/Corrections.h"

#include "core/base/Text.h"

namespace inkpeg {

namespace {

template<typename Record>
Result<void> correct(const Project& project, Editor& edit, const Proposal& proposal)
{
    const std::string named = pointKindName(proposal.kind) + " " + proposal.number;
    std::optional<Record> record = project.byKey<Record>(proposal.number);
    if (!record)
        return Error{ErrorCode::NotFound, named + ": is not in the register"};
    if (record->context != proposal.from)
        return Error{ErrorCode::Conflict, named + ": its record names context \"" + record->context +
                                              "\" by now, not \"" + proposal.from + "\"; look again"};
    record->context = proposal.to;
    return edit.put(*record);
}

Result<void> correct(const Project& project, Editor& edit, const Proposal& proposal)
{
    switch (proposal.kind) {
    case PointKind::Find:
        return correct<Find>(project, edit, proposal);
    case PointKind::Sample:
        return correct<Sample>(project, edit, proposal);
    case PointKind::Timber:
        return correct<Timber>(project, edit, proposal);
    case PointKind::Note:
        break;
    }
    return Error{ErrorCode::BadInput, proposal.number + ": a note has no context"};
}

} // namespace

Result<Change> takeProposals(Project& project, std::span<const Proposal> proposals, const std::string& why)
{
    if (proposals.empty())
        return Error{ErrorCode::NotFound, "there is nothing to put right"};
    if (trimmed(why).empty())
        return Error{ErrorCode::BadInput, pointKindName(proposals[0].kind) + " " + proposals[0].number +
                                              ": another context needs a reason"};
    std::string what = "put " + pointKindName(proposals[0].kind) + " " + proposals[0].number +
                       " into context " + proposals[0].to;
    if (proposals.size() > 1)
        what += ", and " + std::to_string(proposals.size() - 1) + " more";
    return project.act(
        what,
        [&](Editor& edit) -> Result<void> {
            for (const Proposal& proposal : proposals)
                if (const auto done = correct(project, edit, proposal); !done)
                    return done;
            return {};
        },
        why);
}

} // namespace inkpeg
