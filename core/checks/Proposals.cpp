// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/Proposals.h"

#include "core/base/Text.h"

namespace inkpeg {

namespace {

std::string inWords(const Proposal& proposal)
{
    std::string text = pointKindName(proposal.kind) + " " + proposal.number + " lies in " + proposal.to +
                       " (probability " + fixed(proposal.probabilityTo, 3) + ")";
    if (proposal.from.empty())
        return text + "; its record names no context";
    return text + ", not in " + proposal.from + " (" + fixed(proposal.probabilityFrom, 3) + ")";
}

} // namespace

std::vector<Proposal> proposalsOf(std::span<const Placed> placed, std::span<const Link> links)
{
    std::vector<Proposal> proposals;
    for (std::size_t i = 0; i < placed.size(); ++i) {
        const Link& link = links[i];
        const bool mayBeWrong = link.verdict == LinkVerdict::Disagree ||
                                (link.verdict == LinkVerdict::NoOutline && placed[i].context.empty());
        if (!mayBeWrong || !link.alternative || link.alternative->probability < SurelyWithin)
            continue;
        Proposal proposal{placed[i].kind,
                          std::string(placed[i].number),
                          std::string(placed[i].context),
                          link.alternative->context,
                          link.probability,
                          link.alternative->probability,
                          {}};
        proposal.words = inWords(proposal);
        proposals.push_back(std::move(proposal));
    }
    return proposals;
}

} // namespace inkpeg
