// SPDX-License-Identifier: GPL-3.0-or-later
// While one of these lives, Ctrl-C (SIGINT) and SIGTERM ask the work to stop instead of ending the program;
// a second one ends it.
#pragma once

namespace inkpeg {

class Interrupt {
public:
    Interrupt();
    ~Interrupt();
    Interrupt(const Interrupt&) = delete;
    Interrupt& operator=(const Interrupt&) = delete;

    /// True once the person has asked to stop.
    static bool asked();
};

} // namespace inkpeg
