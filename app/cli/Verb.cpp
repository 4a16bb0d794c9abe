// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/Verb.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <iostream>

#include <unistd.h>

#include "core/base/Text.h"
#include "core/base/TimeLeft.h"

namespace inkpeg {

namespace {

/// How many letters must be put in, taken out or changed to make one text of the other.
std::size_t lettersBetween(const std::string& a, const std::string& b)
{
    std::vector<std::size_t> row(b.size() + 1);
    for (std::size_t k = 0; k <= b.size(); ++k)
        row[k] = k;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i;
        for (std::size_t k = 1; k <= b.size(); ++k) {
            const std::size_t above = row[k];
            row[k] = std::min({row[k] + 1, row[k - 1] + 1, diagonal + (a[i - 1] == b[k - 1] ? 0 : 1)});
            diagonal = above;
        }
    }
    return row[b.size()];
}

const OptionWords* optionNamed(const Verb& verb, const std::string& name)
{
    for (const std::vector<OptionWords>* list : {&verb.options, &commonOptions()})
        for (const OptionWords& option : *list)
            if (option.name == name)
                return &option;
    return nullptr;
}

Error unknownOption(const Verb& verb, const std::string& name)
{
    std::string nearest;
    std::size_t fewest = 4; // further apart is no slip of the finger
    for (const std::vector<OptionWords>* list : {&verb.options, &commonOptions()})
        for (const OptionWords& option : *list)
            if (const std::size_t letters = lettersBetween(name, option.name); letters < fewest) {
                fewest = letters;
                nearest = option.name;
            }
    return {ErrorCode::BadInput, "there is no option --" + name +
                                     (nearest.empty() ? "; see inkpeg " + verb.name + " --help"
                                                      : "; did you mean --" + nearest + "?")};
}

} // namespace

const std::vector<OptionWords>& commonOptions()
{
    static const std::vector<OptionWords> options = {
        {"json", "", "the result on stdout as JSON, for programs"},
        {"help", "", "what the verb does and takes"},
    };
    return options;
}

std::string Call::value(const std::string& option, const std::string& otherwise) const
{
    const auto [from, to] = options.equal_range(option);
    return from == to ? otherwise : std::prev(to)->second;
}

std::vector<std::string> Call::values(const std::string& option) const
{
    std::vector<std::string> values;
    const auto [from, to] = options.equal_range(option);
    for (auto it = from; it != to; ++it)
        values.push_back(it->second);
    return values;
}

Result<std::optional<double>> Call::number(const std::string& option) const
{
    if (!has(option))
        return std::optional<double>();
    const std::optional<double> number = parseNumber(value(option));
    if (!number)
        return Error{ErrorCode::BadInput, "--" + option + " \"" + value(option) +
                                              "\" is not a number; write e.g. --" + option + " 0.5"};
    return std::optional<double>(*number);
}

Progress Call::progress() const
{
    if (err != &std::cerr || ::isatty(STDERR_FILENO) == 0)
        return {};
    using Clock = std::chrono::steady_clock;
    return [last = -1, start = Clock::now()](double share) mutable {
        const int percent = static_cast<int>(std::floor(share * 100));
        if (percent != last) {
            const auto left =
                secondsLeft(share, std::chrono::duration<double>(Clock::now() - start).count());
            // The line before is written over, to its end.
            std::cerr << "\r" << percent << " %"
                      << (left && percent < 100 ? ", " + durationWords(*left) + " left" : "") << "\033[K"
                      << (percent >= 100 ? "\n" : "") << std::flush;
        }
        last = percent;
        return true;
    };
}

void Call::say(const std::string& message) const
{
    *err << message << "\n";
}

Result<Call> readCall(const Verb& verb, const std::vector<std::string>& arguments)
{
    Call call;
    bool onlyFiles = false;
    for (std::size_t i = 0; i < arguments.size(); ++i) {
        const std::string& argument = arguments[i];
        if (onlyFiles || !argument.starts_with("--")) {
            if (!onlyFiles && argument.size() > 1 && argument.starts_with('-'))
                return Error{ErrorCode::BadInput,
                             "\"" + argument +
                                 "\" is no option: options begin with two hyphens; put -- before a file "
                                 "whose name begins with one"};
            call.files.push_back(argument);
            continue;
        }
        if (argument == "--") {
            onlyFiles = true;
            continue;
        }
        const std::size_t equals = argument.find('=');
        const std::string name = argument.substr(2, equals == std::string::npos ? equals : equals - 2);
        const OptionWords* option = optionNamed(verb, name);
        if (option == nullptr)
            return unknownOption(verb, name);
        if (option->value.empty()) {
            if (equals != std::string::npos)
                return Error{ErrorCode::BadInput, "--" + name + " takes no value"};
            call.options.emplace(name, "");
        } else if (equals != std::string::npos) {
            call.options.emplace(name, argument.substr(equals + 1));
        } else if (i + 1 < arguments.size()) {
            call.options.emplace(name, arguments[++i]);
        } else {
            return Error{ErrorCode::BadInput, "--" + name + " wants " + option->value + " after it"};
        }
    }
    call.json = call.has("json");
    if (call.has("help"))
        return call;
    if (call.files.size() < verb.fewestFiles || call.files.size() > verb.mostFiles)
        return Error{ErrorCode::BadInput, std::to_string(call.files.size()) +
                                              " files given; the verb takes " + verb.files +
                                              "; see inkpeg " + verb.name + " --help"};
    return call;
}

} // namespace inkpeg
