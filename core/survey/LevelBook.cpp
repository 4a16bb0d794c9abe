// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/survey/LevelBook.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

/// A row with its readings in tenths of a millimetre and its place among the set-ups.
struct Sight {
    const LevelRow* row = nullptr;
    std::optional<TenthMm> back, intermediate, fore, benchmark, booked;
    int setUp = 0;

    TenthMm seen() const { return fore ? *fore : intermediate ? *intermediate : *back; }
    bool turns() const { return fore || back; }
};

std::string placeOf(const LevelRow& row)
{
    return (row.line > 0 ? "line " + std::to_string(row.line) + ", " : std::string()) + "point \"" +
           row.point + "\"";
}

Error badRow(const LevelRow& row, const std::string& what)
{
    return {ErrorCode::BadInput, "level book, " + placeOf(row) + ": " + what};
}

std::string millimetres(TenthMm tenths)
{
    return fixed(static_cast<double>(tenths) / 10.0, 1) + " mm";
}
std::string metres(TenthMm tenths)
{
    return fixed(metresFromTenthMm(tenths), tenths % 10 == 0 ? 3 : 4) + " m";
}

Result<std::optional<TenthMm>> tenths(const LevelRow& row, std::optional<double> valueM, const char* what,
                                      double longestM)
{
    if (!valueM)
        return std::optional<TenthMm>();
    if (!std::isfinite(*valueM) || std::abs(*valueM) > longestM)
        return badRow(row, std::string(what) + " " + exact(*valueM) + " is beyond " + fixed(longestM, 1) +
                               " m; give metres, with a minus sign for an inverted staff");
    const double scaled = *valueM * 10'000.0;
    if (std::abs(scaled - std::round(scaled)) > 1e-3)
        return badRow(row, std::string(what) + " " + exact(*valueM) +
                               " is finer than 0.1 mm; give four decimals at most");
    return std::optional<TenthMm>(std::llround(scaled));
}

Result<Sight> sightOf(const LevelRow& row, const LevelSettings& settings)
{
    // Highest place a level can have on the ground, with room; catches levels in millimetres.
    constexpr double HighestM = 10'000.0;
    const auto back = tenths(row, row.backsightM, "backsight", settings.longestStaffM);
    const auto intermediate = tenths(row, row.intermediateM, "intermediate sight", settings.longestStaffM);
    const auto fore = tenths(row, row.foresightM, "foresight", settings.longestStaffM);
    const auto benchmark = tenths(row, row.benchmarkM, "bench mark", HighestM);
    const auto booked = tenths(row, row.bookedM, "booked level", HighestM);
    for (const auto* part : {&back, &intermediate, &fore, &benchmark, &booked})
        if (!*part)
            return part->error();
    if (!*back && !*intermediate && !*fore)
        return badRow(row, "no reading; give a backsight, an intermediate sight or a foresight");
    if (*intermediate && (*back || *fore))
        return badRow(row,
                      "an intermediate sight beside another reading; a change point has a foresight and a "
                      "backsight, any other point one intermediate sight");
    return Sight{&row, *back, *intermediate, *fore, *benchmark, *booked, 0};
}

/// Checks the order of the sights and numbers the set-ups.
Result<void> numberSetUps(std::vector<Sight>& sights)
{
    if (sights.size() < 2)
        return Error{ErrorCode::BadInput,
                     "level book: fewer than two rows; a run needs a backsight and a foresight"};
    if (!sights.front().back || sights.front().fore)
        return badRow(*sights.front().row, "the run must begin with a backsight and no foresight");
    if (!sights.back().fore || sights.back().back)
        return badRow(*sights.back().row, "the run must end with a foresight and no backsight");
    int setUp = 1;
    for (std::size_t i = 0; i < sights.size(); ++i) {
        Sight& sight = sights[i];
        sight.setUp = setUp;
        const bool inside = i > 0 && i + 1 < sights.size();
        if (inside && sight.fore && !sight.back)
            return badRow(*sight.row,
                          "a foresight and no backsight from the next set-up; give the backsight, or "
                          "begin a new book if the run ends here");
        if (inside && sight.back && !sight.fore)
            return badRow(*sight.row,
                          "a backsight and no foresight from the set-up before; give the foresight, or "
                          "begin a new book if a run begins here");
        setUp += inside && sight.back ? 1 : 0;
    }
    return {};
}

/// Some books give a change point two lines: its foresight, then under the same name its backsight.
std::vector<LevelRow> joinedChangePoints(const std::vector<LevelRow>& rows)
{
    std::vector<LevelRow> joined;
    for (const LevelRow& row : rows) {
        LevelRow* last = joined.empty() ? nullptr : &joined.back();
        const bool secondLine =
            last && last->point == row.point && last->foresightM && !last->backsightM && row.backsightM &&
            !row.foresightM && !row.intermediateM &&
            (!last->benchmarkM || !row.benchmarkM || *last->benchmarkM == *row.benchmarkM);
        if (!secondLine) {
            joined.push_back(row);
            continue;
        }
        last->backsightM = row.backsightM;
        last->benchmarkM = last->benchmarkM ? last->benchmarkM : row.benchmarkM;
        last->bookedM = last->bookedM ? last->bookedM : row.bookedM;
    }
    return joined;
}

/// A point that comes again takes the level of its bench mark.
Result<void> spreadBenchmarks(std::vector<Sight>& sights)
{
    std::map<std::string, const Sight*> known;
    for (const Sight& sight : sights) {
        if (!sight.benchmark)
            continue;
        const auto [place, added] = known.emplace(sight.row->point, &sight);
        if (!added && *place->second->benchmark != *sight.benchmark)
            return Error{ErrorCode::Conflict, "level book: bench mark \"" + sight.row->point + "\" is " +
                                                  metres(*place->second->benchmark) + " in " +
                                                  placeOf(*place->second->row) + " and " +
                                                  metres(*sight.benchmark) + " in " + placeOf(*sight.row) +
                                                  "; keep one"};
    }
    if (known.empty())
        return Error{ErrorCode::BadInput,
                     "level book: no bench mark; give the known level of at least one point"};
    for (Sight& sight : sights)
        if (const auto found = known.find(sight.row->point); found != known.end())
            sight.benchmark = found->second->benchmark;
    return {};
}

/// Which rows end legs: bench marks at turning points; the first bench mark of all if none of them turns.
std::vector<std::size_t> anchorsOf(const std::vector<Sight>& sights)
{
    std::vector<std::size_t> anchors;
    for (std::size_t i = 0; i < sights.size(); ++i)
        if (sights[i].benchmark && sights[i].turns())
            anchors.push_back(i);
    if (!anchors.empty())
        return anchors;
    const auto first = std::find_if(sights.begin(), sights.end(),
                                    [](const Sight& sight) { return sight.benchmark.has_value(); });
    return {static_cast<std::size_t>(first - sights.begin())};
}

/// Both reductions from a first level of nought, then shifted so that the datum row has its known level.
void reduceBothWays(const std::vector<Sight>& sights, std::size_t datum, ReducedBook& book)
{
    TenthMm collimation = *sights.front().back;
    TenthMm riseLevel = 0;
    for (std::size_t i = 0; i < sights.size(); ++i) {
        const Sight& sight = sights[i];
        ReducedLevel reduced;
        reduced.booked = *sight.row;
        reduced.setUp = sight.setUp;
        reduced.byCollimation = i == 0 ? 0 : collimation - sight.seen();
        if (i > 0) {
            const Sight& previous = sights[i - 1];
            reduced.riseFromPrevious = (previous.back ? *previous.back : previous.seen()) - sight.seen();
            riseLevel += reduced.riseFromPrevious;
        }
        reduced.byRiseAndFall = riseLevel;
        if (sight.back) {
            collimation = reduced.byCollimation + *sight.back;
            reduced.collimation = collimation;
        }
        book.rows.push_back(std::move(reduced));
    }
    const TenthMm shift = *sights[datum].benchmark - book.rows[datum].byCollimation;
    for (ReducedLevel& row : book.rows) {
        row.byCollimation += shift;
        row.byRiseAndFall += shift;
        if (row.collimation)
            *row.collimation += shift;
    }
    book.setUps = sights.back().setUp;
}

ArithmeticCheck checkArithmetic(const std::vector<Sight>& sights, const std::vector<ReducedLevel>& rows)
{
    ArithmeticCheck check;
    TenthMm collimation = 0;
    for (std::size_t i = 0; i < sights.size(); ++i) {
        check.backsights += sights[i].back.value_or(0);
        check.foresights += sights[i].fore.value_or(0);
        (rows[i].riseFromPrevious > 0 ? check.rises : check.falls) += std::abs(rows[i].riseFromPrevious);
        if (i > 0) {
            check.collimations += collimation;
            check.levelsAndSights += rows[i].byRiseAndFall + sights[i].seen();
        }
        collimation = rows[i].collimation.value_or(collimation);
    }
    check.lastMinusFirst = rows.back().byCollimation - rows.front().byCollimation;
    return check;
}

/// Set-ups passed when going from row `from` to row `to`: a change point counts to the set-up of its
/// foresight, so the leg begins with the set-up after it; the first row belongs to no earlier one.
int setUpsBetween(const std::vector<Sight>& sights, std::size_t from, std::size_t to)
{
    const int left = from == 0 ? 0 : sights[from].setUp;
    return sights[to].setUp - left;
}

LevelLeg closeLeg(const std::vector<Sight>& sights, const ReducedBook& book, std::size_t from,
                  std::size_t to, const LevelSettings& settings)
{
    LevelLeg leg;
    leg.from = sights[from].row->point;
    leg.to = sights[to].row->point;
    leg.setUps = setUpsBetween(sights, from, to);
    leg.misclosure = (book.rows[to].byCollimation - book.rows[from].byCollimation) -
                     (*sights[to].benchmark - *sights[from].benchmark);
    leg.allowedMm = settings.toleranceK * std::sqrt(static_cast<double>(leg.setUps));
    leg.withinTolerance = static_cast<double>(std::abs(leg.misclosure)) <= leg.allowedMm * 10.0 + 1e-9;
    // Rounding the running share, not each share, lets the corrections sum to the misclosure exactly.
    TenthMm given = 0;
    for (int setUp = 1; setUp <= leg.setUps; ++setUp) {
        const double share = static_cast<double>(leg.misclosure) * setUp / leg.setUps;
        const TenthMm running = setUp == leg.setUps ? leg.misclosure : std::llround(share);
        leg.corrections.push_back(given - running);
        given = running;
    }
    return leg;
}

/// Closes every leg and carries the corrections forward; past the last bench mark they stay as they are.
void adjust(const std::vector<Sight>& sights, const std::vector<std::size_t>& anchors,
            const LevelSettings& settings, ReducedBook& book)
{
    std::vector<TenthMm> bySetUp(static_cast<std::size_t>(book.setUps) + 1, 0);
    for (std::size_t a = 0; a + 1 < anchors.size(); ++a) {
        LevelLeg leg = closeLeg(sights, book, anchors[a], anchors[a + 1], settings);
        const int before = anchors[a] == 0 ? 0 : sights[anchors[a]].setUp;
        for (int s = 0; s < leg.setUps; ++s)
            bySetUp[static_cast<std::size_t>(before + s + 1)] =
                leg.corrections[static_cast<std::size_t>(s)];
        if (!leg.withinTolerance)
            book.conflicts.push_back({leg.to, sights[anchors[a + 1]].row->line,
                                      "from " + leg.from + " to " + leg.to + " the levels misclose by " +
                                          millimetres(leg.misclosure) + ", allowed are " +
                                          fixed(leg.allowedMm, 1) + " mm for " +
                                          std::to_string(leg.setUps) + " set-ups"});
        book.legs.push_back(std::move(leg));
    }
    book.closed = !book.legs.empty();
    for (std::size_t s = 1; s < bySetUp.size(); ++s)
        bySetUp[s] += bySetUp[s - 1];
    for (std::size_t i = 0; i < sights.size(); ++i) {
        ReducedLevel& row = book.rows[i];
        row.correction = settings.distribute && i > 0 ? bySetUp[static_cast<std::size_t>(row.setUp)] : 0;
        row.adjusted = row.byCollimation + row.correction;
    }
}

void nameConflicts(const std::vector<Sight>& sights, const LevelSettings& settings, ReducedBook& book)
{
    const auto tolerance = static_cast<TenthMm>(std::llround(settings.checkToleranceMm * 10.0));
    std::map<std::string, std::size_t> seen;
    for (std::size_t i = 0; i < sights.size(); ++i) {
        const Sight& sight = sights[i];
        const ReducedLevel& row = book.rows[i];
        const auto conflict = [&](const std::string& message) {
            book.conflicts.push_back(
                {sight.row->point, sight.row->line, placeOf(*sight.row) + ": " + message});
        };
        // As booked on site: before or after correction, to the millimetre it is written with.
        if (sight.booked && std::abs(*sight.booked - row.byCollimation) > 5 &&
            std::abs(*sight.booked - row.adjusted) > 5)
            conflict("booked as " + metres(*sight.booked) + ", the readings give " +
                     metres(row.byCollimation));
        if (sight.benchmark && !sight.turns() && std::abs(row.adjusted - *sight.benchmark) > tolerance)
            conflict("levelled as " + metres(row.adjusted) + ", known as " + metres(*sight.benchmark) +
                     ": " + millimetres(row.adjusted - *sight.benchmark) + " apart, allowed are " +
                     millimetres(tolerance));
        const auto [place, first] = seen.emplace(sight.row->point, i);
        const TenthMm apart = row.adjusted - book.rows[place->second].adjusted;
        if (!first && !sight.benchmark && std::abs(apart) > tolerance)
            conflict("levelled as " + metres(row.adjusted) + " here and as " +
                     metres(book.rows[place->second].adjusted) + " in " +
                     placeOf(*sights[place->second].row) + ": " + millimetres(apart) +
                     " apart, allowed are " + millimetres(tolerance));
    }
}

} // namespace

bool ReducedBook::withinTolerance() const
{
    return std::all_of(legs.begin(), legs.end(), [](const LevelLeg& leg) { return leg.withinTolerance; });
}

std::optional<double> ReducedBook::levelOfM(std::string_view point) const
{
    const auto found = std::find_if(rows.begin(), rows.end(),
                                    [&](const ReducedLevel& row) { return row.booked.point == point; });
    return found == rows.end() ? std::nullopt : std::optional(found->adjustedM());
}

Result<ReducedBook> reduceLevelBook(const std::vector<LevelRow>& rows, const LevelSettings& settings)
{
    const std::vector<LevelRow> joined = joinedChangePoints(rows);
    std::vector<Sight> sights;
    for (const LevelRow& row : joined) {
        if (row.point.empty())
            return badRow(row, "a point without a name");
        Result<Sight> sight = sightOf(row, settings);
        if (!sight)
            return sight.error();
        sights.push_back(*sight);
    }
    if (auto numbered = numberSetUps(sights); !numbered)
        return numbered.error();
    if (auto spread = spreadBenchmarks(sights); !spread)
        return spread.error();
    const std::vector<std::size_t> anchors = anchorsOf(sights);
    ReducedBook book;
    reduceBothWays(sights, anchors.front(), book);
    book.check = checkArithmetic(sights, book.rows);
    adjust(sights, anchors, settings, book);
    nameConflicts(sights, settings, book);
    return book;
}

} // namespace inkpeg
