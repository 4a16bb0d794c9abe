// SPDX-License-Identifier: GPL-3.0-or-later
// The program without its window: inkpeg VERB ...
//
// Exit codes: 0 done; 1 the work shows faults (out of tolerance, outstanding matters); 2 bad input or
// usage.
#pragma once

#include <iosfwd>
#include <string>
#include <vector>

namespace inkpeg {

/// True when `arguments` (without the program's name) are for the command line: a verb, --help or
/// --version, or a word that is neither a verb nor an option nor an existing file, which the command line
/// then complains of.
bool isForCommandLine(const std::vector<std::string>& arguments);

/// Runs a verb and returns the exit code. Results go to `out`, messages to `err`.
int runCommandLine(const std::vector<std::string>& arguments, std::ostream& out, std::ostream& err);

/// The same on stdout and stderr.
int runCommandLine(const std::vector<std::string>& arguments);

/// The verbs in order, with their words; made from the same table that runs them.
std::string usageText();

} // namespace inkpeg
