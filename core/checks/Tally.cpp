// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/Tally.h"

#include <algorithm>
#include <map>
#include <set>
#include <string_view>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

bool isDigit(char letter)
{
    return letter >= '0' && letter <= '9';
}

/// Takes the run of digits at the start of `text`, without leading zeros.
std::string_view takeDigits(std::string_view& text)
{
    while (text.size() > 1 && text[0] == '0' && isDigit(text[1]))
        text.remove_prefix(1);
    std::size_t length = 0;
    while (length < text.size() && isDigit(text[length]))
        ++length;
    const std::string_view digits = text.substr(0, length);
    text.remove_prefix(length);
    return digits;
}

/// Negative, zero or positive.
int compareNatural(std::string_view a, std::string_view b)
{
    while (!a.empty() && !b.empty()) {
        if (isDigit(a[0]) && isDigit(b[0])) {
            const std::string_view one = takeDigits(a), other = takeDigits(b);
            if (one.size() != other.size())
                return one.size() < other.size() ? -1 : 1;
            if (const int order = one.compare(other))
                return order;
            continue;
        }
        if (a[0] != b[0])
            return static_cast<unsigned char>(a[0]) < static_cast<unsigned char>(b[0]) ? -1 : 1;
        a.remove_prefix(1);
        b.remove_prefix(1);
    }
    return a.empty() ? (b.empty() ? 0 : -1) : 1;
}

bool isBefore(const Matter& a, const Matter& b)
{
    if (a.severity != b.severity)
        return a.severity < b.severity;
    for (const auto member : {&Matter::trench, &Matter::drawing, &Matter::check, &Matter::subject})
        if (const int order = compareNatural(a.*member, b.*member))
            return order < 0;
    return false;
}

void count(Count& counted, Severity severity)
{
    switch (severity) {
    case Severity::Must:
        ++counted.must;
        break;
    case Severity::Should:
        ++counted.should;
        break;
    case Severity::Note:
        ++counted.note;
        break;
    }
}

std::string groupOf(const Matter& matter, GroupBy by)
{
    switch (by) {
    case GroupBy::Drawing:
        return matter.drawing;
    case GroupBy::Trench:
        return matter.trench;
    case GroupBy::Person:
        return matter.person;
    case GroupBy::Severity:
        return severityName(matter.severity);
    case GroupBy::Check:
        return matter.check;
    }
    return {};
}

} // namespace

bool comesBefore(const std::string& a, const std::string& b)
{
    const int order = compareNatural(a, b);
    return order < 0 || (order == 0 && a < b);
}

Count countOf(std::span<const Matter> matters)
{
    Count counted;
    for (const Matter& matter : matters)
        count(counted, matter.severity);
    return counted;
}

std::string waiverSubject(const Matter& matter)
{
    return matter.subjectKind + " " + matter.subject;
}

Tally tallyOf(std::vector<Matter> matters, std::span<const Waiver> waivers)
{
    std::map<std::pair<std::string, std::string>, const Waiver*> waiverOf;
    for (const Waiver& waiver : waivers)
        waiverOf[{waiver.check, waiver.subject}] = &waiver;
    std::set<const Waiver*> used;
    Tally tally;
    for (Matter& matter : matters) {
        const auto waiver = waiverOf.find({matter.check, waiverSubject(matter)});
        if (waiver == waiverOf.end()) {
            tally.open.push_back(std::move(matter));
        } else {
            used.insert(waiver->second);
            tally.waived.push_back({std::move(matter), *waiver->second});
        }
    }
    for (const auto& [key, waiver] : waiverOf)
        if (!used.contains(waiver))
            tally.idle.push_back(*waiver);
    tally.count = countOf(tally.open);
    std::stable_sort(tally.open.begin(), tally.open.end(), isBefore);
    return tally;
}

Result<Waiver> waive(const Matter& matter, const std::string& person, const std::string& reason,
                     const std::string& at)
{
    if (trimmed(person).empty())
        return Error{ErrorCode::BadInput,
                     "waiving \"" + matter.words + "\" needs the initials of who waives it"};
    if (trimmed(reason).empty())
        return Error{ErrorCode::BadInput, "waiving \"" + matter.words + "\" needs a reason"};
    Waiver waiver;
    waiver.check = matter.check;
    waiver.subject = waiverSubject(matter);
    waiver.reason = trimmed(reason);
    waiver.person = trimmed(person);
    waiver.at = at;
    return waiver;
}

std::string groupByName(GroupBy by)
{
    switch (by) {
    case GroupBy::Drawing:
        return "drawing";
    case GroupBy::Trench:
        return "trench";
    case GroupBy::Person:
        return "person";
    case GroupBy::Severity:
        return "severity";
    case GroupBy::Check:
        return "check";
    }
    return {};
}

Result<GroupBy> groupByNamed(const std::string& name)
{
    for (const GroupBy by :
         {GroupBy::Drawing, GroupBy::Trench, GroupBy::Person, GroupBy::Severity, GroupBy::Check})
        if (groupByName(by) == name)
            return by;
    return Error{ErrorCode::BadInput, "matters cannot be grouped by \"" + name +
                                          "\"; use drawing, trench, person, severity or check"};
}

std::vector<Group> groupMatters(std::span<const Matter> matters, GroupBy by)
{
    std::map<std::string, std::size_t> place;
    std::vector<Group> groups;
    for (std::size_t i = 0; i < matters.size(); ++i) {
        const auto [found, isNew] = place.try_emplace(groupOf(matters[i], by), groups.size());
        if (isNew)
            groups.push_back({found->first, {}, {}});
        groups[found->second].matters.push_back(i);
        count(groups[found->second].count, matters[i].severity);
    }
    std::sort(groups.begin(), groups.end(), [&](const Group& a, const Group& b) {
        if (by == GroupBy::Severity)
            return matters[a.matters.front()].severity < matters[b.matters.front()].severity;
        if (a.name.empty() != b.name.empty())
            return b.name.empty();
        return comesBefore(a.name, b.name);
    });
    return groups;
}

} // namespace inkpeg
