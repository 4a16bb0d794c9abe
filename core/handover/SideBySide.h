// SPDX-License-Identifier: GPL-3.0-or-later
// Pieces of work that share nothing but what they read, done at the same time on the cores of the machine.
//
//   std::vector<SidePiece> pieces = {{.share = 3, .work = writeThis}, {.share = 1, .work = writeThat}};
//   const Result<void> done = doSideBySide(pieces, progress);
#pragma once

#include <functional>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"

namespace inkpeg {

struct SidePiece {
    double share = 1; ///< of the whole, in any unit; the largest are begun first
    std::function<Result<void>(const Progress& progress)> work;
};

/// `progress` is called from any of the threads, never from two at once. When one piece fails or the whole
/// is stopped, the others are asked to stop, and none is begun. Errors: that of the first piece, in their
/// order, that failed of itself; Cancelled.
Result<void> doSideBySide(const std::vector<SidePiece>& pieces, const Progress& progress = {});

} // namespace inkpeg
