// SPDX-License-Identifier: GPL-3.0-or-later
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "core/handover/Bag.h"

namespace inkpeg {

namespace {

Result<ReadBackReport> heldContent(const Call& call)
{
    if (!call.has("project"))
        return verifyBagContent(call.files[0], nullptr, call.progress());
    const Result<Project> project = Project::open(call.value("project"), Access::Read);
    if (!project) // not the bag's fault
        return Error{ErrorCode::NotFound, project.error().message};
    return verifyBagContent(call.files[0], &*project, call.progress());
}

Result<VerbEnd> run(const Call& call)
{
    Result<BagReport> sound = verifyBag(call.files[0], call.progress());
    if (!sound && sound.error().code != ErrorCode::BadInput)
        return sound.error();
    ReadBackReport readBack;
    if (sound) { // whole, as far as digests go: now what it says
        Result<ReadBackReport> held = heldContent(call);
        if (held)
            readBack = std::move(held).value();
        else if (held.error().code != ErrorCode::BadInput)
            return held.error();
        else
            sound = held.error();
    }
    for (const std::string& remark : readBack.remarks)
        call.say(remark);
    // A bag that is there and not sound is what the verb was asked to find: a fault, not bad usage.
    if (call.json) {
        nlohmann::ordered_json json = {{"bag", call.files[0]}, {"sound", static_cast<bool>(sound)}};
        json["reason"] =
            sound ? nlohmann::ordered_json(nullptr) : nlohmann::ordered_json(sound.error().message);
        if (sound) {
            json["files"] = sound->payloadFiles;
            json["bytes"] = sound->payloadBytes;
            json["records"] = readBack.records;
            json["formats"] = readBack.formats;
            json["remarks"] = readBack.remarks;
        }
        *call.out << json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) << "\n";
    } else if (sound) {
        *call.out << call.files[0] << ": sound, " << sound->payloadFiles << " files, "
                  << sound->payloadBytes << " bytes";
        for (std::size_t i = 0; i < readBack.formats.size(); ++i)
            *call.out << (i == 0
                              ? "; " + std::to_string(readBack.records) + " records read back equal from "
                              : ", ")
                      << readBack.formats[i];
        *call.out << "\n";
    }
    if (!sound)
        call.say(call.files[0] + ": not sound: " + sound.error().message);
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
