// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/CommandLine.h"

#include <algorithm>
#include <filesystem>
#include <iostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"

namespace inkpeg {

namespace {

constexpr int ExitFaults = 1;
constexpr int ExitBadInput = 2;

const std::vector<Verb>& verbs()
{
    static const std::vector<Verb> all = {newVerb(),      registerVerb(), pinVerb(),   layVerb(),
                                          traceVerb(),    checkVerb(),    linksVerb(), reportVerb(),
                                          handOverVerb(), verifyVerb()};
    return all;
}

const Verb* verbNamed(const std::string& name)
{
    const auto found =
        std::find_if(verbs().begin(), verbs().end(), [&](const Verb& verb) { return verb.name == name; });
    return found == verbs().end() ? nullptr : &*found;
}

std::string optionLine(const OptionWords& option)
{
    std::string line = "  --" + option.name + (option.value.empty() ? "" : " " + option.value);
    constexpr std::size_t Column = 30;
    line += line.size() < Column ? std::string(Column - line.size(), ' ') : "\n" + std::string(Column, ' ');
    return line + option.meaning + "\n";
}

std::string usageOf(const Verb& verb)
{
    std::string text = "inkpeg " + verb.name + " " + verb.files + "\n" + verb.meaning + "\n\n";
    for (const std::vector<OptionWords>* list : {&verb.options, &commonOptions()})
        for (const OptionWords& option : *list)
            text += optionLine(option);
    return text;
}

std::string verbList()
{
    std::string list;
    for (const Verb& verb : verbs())
        list += (list.empty() ? "" : ", ") + verb.name;
    return list;
}

int fail(const std::string& verb, const Error& error, bool json, std::ostream& out, std::ostream& err)
{
    err << "inkpeg " << verb << (verb.empty() ? "" : ": ") << error.message << "\n";
    if (json)
        out << nlohmann::ordered_json{{"error",
                                       {{"kind", errorCodeName(error.code)}, {"message", error.message}}}}
                   .dump(2, ' ', false, nlohmann::json::error_handler_t::replace)
            << "\n";
    return ExitBadInput;
}

} // namespace

std::string usageText()
{
    std::string text = "inkpeg: scanned excavation drawings to checked, signed-off, open geodata.\n\n"
                       "inkpeg [PROJECT]           opens the window\n"
                       "inkpeg VERB ...            works without a display\n\nVerbs\n";
    for (const Verb& verb : verbs()) {
        std::string line = "  " + verb.name;
        line += std::string(line.size() < 14 ? 14 - line.size() : 1, ' ');
        text += line + verb.meaning + "\n";
    }
    text += "\ninkpeg VERB --help says what a verb takes.\n"
            "Exit code: 0 done; 1 the work shows faults; 2 bad input or usage.\n";
    return text;
}

bool isForCommandLine(const std::vector<std::string>& arguments)
{
    if (arguments.empty())
        return false;
    const std::string& first = arguments.front();
    if (verbNamed(first) != nullptr || first == "--help" || first == "--version")
        return true;
    std::error_code ignored;
    return !first.starts_with('-') && !std::filesystem::exists(first, ignored);
}

int runCommandLine(const std::vector<std::string>& arguments, std::ostream& out, std::ostream& err)
{
    if (arguments.empty()) {
        err << usageText();
        return ExitBadInput;
    }
    const std::string& name = arguments.front();
    if (name == "--help") {
        out << usageText();
        return 0;
    }
    if (name == "--version") {
        out << "inkpeg " << INKPEG_VERSION << "\n";
        return 0;
    }
    const Verb* verb = verbNamed(name);
    if (verb == nullptr)
        return fail("",
                    {ErrorCode::BadInput,
                     "\"" + name + "\" is neither a verb nor a project file; the verbs are " + verbList()},
                    false, out, err);
    const std::vector<std::string> rest(arguments.begin() + 1, arguments.end());
    Result<Call> call = readCall(*verb, rest);
    if (!call)
        return fail(name, call.error(), std::find(rest.begin(), rest.end(), "--json") != rest.end(), out,
                    err);
    if (call->has("help")) {
        out << usageOf(*verb);
        return 0;
    }
    call->out = &out;
    call->err = &err;
    const Result<VerbEnd> end = verb->run(*call);
    if (!end)
        return fail(name, end.error(), call->json, out, err);
    return *end == VerbEnd::Faults ? ExitFaults : 0;
}

int runCommandLine(const std::vector<std::string>& arguments)
{
    return runCommandLine(arguments, std::cout, std::cerr);
}

} // namespace inkpeg
