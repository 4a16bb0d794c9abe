// SPDX-License-Identifier: GPL-3.0-or-later
// Holds registers, drawings, outlines, stratigraphy and finds against each other and lists what is
// outstanding.
//
//   for (const Matter& matter : runChecks(records))
//       show(matter);                                // check, severity, subject, words, what to do, place
//
// To add a check: write its function beside its kin in one of the *Checks.cpp files, declare it in
// CheckFunctions.h, give it a row in Checks.cpp, and a positive, a negative and an edge test.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/checks/Matter.h"
#include "core/checks/ProjectRecords.h"

namespace inkpeg {

/// A check as a person reads about it.
struct CheckFacts {
    std::string name;
    std::string explanation;
    Severity severity = Severity::Must;
};

/// All checks, in the order in which they run.
std::vector<CheckFacts> listChecks();

/// All matters, waived ones too (see Tally.h), ordered by check, then as the records come.
std::vector<Matter> runChecks(const ProjectRecords& records);

/// The same, watched; errors: Cancelled.
Result<std::vector<Matter>> runChecks(const ProjectRecords& records, const Progress& progress);

} // namespace inkpeg
