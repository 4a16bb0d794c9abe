// SPDX-License-Identifier: GPL-3.0-or-later
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "core/handover/Bag.h"
#include "core/store/OneState.h"

namespace inkpeg {

namespace {

Result<HeldBag> held(const Call& call)
{
    if (!call.has("project"))
        return holdBag(call.files[0], nullptr, call.progress());
    const Result<Project> project = Project::open(call.value("project"), Access::Read);
    if (!project)
        return project.error();
    const Result<OneState> state = OneState::hold(*project);
    if (!state)
        return state.error();
    return holdBag(call.files[0], &*project, call.progress());
}

Result<VerbEnd> run(const Call& call)
{
    const Result<HeldBag> bag = held(call);
    if (!bag)
        return bag.error();
    const bool sound = bag->unsound.empty();
    for (const std::string& remark : bag->content.remarks)
        call.say(remark);
    // A bag that is there and not sound is what the verb was asked to find: a fault, not bad usage.
    if (call.json) {
        nlohmann::ordered_json json = {{"bag", call.files[0]}, {"sound", sound}};
        json["reason"] = sound ? nlohmann::ordered_json(nullptr) : nlohmann::ordered_json(bag->unsound);
        if (sound) {
            json["files"] = bag->files.payloadFiles;
            json["bytes"] = bag->files.payloadBytes;
            json["records"] = bag->content.records;
            json["formats"] = bag->content.formats;
            json["remarks"] = bag->content.remarks;
        }
        *call.out << json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) << "\n";
    } else if (sound) {
        *call.out << call.files[0] << ": sound, " << bag->files.payloadFiles << " files, "
                  << bag->files.payloadBytes << " bytes";
        const std::vector<std::string>& formats = bag->content.formats;
        for (std::size_t i = 0; i < formats.size(); ++i)
            *call.out << (i == 0 ? "; " + std::to_string(bag->content.records) +
                                       " records read back equal from "
                                 : ", ")
                      << formats[i];
        *call.out << "\n";
    }
    if (!sound)
        call.say(call.files[0] + ": not sound: " + bag->unsound);
    return sound ? VerbEnd::Done : VerbEnd::Faults;
}

} // namespace

Verb verifyVerb()
{
    return {"verify",
            "BAG",
            1,
            1,
            "holds an archive bag against its manifests (RFC 8493), and every record and geometry in it "
            "against "
            "each other: exit code 1 if it is not sound",
            {{"project", "FILE", "and against this project, as it is now"}},
            run};
}

} // namespace inkpeg
