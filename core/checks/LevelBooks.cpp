// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/LevelBooks.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

struct Levelled {
    const LevelBook* book = nullptr;
    double levelM = 0;
};

/// Every point of every book that can be reduced, by name.
std::map<std::string, Levelled> levelledPoints(const ProjectRecords& records)
{
    std::map<std::string, Levelled> points;
    for (const LevelBook& book : records.levelBooks)
        if (const Result<ReducedBook> reduced = reduceBook(book, records.levelReadings))
            for (const ReducedLevel& row : reduced->rows)
                points.emplace(row.booked.point, Levelled{&book, row.adjustedM()});
    return points;
}

/// Looks points up and writes down what they are for.
class UseFinder {
public:
    explicit UseFinder(const ProjectRecords& records) : m_points(levelledPoints(records)) {}

    void look(const std::string& point, LevelTarget target, std::int64_t id, const std::string& number,
              const std::optional<double>& heldM, double standardErrorM = 0)
    {
        const auto found = m_points.find(point);
        if (point.empty() || found == m_points.end())
            return;
        const Levelled& levelled = found->second;
        m_uses.push_back({levelled.book->name, point, target, id, number, levelled.levelM, heldM,
                          std::hypot(levelled.book->checkToleranceMm / 1000, 2 * standardErrorM)});
    }

    std::vector<LevelUse> take() { return std::move(m_uses); }

private:
    std::map<std::string, Levelled> m_points;
    std::vector<LevelUse> m_uses;
};

void lookForDatums(const ProjectRecords& records, UseFinder& finder)
{
    for (const Drawing& drawing : records.drawings) {
        if (!showsLevels(drawing.kind))
            continue;
        for (const std::string& point : {"datum " + drawing.number, drawing.number + " datum"})
            finder.look(point, LevelTarget::Datum, drawing.id, drawing.number, drawing.datumM);
        for (const Pin& pin : records.pins)
            if (pin.drawing == drawing.id && pin.onDatum && !pin.datumM)
                finder.look(pin.peg, LevelTarget::Datum, drawing.id, drawing.number, drawing.datumM);
    }
}

} // namespace

std::vector<LevelRow> levelRows(const LevelBook& book, const std::vector<LevelReading>& readings)
{
    std::vector<LevelRow> rows;
    for (const LevelReading& reading : readings)
        if (reading.book == book.name)
            rows.push_back({reading.point, reading.backsightM, reading.intermediateM, reading.foresightM,
                            reading.benchmarkM, reading.bookedM, reading.note, reading.line});
    std::stable_sort(rows.begin(), rows.end(),
                     [](const LevelRow& a, const LevelRow& b) { return a.line < b.line; });
    return rows;
}

Result<ReducedBook> reduceBook(const LevelBook& book, const std::vector<LevelReading>& readings)
{
    LevelSettings settings;
    settings.toleranceK = book.toleranceK;
    settings.checkToleranceMm = book.checkToleranceMm;
    settings.distribute = book.distribute;
    Result<ReducedBook> reduced = reduceLevelBook(levelRows(book, readings), settings);
    if (!reduced)
        return Error{reduced.error().code,
                     (book.name.empty() ? "" : book.name + ": ") + reduced.error().message};
    return reduced;
}

std::string bookInWords(const ReducedBook& book)
{
    std::string words = std::to_string(book.rows.size()) + " points, " + std::to_string(book.setUps) +
                        (book.setUps == 1 ? " set-up; " : " set-ups; ") +
                        (book.check.holds() ? "arithmetic check holds" : "ARITHMETIC CHECK FAILS");
    if (!book.closed)
        words += "; not closed on a bench mark";
    for (const LevelLeg& leg : book.legs)
        words += "; " + leg.from + " to " + leg.to + " miscloses by " +
                 fixed(static_cast<double>(leg.misclosure) / 10, 1) + " mm, allowed " +
                 fixed(leg.allowedMm, 1) + " mm" + (leg.withinTolerance ? "" : ": OUT");
    return words;
}

std::string levelTargetName(LevelTarget target)
{
    switch (target) {
    case LevelTarget::Peg:
        return "peg";
    case LevelTarget::Datum:
        return "datum";
    case LevelTarget::SpotLevel:
        return "spot height";
    case LevelTarget::Find:
        return "find";
    case LevelTarget::Sample:
        return "sample";
    case LevelTarget::TimberTop:
        return "timber";
    }
    return {};
}

bool LevelUse::disagrees() const
{
    constexpr double RoundingM = 1e-9;
    return heldM && std::abs(*heldM - reducedM) > allowedM + RoundingM;
}

std::string LevelUse::inWords() const
{
    const std::string whose =
        levelTargetName(target) +
        (target == LevelTarget::Datum || target == LevelTarget::SpotLevel ? " of " : " ") + number;
    const std::string levelled =
        fixed(reducedM, 3) + " m by level book " + book + (point == number ? "" : " (point " + point + ")");
    if (!heldM)
        return whose + " has no level; it is " + levelled;
    return whose + " is " + fixed(*heldM, 3) + " m, but " + levelled + ": " +
           fixed(std::abs(*heldM - reducedM) * 1000, 1) + " mm apart, allowed are " +
           fixed(allowedM * 1000, 1) + " mm";
}

std::vector<LevelUse> levelUses(const ProjectRecords& records)
{
    UseFinder finder(records);
    for (const Peg& peg : records.pegs)
        finder.look(peg.name, LevelTarget::Peg, peg.id, peg.name, peg.levelM,
                    peg.standardErrorLevelM.value_or(0));
    lookForDatums(records, finder);
    std::map<std::int64_t, std::string> numberOf;
    for (const Drawing& drawing : records.drawings)
        numberOf[drawing.id] = drawing.number;
    for (const SpotLevel& spot : records.spotLevels)
        finder.look(spot.point, LevelTarget::SpotLevel, spot.id, numberOf[spot.drawing], spot.levelM);
    for (const Find& find : records.finds)
        finder.look(find.number, LevelTarget::Find, find.id, find.number, find.levelM, find.standardErrorM);
    for (const Sample& sample : records.samples)
        finder.look(sample.number, LevelTarget::Sample, sample.id, sample.number, sample.levelM,
                    sample.standardErrorM);
    for (const Timber& timber : records.timbers)
        finder.look(timber.number, LevelTarget::TimberTop, timber.id, timber.number, timber.topM,
                    timber.standardErrorM);
    return finder.take();
}

} // namespace inkpeg
