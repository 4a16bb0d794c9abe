// SPDX-License-Identifier: GPL-3.0-or-later
// Checks of the registers themselves: numbers, trenches, people.
#include <algorithm>
#include <cctype>
#include <map>
#include <set>

#include "core/base/Text.h"
#include "core/checks/CheckFunctions.h"
#include "core/checks/Evidence.h"

namespace inkpeg {

namespace {

/// A jump of this many numbers or more is taken as the start of a new block of numbers (common practice, no
/// source).
constexpr long long NewBlock = 50;

/// "P-014b": prefix "p-", value 14, suffix "b". Case, blanks and leading zeros do not make another number.
struct NumberParts {
    std::string prefix;
    std::optional<long long> value;
    std::string suffix;
    auto operator<=>(const NumberParts&) const = default;
};

NumberParts partsOf(std::string_view number)
{
    std::string text = lowerAscii(number);
    std::erase_if(text, [](unsigned char letter) { return std::isspace(letter) != 0; });
    const auto isDigit = [](unsigned char letter) { return std::isdigit(letter) != 0; };
    const auto end = std::find_if(text.rbegin(), text.rend(), isDigit).base();
    const auto begin = std::find_if_not(std::make_reverse_iterator(end), text.rend(), isDigit).base();
    const std::string digits(begin, end);
    return {std::string(text.begin(), begin), digits.empty() ? std::nullopt : parseWhole(digits),
            std::string(end, text.end())};
}

/// One register's numbers with the trench each belongs to.
struct Entry {
    std::string number;
    std::string trench;
};
struct Register {
    std::string kind;
    std::vector<Entry> entries;
};

template<typename Record>
Register registerOf(std::string kind, const std::vector<Record>& records)
{
    Register result{std::move(kind), {}};
    result.entries.reserve(records.size());
    for (const Record& record : records)
        result.entries.push_back({record.number, record.trench});
    return result;
}

std::vector<Register> registersOf(const ProjectRecords& records)
{
    std::vector<Register> all{registerOf("drawing", records.drawings),
                              registerOf("context", records.contexts), registerOf("find", records.finds),
                              registerOf("sample", records.samples), registerOf("timber", records.timbers)};
    Register photographs{"photograph", {}};
    for (const Photograph& photograph : records.photographs)
        photographs.entries.push_back({photograph.number, {}});
    all.push_back(std::move(photographs));
    return all;
}

void reportGaps(const Register& numbers, Report& report)
{
    std::map<std::string, std::map<long long, const Entry*>> byPrefix;
    for (const Entry& entry : numbers.entries) {
        const NumberParts parts = partsOf(entry.number);
        if (parts.value)
            byPrefix[parts.prefix].emplace(*parts.value, &entry);
    }
    for (const auto& [prefix, values] : byPrefix)
        for (auto next = values.begin(), last = next++; next != values.end(); last = next++) {
            const long long missing = next->first - last->first - 1;
            if (missing < 1 || missing >= NewBlock)
                continue;
            const std::string span = last->second->number + " .. " + next->second->number;
            Matter& matter =
                report.add(numbers.kind, span,
                           std::to_string(missing) + " " + numbers.kind +
                               (missing == 1 ? " number is" : " numbers are") + " missing between " +
                               last->second->number + " and " + next->second->number,
                           "Find the missing record, or enter the number as void.");
            matter.trench = last->second->trench;
        }
}

} // namespace

void checkNumbersUsedTwice(Evidence& evidence, Report& report)
{
    for (const Register& numbers : registersOf(evidence.records)) {
        std::map<NumberParts, std::vector<const Entry*>> same;
        for (const Entry& entry : numbers.entries)
            same[partsOf(entry.number)].push_back(&entry);
        for (const auto& [parts, entries] : same) {
            if (entries.size() < 2)
                continue;
            std::string names;
            for (const Entry* entry : entries)
                names += (names.empty() ? "" : " / ") + entry->number;
            Matter& matter = report.add(
                numbers.kind, names,
                std::to_string(entries.size()) + " " + numbers.kind + "s carry one number: " + names,
                "Give all but one of them a number of its own, on the film and in the "
                "register.");
            matter.trench = entries.front()->trench;
            if (numbers.kind == "drawing")
                matter.drawing = entries.front()->number;
        }
    }
}

void checkGapsInNumbers(Evidence& evidence, Report& report)
{
    for (const Register& numbers : registersOf(evidence.records))
        reportGaps(numbers, report);
}

void checkUnknownTrenches(Evidence& evidence, Report& report)
{
    for (const Register& numbers : registersOf(evidence.records)) {
        if (numbers.kind == "photograph")
            continue;
        for (const Entry& entry : numbers.entries) {
            if (evidence.trench(entry.trench))
                continue;
            Matter& matter =
                report.add(numbers.kind, entry.number,
                           entry.trench.empty() ? numbers.kind + " " + entry.number + " names no trench"
                                                : numbers.kind + " " + entry.number + " names trench \"" +
                                                      entry.trench + "\", which is not registered",
                           "Correct the trench, or register it.");
            matter.trench = entry.trench;
            if (numbers.kind == "drawing")
                matter.drawing = entry.number;
        }
    }
}

void checkUnknownPeople(Evidence& evidence, Report& report)
{
    std::map<std::string, std::string> firstUse;
    for (const Drawing& drawing : evidence.records.drawings)
        firstUse.emplace(drawing.drawnBy, "drawing " + drawing.number);
    for (const Context& context : evidence.records.contexts)
        firstUse.emplace(context.recordedBy, "context " + context.number);
    for (const Outline& outline : evidence.records.outlines)
        firstUse.emplace(outline.tracedBy, "the outline of " + outline.context);
    for (const SignOff& signOff : evidence.records.signOffs)
        firstUse.emplace(signOff.person, "the sign-off of " + signOff.subjectKind + " " + signOff.subject);
    for (const auto& [initials, where] : firstUse) {
        if (initials.empty() || evidence.knowsPerson(initials))
            continue;
        report
            .add("person", initials,
                 "the initials " + initials + " (first on " + where + ") belong to nobody in the project",
                 "Add the person, or correct the initials.")
            .person = initials;
    }
}

} // namespace inkpeg
