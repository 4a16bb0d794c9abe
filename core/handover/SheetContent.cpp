// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/SheetContent.h"

#include <algorithm>
#include <map>
#include <set>

#include "core/checks/Tally.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

using Names = std::set<std::string>;

Error notFound(const std::string& words)
{
    return {ErrorCode::NotFound, words};
}

/// Says which context, drawing, trench and period may show; built once for a choice.
class Chosen {
public:
    Chosen(const Project& project, const PlanChoice& choice)
        : m_choice(choice), m_drawings(choice.drawings.begin(), choice.drawings.end()),
          m_contexts(choice.contexts.begin(), choice.contexts.end())
    {
        for (const Context& context : project.all<Context>())
            m_register[context.number] = context;
        for (const Drawing& drawing : project.all<Drawing>())
            m_trenchOfDrawing[drawing.number] = drawing.trench;
        for (const Trench& trench : project.all<Trench>())
            m_trenches.insert(trench.name);
    }

    /// What was named and is nowhere.
    Result<void> namesAreKnown(const DrawnWork& work) const
    {
        for (const std::string& drawing : m_choice.drawings)
            if (!m_trenchOfDrawing.contains(drawing))
                return notFound("drawing \"" + drawing + "\" is not in the register");
        const std::vector<std::string> drawn = contextsOnPlans(work);
        for (const std::string& context : m_choice.contexts)
            if (std::find(drawn.begin(), drawn.end(), context) == drawn.end())
                return notFound("context \"" + context + "\" has no outline on a pinned plan");
        if (!m_choice.trench.empty() && !m_trenches.contains(m_choice.trench))
            return notFound("trench \"" + m_choice.trench + "\" is not in the register");
        const auto ofPeriod = [&](const auto& entry) { return entry.second.period == m_choice.period; };
        if (!m_choice.period.empty() && std::none_of(m_register.begin(), m_register.end(), ofPeriod))
            return notFound("no context of the register is of period \"" + m_choice.period + "\"");
        return {};
    }

    bool drawingShows(const std::string& drawing) const
    {
        const auto trench = m_trenchOfDrawing.find(drawing);
        return (m_drawings.empty() || m_drawings.contains(drawing)) &&
               (m_choice.trench.empty() ||
                (trench != m_trenchOfDrawing.end() && trench->second == m_choice.trench));
    }

    bool contextShows(const std::string& context) const
    {
        if (!m_contexts.empty() && !m_contexts.contains(context))
            return false;
        const auto record = m_register.find(context);
        return m_choice.period.empty() ||
               (record != m_register.end() && record->second.period == m_choice.period);
    }

    /// Lines and levels may belong to no context: they show with their drawing unless contexts are chosen.
    bool shows(const std::string& drawing, const std::string& context) const
    {
        const bool narrowed = !m_contexts.empty() || !m_choice.period.empty();
        return drawingShows(drawing) && (context.empty() ? !narrowed : contextShows(context));
    }

    std::string title() const
    {
        std::string title;
        const auto add = [&](const std::string& words) { title += (title.empty() ? "" : ", ") + words; };
        addNumbers("Context ", "Contexts ", " contexts", m_choice.contexts, add);
        if (!m_choice.trench.empty())
            add("Trench " + m_choice.trench);
        if (!m_choice.period.empty())
            add(m_choice.period);
        addNumbers("Plan ", "Plans ", " drawings", m_choice.drawings, add);
        return title.empty() ? "All plans" : title;
    }

private:
    /// The numbers themselves while they can be read at a glance, else how many there are.
    template<typename Add>
    static void addNumbers(const char* one, const char* some, const char* many,
                           const std::vector<std::string>& numbers, const Add& add)
    {
        constexpr std::size_t AtAGlance = 6;
        if (numbers.empty())
            return;
        if (numbers.size() > AtAGlance)
            return add(std::to_string(numbers.size()) + many);
        std::string list;
        for (const std::string& number : numbers)
            list += (list.empty() ? "" : ", ") + number;
        add((numbers.size() == 1 ? one : some) + list);
    }

    const PlanChoice& m_choice;
    Names m_drawings, m_contexts, m_trenches;
    std::map<std::string, Context> m_register;
    std::map<std::string, std::string> m_trenchOfDrawing;
};

/// What is said of the whole sheet, from what is on it.
void sumUp(SheetContent& content, const DrawnWork& work)
{
    Names drawings;
    for (const OutlineRow& outline : content.outlines) {
        drawings.insert(outline.drawing);
        content.signedOff += outline.outline.stage == Stage::SignedOff ? 1 : 0;
        content.largestErrorM = std::max(content.largestErrorM, worstError(outline.parts).totalM());
    }
    for (const EdgeLineRow& line : content.lines) {
        drawings.insert(line.drawing);
        for (const GroundVertex& vertex : line.vertices)
            content.largestErrorM = std::max(content.largestErrorM, vertex.error.totalM());
    }
    for (const SpotLevelRow& level : content.levels)
        drawings.insert(level.drawing);
    for (const DrawingRow& row : work.drawings)
        if (drawings.contains(row.drawing.number))
            content.drawnScale = std::max(content.drawnScale, row.drawing.scaleDenominator);
    content.drawings.assign(drawings.begin(), drawings.end());
    std::sort(content.drawings.begin(), content.drawings.end(), comesBefore);
}

Names contextsShown(const SheetContent& content)
{
    Names contexts;
    for (const OutlineRow& outline : content.outlines)
        contexts.insert(outline.outline.context);
    return contexts;
}

template<typename Record>
void addSurveyed(const Project& project, const Chosen& chosen, PointKind kind, SheetContent& content)
{
    const Names shown = contextsShown(content);
    for (const Record& record : project.all<Record>()) {
        if (!record.position || !shown.contains(record.context) || !chosen.contextShows(record.context))
            continue;
        DrawnPointRow row;
        row.point.kind = kind;
        row.point.number = record.number;
        row.place.at = *record.position;
        content.points.push_back(std::move(row));
    }
}

} // namespace

Result<SheetContent> planContent(const Project& project, const DrawnWork& work, const PlanChoice& choice)
{
    const Chosen chosen(project, choice);
    if (const Result<void> known = chosen.namesAreKnown(work); !known)
        return known.error();
    SheetContent content;
    content.title = chosen.title();
    for (const OutlineRow& row : work.plan.outlines)
        if (chosen.drawingShows(row.drawing) && chosen.contextShows(row.outline.context))
            content.outlines.push_back(row);
    for (const EdgeLineRow& row : work.plan.lines)
        if (chosen.shows(row.drawing, row.line.context))
            content.lines.push_back(row);
    for (const SpotLevelRow& row : work.plan.levels)
        if (chosen.shows(row.drawing, row.level.context))
            content.levels.push_back(row);
    for (const DrawnPointRow& row : work.plan.points)
        if (chosen.shows(row.drawing, {}))
            content.points.push_back(row);
    if (content.outlines.empty() && content.lines.empty())
        return notFound("nothing that is drawn and pinned answers to " + content.title +
                        "; trace it first, or choose less narrowly");
    if (choice.surveyedFinds) {
        addSurveyed<Find>(project, chosen, PointKind::Find, content);
        addSurveyed<Sample>(project, chosen, PointKind::Sample, content);
        addSurveyed<Timber>(project, chosen, PointKind::Timber, content);
    }
    const Names shown = contextsShown(content);
    for (PostOutline& post : postsFromAbove(project))
        if (shown.contains(post.context))
            content.posts.push_back(std::move(post));
    sumUp(content, work);
    Names trenches;
    for (const DrawingRow& row : work.drawings)
        if (std::find(content.drawings.begin(), content.drawings.end(), row.drawing.number) !=
            content.drawings.end())
            trenches.insert(row.drawing.trench);
    for (Trench& trench : project.all<Trench>())
        if (trenches.contains(trench.name) && trench.limit.size() >= 3)
            content.limits.push_back(std::move(trench));
    return content;
}

Result<SheetContent> sectionContent(const Project& project, const DrawnWork& work,
                                    const std::string& drawing)
{
    const auto found = std::find_if(work.drawings.begin(), work.drawings.end(),
                                    [&](const DrawingRow& row) { return row.drawing.number == drawing; });
    if (found == work.drawings.end() || !project.byKey<Drawing>(drawing))
        return notFound("drawing \"" + drawing + "\" is not in the register");
    if (!isUpright(found->drawing.kind))
        return Error{ErrorCode::BadInput, "drawing " + drawing + " is a plan; ask for it among the plans"};
    if (!found->ground)
        return Error{ErrorCode::Unsolvable, found->whyNot};
    SheetContent content;
    std::string kind = nameOf(found->drawing.kind);
    kind.front() = static_cast<char>(kind.front() - 'a' + 'A');
    content.title =
        kind + " " + drawing + (found->drawing.title.empty() ? std::string() : ", " + found->drawing.title);
    const auto take = [&](const auto& rows, auto& into) {
        std::copy_if(rows.begin(), rows.end(), std::back_inserter(into),
                     [&](const auto& row) { return row.drawing == drawing; });
    };
    take(work.section.outlines, content.outlines);
    take(work.section.lines, content.lines);
    take(work.section.levels, content.levels);
    take(work.section.points, content.points);
    take(work.sectionLines, content.section);
    content.posts = postsOnFace(project, *found->ground->section);
    sumUp(content, work);
    content.drawings = {drawing};
    content.drawnScale = found->drawing.scaleDenominator;
    return content;
}

std::vector<std::string> contextsOnPlans(const DrawnWork& work)
{
    Names contexts;
    for (const OutlineRow& row : work.plan.outlines)
        contexts.insert(row.outline.context);
    std::vector<std::string> sorted(contexts.begin(), contexts.end());
    std::sort(sorted.begin(), sorted.end(), comesBefore);
    return sorted;
}

std::vector<std::string> drawnSections(const DrawnWork& work)
{
    Names drawn;
    for (const OutlineRow& row : work.section.outlines)
        drawn.insert(row.drawing);
    for (const EdgeLineRow& row : work.section.lines)
        drawn.insert(row.drawing);
    std::vector<std::string> sorted(drawn.begin(), drawn.end());
    std::sort(sorted.begin(), sorted.end(), comesBefore);
    return sorted;
}

} // namespace inkpeg
