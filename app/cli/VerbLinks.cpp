// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "core/base/Csv.h"
#include "core/base/Text.h"
#include "core/checks/Proposals.h"
#include "core/store/Corrections.h"
#include "core/store/LoadRecords.h"

namespace inkpeg {

namespace {

using nlohmann::ordered_json;

constexpr LinkVerdict Verdicts[] = {LinkVerdict::Agree, LinkVerdict::OnTheEdge, LinkVerdict::Disagree,
                                    LinkVerdict::NoOutline, LinkVerdict::NoPlace};

ordered_json jsonOf(const Placed& placed, const Link& link)
{
    ordered_json text{{"kind", pointKindName(placed.kind)},
                      {"number", placed.number},
                      {"context", placed.context},
                      {"verdict", verdictName(link.verdict)},
                      {"probability", link.probability},
                      {"distanceM", link.distanceM},
                      {"inside", link.inside},
                      {"levelDifferenceM", link.levelDifferenceM},
                      {"asDrawn", link.asDrawn}};
    if (link.position)
        text["ground"] = {link.position->east, link.position->north};
    if (link.alternative)
        text["alternative"] = {{"context", link.alternative->context},
                               {"probability", link.alternative->probability},
                               {"distanceM", link.alternative->distanceM}};
    return text;
}

std::string joined(const std::vector<std::string>& words)
{
    std::string all;
    for (const std::string& word : words)
        all += (all.empty() ? "" : " ") + word;
    return all;
}

std::string csvOf(const Placed& placed, const Link& link)
{
    return csvLine({pointKindName(placed.kind), std::string(placed.number), std::string(placed.context),
                    verdictName(link.verdict), fixed(link.probability, 3), fixed(link.distanceM, 3),
                    joined(link.inside), link.alternative ? link.alternative->context : "",
                    link.alternative ? fixed(link.alternative->probability, 3) : "",
                    fixed(link.levelDifferenceM, 3)});
}

Result<std::optional<LinkVerdict>> verdictAsked(const Call& call)
{
    if (!call.has("verdict"))
        return std::optional<LinkVerdict>();
    for (const LinkVerdict verdict : Verdicts)
        if (verdictName(verdict) == call.value("verdict"))
            return std::optional(verdict);
    return Error{ErrorCode::BadInput,
                 "--verdict " + call.value("verdict") +
                     ": use \"agree\", \"on the edge\", \"disagree\", \"no outline\" or "
                     "\"no place\""};
}

ordered_json countsOf(std::span<const Link> links)
{
    ordered_json counts;
    for (const LinkVerdict verdict : Verdicts)
        counts[verdictName(verdict)] = std::count_if(
            links.begin(), links.end(), [&](const Link& link) { return link.verdict == verdict; });
    return counts;
}

/// Finds, samples and timbers with their links.
struct Linked {
    ProjectRecords records;
    std::vector<Placed> placed;
    std::vector<Link> links;
};

Result<void> link(const Call& call, const Project& project, Linked& linked)
{
    Result<ProjectRecords> records = loadRecords(project, call.progress());
    if (!records)
        return records.error();
    linked.records = std::move(*records);
    linked.placed = placedOf(linked.records);
    Result<std::vector<Link>> links = linkToOutlines(linked.records, linked.placed, call.progress());
    if (!links)
        return links.error();
    linked.links = std::move(*links);
    return {};
}

std::string named(const Proposal& proposal)
{
    return pointKindName(proposal.kind) + " " + proposal.number;
}

/// Takes the proposals that are named by --take, or every one, as one act.
Result<void> take(const Call& call)
{
    if (!call.has("take") && !call.has("take-all"))
        return {};
    Result<Project> project = Project::open(call.files[0], Access::Write);
    if (!project)
        return project.error();
    project->setPerson(call.value("person"));
    Linked linked;
    if (const auto done = link(call, *project, linked); !done)
        return done;
    std::vector<Proposal> proposals = proposalsOf(linked.placed, linked.links);
    if (!call.has("take-all")) {
        std::vector<Proposal> chosen;
        for (const std::string& name : call.values("take")) {
            const auto found =
                std::find_if(proposals.begin(), proposals.end(),
                             [&](const Proposal& proposal) { return named(proposal) == name; });
            if (found == proposals.end())
                return Error{ErrorCode::NotFound, "--take \"" + name +
                                                      "\": no correction is proposed for it; write e.g. "
                                                      "\"find SF-093\", as --proposals lists it"};
            chosen.push_back(*found);
        }
        proposals = std::move(chosen);
    }
    const Result<Change> change = takeProposals(*project, proposals, call.value("why"));
    if (!change)
        return change.error();
    call.say(change->what);
    return {};
}

void listProposals(const Call& call, const std::vector<Proposal>& proposals)
{
    if (!call.json) {
        for (const Proposal& proposal : proposals)
            *call.out << proposal.words << "\n";
        return;
    }
    ordered_json list = ordered_json::array();
    for (const Proposal& proposal : proposals)
        list.push_back({{"kind", pointKindName(proposal.kind)},
                        {"number", proposal.number},
                        {"from", proposal.from},
                        {"to", proposal.to},
                        {"probabilityFrom", proposal.probabilityFrom},
                        {"probabilityTo", proposal.probabilityTo},
                        {"words", proposal.words}});
    *call.out << list.dump(2, ' ', false, ordered_json::error_handler_t::replace) << "\n";
}

void listByContext(const Call& call, const std::vector<Placed>& placed)
{
    *call.out << csvLine({"context", "what", "count"});
    for (const auto& [context, counts] : countByContext(placed))
        for (const auto& [what, count] : counts)
            *call.out << csvLine({context, what, std::to_string(count)});
}

Result<VerbEnd> run(const Call& call)
{
    const Result<std::optional<LinkVerdict>> asked = verdictAsked(call);
    if (!asked)
        return asked.error();
    if (const auto taken = take(call); !taken)
        return taken.error();
    const Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    Linked linked;
    if (const auto done = link(call, *project, linked); !done)
        return done.error();
    const std::vector<Placed>& placed = linked.placed;
    const std::vector<Link>& links = linked.links;
    const bool disagrees = std::any_of(
        links.begin(), links.end(), [](const Link& each) { return each.verdict == LinkVerdict::Disagree; });
    const VerbEnd end = disagrees ? VerbEnd::Faults : VerbEnd::Done;
    if (call.has("proposals")) {
        listProposals(call, proposalsOf(placed, links));
        return end;
    }
    if (call.has("by-context") && !call.json) {
        listByContext(call, placed);
        return end;
    }
    ordered_json list = ordered_json::array();
    if (!call.json)
        *call.out << csvLine({"kind", "number", "context", "verdict", "probability", "distance m", "inside",
                              "alternative", "alternative probability", "level difference m"});
    for (std::size_t i = 0; i < placed.size(); ++i) {
        if (*asked && **asked != links[i].verdict)
            continue;
        if (call.json)
            list.push_back(jsonOf(placed[i], links[i]));
        else
            *call.out << csvOf(placed[i], links[i]);
    }
    const ordered_json counts = countsOf(links);
    if (call.json) {
        const ordered_json text{{"count", counts}, {"links", list}, {"byContext", countByContext(placed)}};
        *call.out << text.dump(2, ' ', false, ordered_json::error_handler_t::replace) << "\n";
    } else {
        std::string words;
        for (const auto& [verdict, count] : counts.items())
            words += (words.empty() ? "" : ", ") + std::to_string(count.get<long long>()) + " " + verdict;
        call.say(words);
    }
    return end;
}

} // namespace

Verb linksVerb()
{
    return {"links",
            "PROJECT",
            1,
            1,
            "holds finds, samples and timbers against the outlines of their contexts; exit code 1 if any "
            "disagrees",
            {{"verdict", "VERDICT", "only these: agree, on the edge, disagree, no outline or no place"},
             {"proposals", "", "list the corrections that the places speak for"},
             {"by-context", "", "count by context and material (with --json always there)"},
             {"take", "SUBJECT", "take the correction proposed for e.g. \"find SF-093\"; needs --why"},
             {"take-all", "", "take every correction proposed; needs --why"},
             {"person", "INITIALS", "who is at the keyboard"},
             {"why", "TEXT", "why, for the journal"}},
            run};
}

} // namespace inkpeg
