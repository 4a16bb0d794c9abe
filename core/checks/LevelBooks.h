// SPDX-License-Identifier: GPL-3.0-or-later
// The project's level books reduced, and what their levels are for: pegs, datums, spot heights, finds,
// samples and timbers that bear the name of a levelled point.
//
//   for (const LevelUse& use : levelUses(records))
//       if (use.disagrees()) tell(use.inWords());
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/checks/ProjectRecords.h"
#include "core/survey/LevelBook.h"

namespace inkpeg {

/// The readings of a book as core/survey reduces them, in the order of their lines.
std::vector<LevelRow> levelRows(const LevelBook& book, const std::vector<LevelReading>& readings);

/// Errors: BadInput, Conflict: as reduceLevelBook, with the book's name in front.
Result<ReducedBook> reduceBook(const LevelBook& book, const std::vector<LevelReading>& readings);

/// "9 points, 3 set-ups; arithmetic check holds; BM1 to BM1 miscloses by 3.0 mm, allowed 8.7 mm".
std::string bookInWords(const ReducedBook& book);

enum class LevelTarget { Peg, Datum, SpotLevel, Find, Sample, TimberTop };

/// "peg", "datum", "spot height", "find", "sample", "timber".
std::string levelTargetName(LevelTarget target);

/// A reduced level and the record that it belongs to.
struct LevelUse {
    std::string book, point;
    LevelTarget target = LevelTarget::Peg;
    std::int64_t id = 0; ///< row of the record
    std::string number;  ///< its name or number; of a datum or spot height, that of the drawing
    double reducedM = 0;
    std::optional<double> heldM; ///< what the record has
    double allowedM = 0;         ///< how far they may lie apart

    bool missing() const { return !heldM; }
    bool disagrees() const;
    std::string inWords() const;
};

/// A point named as a peg (in either frame), a find, a sample, a timber or the point of a spot height is
/// theirs; "datum S-01" or "S-01 datum" is the datum of drawing S-01, as is a nail that was pinned on the
/// datum line. A point levelled twice counts once, where it came first. Books that cannot be reduced give
/// nothing: see reduceBook.
///
/// They may lie apart by the book's tolerance for a point levelled twice and two standard errors of the
/// record, as the root of the sum of their squares (common practice, no source).
std::vector<LevelUse> levelUses(const ProjectRecords& records);

} // namespace inkpeg
