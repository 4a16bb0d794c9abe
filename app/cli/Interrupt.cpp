// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/Interrupt.h"

#include <atomic>
#include <csignal>

namespace inkpeg {
namespace {

std::atomic<bool> stopAsked{false};
static_assert(std::atomic<bool>::is_always_lock_free, "a signal handler may not wait");

void ask(int)
{
    stopAsked = true;
}

} // namespace

Interrupt::Interrupt()
{
    stopAsked = false;
    struct sigaction action {};
    action.sa_handler = ask;
    action.sa_flags = SA_RESTART | static_cast<int>(SA_RESETHAND);
    ::sigaction(SIGINT, &action, nullptr);
    ::sigaction(SIGTERM, &action, nullptr);
}

Interrupt::~Interrupt()
{
    std::signal(SIGINT, SIG_DFL);
    std::signal(SIGTERM, SIG_DFL);
}

bool Interrupt::asked()
{
    return stopAsked;
}

} // namespace inkpeg
