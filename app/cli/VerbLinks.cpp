// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "core/base/Csv.h"
#include "core/base/Text.h"
#include "core/checks/Links.h"
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

Result<VerbEnd> run(const Call& call)
{
    const Result<std::optional<LinkVerdict>> asked = verdictAsked(call);
    if (!asked)
        return asked.error();
    const Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    const Result<ProjectRecords> records = loadRecords(*project, call.progress());
    if (!records)
        return records.error();
    const std::vector<Placed> placed = placedOf(*records);
    const Result<std::vector<Link>> links = linkToOutlines(*records, placed, call.progress());
    if (!links)
        return links.error();
    ordered_json list = ordered_json::array();
    if (!call.json)
        *call.out << csvLine({"kind", "number", "context", "verdict", "probability", "distance m", "inside",
                              "alternative", "alternative probability", "level difference m"});
    for (std::size_t i = 0; i < placed.size(); ++i) {
        if (*asked && **asked != (*links)[i].verdict)
            continue;
        if (call.json)
            list.push_back(jsonOf(placed[i], (*links)[i]));
        else
            *call.out << csvOf(placed[i], (*links)[i]);
    }
    const ordered_json counts = countsOf(*links);
    if (call.json) {
        const ordered_json text{{"count", counts}, {"links", list}, {"byContext", countByContext(placed)}};
        *call.out << text.dump(2, ' ', false, ordered_json::error_handler_t::replace) << "\n";
    } else {
        std::string words;
        for (const auto& [verdict, count] : counts.items())
            words += (words.empty() ? "" : ", ") + std::to_string(count.get<long long>()) + " " + verdict;
        call.say(words);
    }
    const bool disagrees = std::any_of(links->begin(), links->end(), [](const Link& link) {
        return link.verdict == LinkVerdict::Disagree;
    });
    return disagrees ? VerbEnd::Faults : VerbEnd::Done;
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
            {{"verdict", "VERDICT", "only these: agree, on the edge, disagree, no outline or no place"}},
            run};
}

} // namespace inkpeg
