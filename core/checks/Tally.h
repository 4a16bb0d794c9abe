// SPDX-License-Identifier: GPL-3.0-or-later
// What is outstanding: matters less waivers, sorted and grouped as people look at them.
//
//   const Tally tally = tallyOf(runChecks(records), records.waivers);
//   for (const Group& group : groupMatters(tally.open, GroupBy::Trench))
//       ...                                            // group.name, group.matters: indices into
//       tally.open
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/checks/Matter.h"
#include "core/records/Records.h"

namespace inkpeg {

struct WaivedMatter {
    Matter matter;
    Waiver waiver;
};

struct Count {
    int must = 0, should = 0, note = 0;
    int all() const { return must + should + note; }
};

struct Tally {
    std::vector<Matter> open; ///< by severity, then trench, drawing, check, subject
    std::vector<WaivedMatter> waived;
    std::vector<Waiver> idle; ///< waivers of matters that are no longer found
    Count count;              ///< of `open`
};

/// How many there are of each severity.
Count countOf(std::span<const Matter> matters);

/// The text by which a waiver knows its matter: "find 1021", "contexts 1012 / 1015".
std::string waiverSubject(const Matter& matter);

Tally tallyOf(std::vector<Matter> matters, std::span<const Waiver> waivers);

/// A waiver for `matter`, not stored yet.
/// Errors: BadInput (no reason, no person).
Result<Waiver> waive(const Matter& matter, const std::string& person, const std::string& reason,
                     const std::string& at);

enum class GroupBy { Drawing, Trench, Person, Severity, Check };

/// "drawing", "trench", "person", "severity", "check".
std::string groupByName(GroupBy by);
Result<GroupBy> groupByNamed(const std::string& name);

struct Group {
    std::string name; ///< empty for matters that have none; comes last
    std::vector<std::size_t> matters;
    Count count;
};

/// Groups in order of their names (numbers in names by value, severities by weight); matters keep their
/// order.
std::vector<Group> groupMatters(std::span<const Matter> matters, GroupBy by);

/// Orders "P-2" before "P-10": runs of digits compare by value, all else by bytes.
bool comesBefore(const std::string& a, const std::string& b);

} // namespace inkpeg
