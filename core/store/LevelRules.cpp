// SPDX-License-Identifier: GPL-3.0-or-later
// Takes level books in from a register. A book is taken as a whole: its lines mean nothing one by one.
#include <algorithm>
#include <map>

#include "core/checks/LevelBooks.h"
#include "core/store/LevelBookRows.h"
#include "core/store/RegisterRules.h"

namespace inkpeg {

namespace {

struct BookInFile {
    std::vector<LevelReading> readings;
    std::vector<std::size_t> planLines; ///< of each reading, its line in the plan
};

std::map<std::string, BookInFile> booksIn(const CsvTable& table,
                                          const std::vector<std::optional<std::size_t>>& places,
                                          const std::string& nameOfFile, RegisterPlan& plan)
{
    const bool decimalComma = table.reading.separator == ';';
    std::map<std::string, BookInFile> books;
    for (const CsvRow& row : table.rows) {
        ImportLine& line = plan.lines.emplace_back();
        line.line = row.line;
        if (row.fields.size() != table.columns.size()) {
            line.outcome = ImportOutcome::Refused;
            line.message = std::to_string(row.fields.size()) + " fields, the header has " +
                           std::to_string(table.columns.size());
            continue;
        }
        LevelReading reading;
        const auto unreadable = detail::applyCells(reading, row.fields, places, decimalComma);
        line.number = reading.point;
        const auto missing = detail::missingCell<LevelReading>(row.fields, places);
        if (unreadable || missing) {
            line.outcome = ImportOutcome::Refused;
            line.message = unreadable ? *unreadable : *missing;
        }
        if (reading.book.empty())
            reading.book = nameOfFile;
        reading.line = row.line; // as messages name it; put in order later
        BookInFile& book = books[reading.book];
        book.planLines.push_back(plan.lines.size() - 1);
        book.readings.push_back(std::move(reading));
    }
    return books;
}

/// The plan's line that a message of the reduction speaks of: "level book, line 7, point ...".
std::size_t lineSpokenOf(const std::string& message, const BookInFile& book)
{
    for (std::size_t i = 0; i < book.readings.size(); ++i)
        if (message.find("line " + std::to_string(book.readings[i].line) + ",") != std::string::npos)
            return book.planLines[i];
    return book.planLines.front();
}

bool sameReadings(std::vector<LevelReading> a, std::vector<LevelReading> b)
{
    for (std::vector<LevelReading>* readings : {&a, &b})
        for (LevelReading& reading : *readings)
            reading.id = 0;
    return a == b;
}

void planBook(const Project& project, const std::string& name, BookInFile& inFile, RegisterPlan& plan)
{
    const auto anyRefused =
        std::any_of(inFile.planLines.begin(), inFile.planLines.end(),
                    [&](std::size_t line) { return plan.lines[line].outcome == ImportOutcome::Refused; });
    if (anyRefused) { // a gap in a run would shift every level after it
        for (const std::size_t line : inFile.planLines)
            if (plan.lines[line].outcome != ImportOutcome::Refused) {
                plan.lines[line].outcome = ImportOutcome::Refused;
                plan.lines[line].message = "level book " + name + " is taken as a whole, or not at all";
            }
        return;
    }
    LevelBook book = project.byKey<LevelBook>(name).value_or(LevelBook());
    const bool isNew = book.id == 0;
    book.name = name;
    const Result<ReducedBook> reduced = reduceBook(book, inFile.readings);
    if (!reduced) {
        for (const std::size_t line : inFile.planLines) {
            plan.lines[line].outcome = ImportOutcome::Refused;
            plan.lines[line].message = "level book " + name + " is taken as a whole, or not at all";
        }
        plan.lines[lineSpokenOf(reduced.error().message, inFile)].message = reduced.error().message;
        return;
    }
    plan.remarks.push_back("level book " + name + ": " + bookInWords(*reduced));
    for (const LevelConflict& conflict : reduced->conflicts)
        plan.remarks.push_back("level book " + name + ": " + conflict.message);
    for (std::size_t i = 0; i < inFile.readings.size(); ++i)
        inFile.readings[i].line = static_cast<int>(i) + 1;
    const std::vector<LevelReading> held = readingsOf(project, name);
    if (!isNew && sameReadings(held, inFile.readings))
        return;
    for (std::size_t i = 0; i < inFile.planLines.size(); ++i) {
        ImportLine& line = plan.lines[inFile.planLines[i]];
        line.outcome = i >= held.size() ? ImportOutcome::Added : ImportOutcome::Changed;
        if (i < held.size()) {
            LevelReading before = held[i];
            before.id = 0;
            if (before == inFile.readings[i])
                line.outcome = ImportOutcome::Unchanged;
            else
                line.message = detail::changesInWords(before, inFile.readings[i]);
        }
    }
    plan.puts.push_back([book, held, readings = inFile.readings](Editor& edit) {
        return replaceReadings(edit, book, held, readings);
    });
}

} // namespace

RegisterPlan planLevels(const Project& project, const std::filesystem::path& csv, const CsvTable& table,
                        const std::vector<std::optional<std::size_t>>& places, const Progress& progress)
{
    RegisterPlan plan;
    auto books = booksIn(table, places, csv.stem().string(), plan);
    std::size_t planned = 0;
    for (auto& [name, inFile] : books) {
        planBook(project, name, inFile, plan);
        if (!report(progress, double(++planned) / double(books.size()))) {
            plan.stopped = true;
            return plan;
        }
    }
    return plan;
}

} // namespace inkpeg
