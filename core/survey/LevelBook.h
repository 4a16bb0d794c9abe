// SPDX-License-Identifier: GPL-3.0-or-later
// A level book: staff readings from bench marks through change points, reduced both ways, checked and
// adjusted.
//
//   const Result<std::vector<LevelRow>> rows = readLevelBook(text, "levels.csv");
//   const Result<ReducedBook> book = reduceLevelBook(*rows, {.toleranceK = 5});
//   book->rows[3].adjustedM();               // level of the fourth point
//   for (const LevelConflict& conflict : book->conflicts) tell(conflict.message);
//
// All arithmetic is in whole tenths of a millimetre, so that checks hold exactly and corrections sum to
// zero exactly.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/Result.h"

namespace inkpeg {

/// A length in whole tenths of a millimetre.
using TenthMm = std::int64_t;

inline double metresFromTenthMm(TenthMm tenths)
{
    return static_cast<double>(tenths) / 10'000.0;
}

/// One line of the book as booked. Exactly one reading, or a backsight and a foresight (a change point).
/// A reading on an inverted staff (held up to a soffit or the underside of a beam) is booked with a minus
/// sign. Units: metres, at most four decimals.
struct LevelRow {
    std::string point = {};
    std::optional<double> backsightM = {};
    std::optional<double> intermediateM = {};
    std::optional<double> foresightM = {};
    std::optional<double> benchmarkM = {}; ///< known level of the point
    std::optional<double> bookedM = {};    ///< reduced level as worked out on site, to be checked
    std::string note = {};
    int line = 0; ///< line in the file it came from; 0 = typed in
    bool operator==(const LevelRow&) const = default;
};

struct LevelSettings {
    /// Misclosure allowed: k times root of the number of set-ups, in mm (common practice).
    double toleranceK = 5.0;
    double longestStaffM = 5.0; ///< a reading beyond it is taken for a slip of units (common practice)
    /// One point seen twice from known heights may differ by this (common practice).
    double checkToleranceMm = 3;
    bool distribute = true; ///< spread the misclosure of each leg evenly over its set-ups
};

/// One point of the book, reduced.
struct ReducedLevel {
    LevelRow booked;
    int setUp = 0; ///< counted from 1; a change point counts to the set-up of its foresight
    std::optional<TenthMm> collimation; ///< height of collimation of the set-up that its backsight opens
    TenthMm riseFromPrevious = 0;       ///< fall when negative; 0 on the first row
    TenthMm byCollimation = 0;          ///< level before correction
    TenthMm byRiseAndFall = 0;          ///< the same, worked out the other way
    TenthMm correction = 0;             ///< from distributing the misclosure
    TenthMm adjusted = 0;               ///< level to use

    double adjustedM() const { return metresFromTenthMm(adjusted); }
};

/// Sum of backsights - sum of foresights = sum of rises - sum of falls = last level - first level, and
/// sum of heights of collimation as often as each was used = sum of levels but the first + sum of
/// intermediate sights and foresights.
struct ArithmeticCheck {
    TenthMm backsights = 0, foresights = 0, rises = 0, falls = 0, lastMinusFirst = 0;
    TenthMm collimations = 0, levelsAndSights = 0;

    bool holds() const
    {
        return backsights - foresights == rises - falls && rises - falls == lastMinusFirst &&
               collimations == levelsAndSights;
    }
};

/// Levels carried from one bench mark to the next (or back to the first).
struct LevelLeg {
    std::string from, to;
    int setUps = 0;
    TenthMm misclosure = 0; ///< levelled - known, of this leg alone
    double allowedMm = 0;
    bool withinTolerance = true;
    std::vector<TenthMm> corrections; ///< one for each set-up; misclosure + sum of corrections is exactly 0
};

struct LevelConflict {
    std::string point;
    int line = 0;
    std::string message;
};

struct ReducedBook {
    std::vector<ReducedLevel> rows;
    ArithmeticCheck check;
    std::vector<LevelLeg> legs; ///< empty if no second bench mark closes the book
    std::vector<LevelConflict> conflicts;
    int setUps = 0;
    bool closed = false; ///< at least one leg

    bool withinTolerance() const;

    /// The level to use for `point` (its first occurrence), in metres.
    std::optional<double> levelOfM(std::string_view point) const;
};

/// Reads CSV with columns point, bs, is, fs and optionally benchmark, booked, note (also in full:
/// backsight, intermediate, foresight; `rl` is read as booked). Errors: BadInput naming file, line and
/// field.
Result<std::vector<LevelRow>> readLevelBook(std::string_view text, const std::string& name);

/// Reduces a book of one run. A bench mark that stands at a change point, the first or the last row ends a
/// leg; one seen as an intermediate sight is a check, or the datum if there is no other. A point that comes
/// again under the name of a bench mark takes its level. Levels before the first bench mark are carried
/// back from it.
///
/// Errors: BadInput (a row without reading, with an intermediate sight beside another, a run that does not
///         begin with a backsight or end with a foresight, a foresight after which no backsight follows,
///         readings finer than 0.1 mm or longer than the staff; no bench mark); Conflict (one bench mark with
///         two levels).
/// Source: Punmia, Surveying vol. I, chapter on levelling (both reductions, arithmetic check, from memory);
///         misclosure +-k sqrt(n) mm and its even distribution over the set-ups: common practice, no
///         source.
Result<ReducedBook> reduceLevelBook(const std::vector<LevelRow>& rows, const LevelSettings& settings = {});

} // namespace inkpeg
