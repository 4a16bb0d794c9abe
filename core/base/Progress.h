// SPDX-License-Identifier: GPL-3.0-or-later
// How long work tells how far it is, and learns that it should stop.
#pragma once

#include <functional>

namespace inkpeg {

/// Called from a working thread, never from two at once, with the share done (0 to 1); returning false asks
/// the work to stop, which it then reports as ErrorCode::Cancelled, leaving nothing half written. An empty
/// function means: nobody watches.
using Progress = std::function<bool(double shareDone)>;

/// True if the work may go on.
inline bool report(const Progress& progress, double shareDone)
{
    return !progress || progress(shareDone);
}

} // namespace inkpeg
