// SPDX-License-Identifier: GPL-3.0-or-later
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "core/handover/Bag.h"

namespace inkpeg {

namespace {

Result<VerbEnd> run(const Call& call)
{
    const Result<BagReport> sound = verifyBag(call.files[0], call.progress());
    if (!sound && sound.error().code != ErrorCode::BadInput)
        return sound.error();
    // A bag that is there and not sound is what the verb was asked to find: a fault, not bad usage.
    if (call.json) {
        nlohmann::ordered_json json = {{"bag", call.files[0]}, {"sound", static_cast<bool>(sound)}};
        json["reason"] =
            sound ? nlohmann::ordered_json(nullptr) : nlohmann::ordered_json(sound.error().message);
        if (sound) {
            json["files"] = sound->payloadFiles;
            json["bytes"] = sound->payloadBytes;
        }
        *call.out << json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) << "\n";
    } else if (sound) {
        *call.out << call.files[0] << ": sound, " << sound->payloadFiles << " files, "
                  << sound->payloadBytes << " bytes\n";
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
            "holds an archive bag against its manifests (RFC 8493): exit code 1 if it is not sound",
            {},
            run};
}

} // namespace inkpeg
