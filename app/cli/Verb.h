// SPDX-License-Identifier: GPL-3.0-or-later
// What a verb of the command line is: its words, its options and what it does. The table of verbs makes the
// usage text, reads the options and is the only list of them.
#pragma once

#include <functional>
#include <iosfwd>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"

namespace inkpeg {

struct OptionWords {
    std::string name;  ///< "drawing" for --drawing
    std::string value; ///< what stands after it, e.g. "NUMBER"; empty for a switch
    std::string meaning;
};

/// A verb as it was called, its options known and in order.
class Call {
public:
    std::vector<std::string> files; ///< what stands without an option
    std::multimap<std::string, std::string> options;
    bool json = false;
    std::ostream* out = nullptr; ///< results
    std::ostream* err = nullptr; ///< messages

    bool has(const std::string& option) const { return options.contains(option); }
    /// The last value given, or `otherwise`.
    std::string value(const std::string& option, const std::string& otherwise = {}) const;
    std::vector<std::string> values(const std::string& option) const;
    /// A number, or nothing when not given. Errors: BadInput naming the option.
    Result<std::optional<double>> number(const std::string& option) const;
    /// Shows the share done, and how long it will take yet, on the message stream when that is a terminal.
    Progress progress() const;
    /// A message for people.
    void say(const std::string& message) const;
};

/// How a verb ended when its input was good.
enum class VerbEnd {
    Done,   ///< exit code 0
    Faults, ///< exit code 1: the work shows faults
};

struct Verb {
    std::string name;
    std::string files; ///< usage of what stands without an option, e.g. "PROJECT CSV..."
    std::size_t fewestFiles = 1;
    std::size_t mostFiles = 1;
    std::string meaning;
    std::vector<OptionWords> options;
    std::function<Result<VerbEnd>(const Call&)> run;
};

/// Options that every verb takes.
const std::vector<OptionWords>& commonOptions();

/// Reads what stands after the verb. Errors: BadInput: an option that the verb does not have (names the
/// nearest), a value that is missing, too few or too many files.
Result<Call> readCall(const Verb& verb, const std::vector<std::string>& arguments);

/// The verbs, one file each; listed in CommandLine.cpp.
Verb newVerb();
Verb registerVerb();
Verb pinVerb();
Verb layVerb();
Verb stitchVerb();
Verb traceVerb();
Verb checkVerb();
Verb linksVerb();
Verb levelsVerb();
Verb sectionsVerb();
Verb postsVerb();
Verb reportVerb();
Verb handOverVerb();
Verb verifyVerb();

} // namespace inkpeg
