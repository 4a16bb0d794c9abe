// SPDX-License-Identifier: GPL-3.0-or-later
// Checks of context records against what is drawn, and of cuts against fills.
#include <set>
#include <unordered_set>

#include "core/base/Text.h"
#include "core/checks/CheckFunctions.h"
#include "core/checks/Evidence.h"

namespace inkpeg {

namespace {

bool isKind(const Context& context, std::string_view kind)
{
    return lowerAscii(trimmed(context.kind)) == kind;
}

/// Every context recorded as the same as `number`, itself included.
std::vector<std::string> sameAs(const Evidence& evidence, const std::string& number)
{
    const std::optional<std::size_t> unit = evidence.sequence().unitOf(number);
    return unit ? evidence.sequence().units[*unit].contexts : std::vector<std::string>{number};
}

struct Drawn {
    bool inPlan = false;
    bool inSection = false;
};

Drawn howDrawn(const Evidence& evidence, const std::string& number)
{
    Drawn drawn;
    for (const std::string& same : sameAs(evidence, number))
        for (const std::size_t i : evidence.outlinesOf(same))
            if (const Drawing* drawing = evidence.drawing(evidence.records.outlines[i].drawing))
                (showsLevels(drawing->kind) ? drawn.inSection : drawn.inPlan) = true;
    // Cuts are often drawn as break-of-slope lines alone.
    return drawn;
}

/// Contexts that have a line (break of slope, ...) on some drawing.
std::unordered_set<std::string> contextsWithLines(const ProjectRecords& records)
{
    std::unordered_set<std::string> with;
    for (const EdgeLine& line : records.edgeLines)
        if (line.kind == LineKind::BreakTop || line.kind == LineKind::BreakBottom)
            with.insert(line.context);
    return with;
}

/// Numbers named on one side or the other of a "fills" relation, whichever way round it was written.
struct FillsRelations {
    std::unordered_set<std::string> fills;
    std::unordered_set<std::string> filled;
};

FillsRelations fillsRelations(const Evidence& evidence)
{
    FillsRelations found;
    const auto note = [&](std::unordered_set<std::string>& set, const std::string& number) {
        for (const std::string& same : sameAs(evidence, number))
            set.insert(same);
    };
    for (const Relation& relation : evidence.records.relations) {
        if (relation.kind == RelationKind::Fills) {
            note(found.fills, relation.context);
            note(found.filled, relation.other);
        } else if (relation.kind == RelationKind::FilledBy) {
            note(found.fills, relation.other);
            note(found.filled, relation.context);
        }
    }
    return found;
}

} // namespace

void checkContextFields(Evidence& evidence, Report& report)
{
    for (const Context& context : evidence.records.contexts) {
        std::string missing;
        const auto miss = [&](const std::string& value, const char* words) {
            if (trimmed(value).empty())
                missing += (missing.empty() ? "" : ", ") + std::string(words);
        };
        miss(context.kind, "its kind");
        miss(context.description, "a description");
        miss(context.recordedBy, "who recorded it");
        miss(context.recordedOn, "the date");
        if (!missing.empty())
            report.about(context, evidence, "context " + context.number + " lacks " + missing,
                         "Fill in the record while the context can still be seen or remembered.");
    }
}

void checkOutlinesWithoutRecord(Evidence& evidence, Report& report)
{
    std::set<std::string> told;
    for (std::size_t i = 0; i < evidence.records.outlines.size(); ++i) {
        const Outline& outline = evidence.records.outlines[i];
        if (evidence.context(outline.context) || !told.insert(outline.context).second)
            continue;
        const Drawing* drawing = evidence.drawing(outline.drawing);
        const std::string where = drawing ? " on drawing " + drawing->number : std::string();
        Matter& matter =
            report.add("context", outline.context,
                       outline.context.empty() ? "an outline" + where + " has no context number"
                                               : "context " + outline.context + " is drawn" + where +
                                                     " but is not in the register",
                       "Find or write the context record, or correct the number on the outline.");
        evidence.showOutline(i, matter);
        matter.person = outline.tracedBy;
    }
}

void checkContextsNotDrawn(Evidence& evidence, Report& report)
{
    const std::unordered_set<std::string> withLines = contextsWithLines(evidence.records);
    for (const Context& context : evidence.records.contexts) {
        const Drawn drawn = howDrawn(evidence, context.number);
        if (drawn.inPlan || drawn.inSection || withLines.contains(context.number))
            continue;
        report.about(context, evidence,
                     "context " + context.number + " is registered but drawn on no plan and no section",
                     "Draw it before it is gone, or trace it where it was drawn.");
    }
}

void checkCutsWithoutSection(Evidence& evidence, Report& report)
{
    for (const Context& context : evidence.records.contexts) {
        if (!isKind(context, "cut"))
            continue;
        const Drawn drawn = howDrawn(evidence, context.number);
        if (drawn.inPlan && !drawn.inSection)
            report.about(context, evidence, "cut " + context.number + " is drawn in plan but in no section",
                         "Draw its section or profile, or trace it where it was drawn.");
    }
}

void checkCutsWithoutFill(Evidence& evidence, Report& report)
{
    const FillsRelations relations = fillsRelations(evidence);
    for (const Context& context : evidence.records.contexts)
        if (isKind(context, "cut") && !relations.filled.contains(context.number))
            report.about(context, evidence, "cut " + context.number + " has no fill recorded",
                         "Record what fills it, or say in the record that it lay open.");
}

void checkFillsWithoutCut(Evidence& evidence, Report& report)
{
    const FillsRelations relations = fillsRelations(evidence);
    for (const Context& context : evidence.records.contexts)
        if (isKind(context, "fill") && !relations.fills.contains(context.number))
            report.about(context, evidence, "fill " + context.number + " fills no recorded cut",
                         "Record the cut that it fills.");
}

} // namespace inkpeg
