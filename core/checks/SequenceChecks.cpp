// SPDX-License-Identifier: GPL-3.0-or-later
// Checks of the stratigraphic sequence.
#include <algorithm>
#include <cmath>
#include <set>
#include <unordered_map>

#include "core/base/Text.h"
#include "core/checks/CheckFunctions.h"
#include "core/checks/Evidence.h"

namespace inkpeg {

namespace {

/// Levels read with a staff on rough ground (common practice, no source).
constexpr double LevelToleranceM = 0.05;

std::string kindInWords(RelationKind kind)
{
    switch (kind) {
    case RelationKind::Above:
        return "is above";
    case RelationKind::Below:
        return "is below";
    case RelationKind::Cuts:
        return "cuts";
    case RelationKind::CutBy:
        return "is cut by";
    case RelationKind::Fills:
        return "fills";
    case RelationKind::FilledBy:
        return "is filled by";
    case RelationKind::SameAs:
        return "is the same as";
    case RelationKind::Abuts:
        return "abuts";
    }
    return {};
}

std::string inWords(const Relation& relation)
{
    return relation.context + " " + kindInWords(relation.kind) + " " + relation.other;
}

/// "1012 = 1013" for contexts recorded as the same.
std::string unitName(const Stratigraphy& sequence, std::size_t unit)
{
    std::string name;
    for (const std::string& context : sequence.units[unit].contexts)
        name += (name.empty() ? "" : " = ") + context;
    return name;
}

Matter& aboutContexts(const Evidence& evidence, Report& report, const std::string& kind,
                      std::string subject, const std::string& shown, std::string words,
                      std::string whatToDo)
{
    Matter& matter = report.add(kind, std::move(subject), std::move(words), std::move(whatToDo));
    if (const Context* context = evidence.context(shown)) {
        matter.trench = context->trench;
        matter.person = context->recordedBy;
    }
    evidence.showContext(shown, matter);
    return matter;
}

/// The highest and lowest level known for a context: its record, and the levels written on drawings.
struct Levels {
    std::optional<double> topM, bottomM;
};

std::optional<double> higher(std::optional<double> a, std::optional<double> b)
{
    return a && b ? std::max(*a, *b) : a ? a : b;
}

std::unordered_map<std::string, double> highestSpotLevels(const ProjectRecords& records)
{
    std::unordered_map<std::string, double> highest;
    for (const SpotLevel& level : records.spotLevels) {
        const auto [place, isNew] = highest.try_emplace(level.context, level.levelM);
        if (!isNew)
            place->second = std::max(place->second, level.levelM);
    }
    return highest;
}

} // namespace

void checkRelationsToUnknown(Evidence& evidence, Report& report)
{
    std::set<std::string> told;
    for (const Relation& relation : evidence.records.relations)
        for (const std::string* number : {&relation.context, &relation.other}) {
            if (evidence.context(*number) || !told.insert(*number).second)
                continue;
            const std::string& written = number == &relation.context ? relation.other : relation.context;
            aboutContexts(evidence, report, "context", *number, written,
                          "\"" + inWords(relation) + "\": context " +
                              (number->empty() ? "(none)" : *number) + " is not in the register",
                          "Find or write its record, or correct the relation.");
        }
}

void checkRelationsToItself(Evidence& evidence, Report& report)
{
    for (const std::size_t i : evidence.sequence().selfRelations) {
        const Relation& relation = evidence.records.relations[i];
        const bool plainly = relation.context == relation.other;
        aboutContexts(
            evidence, report, "contexts", relation.context + " / " + relation.other, relation.context,
            "\"" + inWords(relation) + "\"" +
                (plainly ? " relates a context to itself" : ", but the two are recorded as the same"),
            "Correct the relation, or the same-as.");
    }
}

void checkLoops(Evidence& evidence, Report& report)
{
    const Stratigraphy& sequence = evidence.sequence();
    for (const Loop& loop : findLoops(sequence)) {
        std::string subject, words;
        for (const std::size_t unit : loop.units) {
            const std::string name = unitName(sequence, unit);
            subject += (subject.empty() ? "" : " / ") + name;
            words += name + " is later than ";
        }
        words += unitName(sequence, loop.units.front());
        if (loop.tangle > loop.units.size())
            words += " (" + std::to_string(loop.tangle) + " contexts in all are caught up with this loop)";
        aboutContexts(evidence, report, "contexts", subject,
                      sequence.units[loop.units.front()].contexts.front(), words,
                      "One of these relations is wrong: look at each edge again while it stands.");
    }
}

void checkRedundantRelations(Evidence& evidence, Report& report)
{
    const Stratigraphy& sequence = evidence.sequence();
    for (const std::size_t i : redundantSteps(sequence))
        for (const std::size_t index : sequence.steps[i].relations) {
            const Relation& relation = evidence.records.relations[index];
            // "cuts" and "fills" say more than which is later.
            if (relation.kind != RelationKind::Above && relation.kind != RelationKind::Below)
                continue;
            aboutContexts(evidence, report, "contexts", relation.context + " / " + relation.other,
                          relation.context, "\"" + inWords(relation) + "\" follows from other relations",
                          "Nothing has to be done; the diagram leaves it out.");
        }
}

void checkLevelsAgainstSequence(Evidence& evidence, Report& report)
{
    const std::unordered_map<std::string, double> spots = highestSpotLevels(evidence.records);
    const auto topOf = [&](const Context& context) {
        const auto spot = spots.find(context.number);
        return higher(context.topM, spot == spots.end() ? std::nullopt : std::optional(spot->second));
    };
    std::set<std::pair<std::string, std::string>> told;
    for (const Relation& relation : evidence.records.relations) {
        if (!isSequence(relation.kind))
            continue;
        const Context* later = evidence.context(relation.context);
        const Context* earlier = evidence.context(relation.other);
        if (!contextIsLater(relation.kind))
            std::swap(later, earlier);
        if (!later || !earlier)
            continue;
        // Ground slopes: only what lies wholly under the other contradicts the relation for certain.
        const std::optional<double> topM = topOf(*later);
        if (!topM || !earlier->bottomM || *topM >= *earlier->bottomM - LevelToleranceM ||
            !told.emplace(later->number, earlier->number).second)
            continue;
        aboutContexts(evidence, report, "contexts", later->number + " / " + earlier->number, later->number,
                      "\"" + inWords(relation) + "\", but the top of " + later->number + " (" +
                          fixed(*topM, 2) + " m) is under the bottom of " + earlier->number + " (" +
                          fixed(*earlier->bottomM, 2) + " m)",
                      "Read the levels again, or turn the relation round.");
    }
}

} // namespace inkpeg
