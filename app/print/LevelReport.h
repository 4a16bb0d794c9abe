// SPDX-License-Identifier: GPL-3.0-or-later
// The level book page: readings, both reductions, arithmetic check, misclosure, and what the levels are for.
#pragma once

#include "app/print/TableReport.h"
#include "core/store/LevelFlow.h"

namespace inkpeg {

/// One table for each book and one of what the levels are for. Errors: NotFound (no such book).
Result<TableReport> levelReport(const Project& project, const std::string& book = {});

/// "points: ...", as columns: what the page, the window and the command line show of each line.
struct LevelLineWords {
    std::string point, back, intermediate, fore, rise, fall, collimation, byCollimation, byRiseAndFall,
        correction, level, note;
};
std::vector<LevelLineWords> levelLines(const ReducedBook& book);

} // namespace inkpeg
