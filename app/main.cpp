// SPDX-License-Identifier: GPL-3.0-or-later
// The program: a verb of the command line runs without a display.
#include <string>
#include <vector>

#include "app/cli/CommandLine.h"

int main(int argc, char** argv)
{
    const std::vector<std::string> arguments(argv + 1, argv + argc);
    return inkpeg::runCommandLine(arguments);
}
