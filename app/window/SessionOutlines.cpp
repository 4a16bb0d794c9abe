// SPDX-License-Identifier: GPL-3.0-or-later
// Acts on the outlines of the drawing at hand (core/store/OutlineEdits.h).
#include <algorithm>
#include <set>

#include "app/window/Session.h"
#include "app/window/Words.h"
#include "core/outline/OutlineActs.h"
#include "core/outline/RunEdit.h"
#include "core/store/OutlineEdits.h"

namespace inkpeg {
bool Session::editDrawn(const QString& what, const OutlinesEdit& edit)
{
    if (!m_project || !m_scene.drawing)
        return false;
    return acted(editOutlines(*m_project, m_drawing, what.toStdString(), edit), what);
}

bool Session::editOne(const QString& what, std::int64_t outline, const OneEdit& edit)
{
    return editDrawn(what, [&](DrawnOutlines& all) -> Result<void> {
        const Result<std::size_t> index = indexOf(all, outline);
        return index ? edit(all, *index) : Result<void>(index.error());
    });
}

bool Session::addOutline(const QString& context, const std::vector<Part>& parts)
{
    const std::optional<Drawing> at = drawing();
    if (!at)
        return false;
    const std::string number = context.trimmed().toStdString();
    if (number.empty())
        return refuse(
            {ErrorCode::BadInput, "an outline needs its context number; type it in the field first"});
    return editDrawn(tr("trace context %1 on %2").arg(words(number), words(at->number)),
                     [&](DrawnOutlines& all) { return addParts(all, number, parts); });
}

bool Session::moveOutlineVertex(ScanPx from, ScanPx to)
{
    return editDrawn(tr("move a vertex"), [&](DrawnOutlines& all) { return moveVertexOf(all, from, to); });
}

bool Session::insertOutlineVertex(ScanPx from, ScanPx to, ScanPx at)
{
    return editDrawn(tr("put a vertex in"),
                     [&](DrawnOutlines& all) { return insertVertexInto(all, from, to, at); });
}

bool Session::removeOutlineVertex(ScanPx at)
{
    return editDrawn(tr("take a vertex out"), [&](DrawnOutlines& all) { return removeRun(all, {at}); });
}

bool Session::setOutlineEdgeKind(ScanPx a, ScanPx b, EdgeKind kind)
{
    return editDrawn(tr("call an edge %1").arg(words(edgeKindName(kind))), [&](DrawnOutlines& all) {
        return setKindOfRun(all, {a, b}, kind);
    });
}

bool Session::moveOutlineRun(const Run& run, double columnsPx, double rowsPx)
{
    return editDrawn(tr("move a run of %1 vertices").arg(run.size()),
                     [&](DrawnOutlines& all) { return moveRun(all, run, columnsPx, rowsPx); });
}

bool Session::removeOutlineRun(const Run& run)
{
    return editDrawn(tr("take a run of vertices out"),
                     [&](DrawnOutlines& all) { return removeRun(all, run); });
}

bool Session::setOutlineRunKind(const Run& run, EdgeKind kind)
{
    return editDrawn(tr("call a run of edges %1").arg(words(edgeKindName(kind))),
                     [&](DrawnOutlines& all) { return setKindOfRun(all, run, kind); });
}

bool Session::redrawOutlineRun(const std::vector<ScanPx>& line, const std::vector<EdgeKind>& kinds)
{
    return editDrawn(tr("draw an edge anew"),
                     [&](DrawnOutlines& all) { return redrawRun(all, line, kinds); });
}

bool Session::divideOutline(std::int64_t outline, const std::vector<ScanPx>& line, EdgeKind kind,
                            const QString& context)
{
    const std::string number = context.trimmed().toStdString();
    if (number.empty())
        return refuse(
            {ErrorCode::BadInput, "the second piece needs a context number; type it in the field"});
    return editOne(tr("divide an outline, the second piece is context %1").arg(words(number)), outline,
                   [&](DrawnOutlines& all, std::size_t index) {
                       return splitOutline(all, index, line, number, kind);
                   });
}

bool Session::mergeOutlinesOf(std::int64_t kept, std::int64_t other)
{
    return editOne(tr("join two outlines"), kept,
                   [&](DrawnOutlines& all, std::size_t index) -> Result<void> {
                       const Result<std::size_t> second = indexOf(all, other);
                       return second ? mergeOutlines(all, index, *second) : Result<void>(second.error());
                   });
}

bool Session::cutOutlineOut(std::int64_t newer, std::int64_t older)
{
    return editOne(tr("cut an outline out of an older one"), newer,
                   [&](DrawnOutlines& all, std::size_t index) -> Result<void> {
                       const Result<std::size_t> second = indexOf(all, older);
                       return second ? cutOut(all, index, *second) : Result<void>(second.error());
                   });
}

bool Session::holeOutline(std::int64_t outline, const Ring& hole)
{
    return editOne(tr("cut a hole"), outline,
                   [&](DrawnOutlines& all, std::size_t index) { return addHole(all, index, hole); });
}

bool Session::closeHoleAt(std::int64_t outline, ScanPx at)
{
    return editOne(tr("close a hole"), outline,
                   [&](DrawnOutlines& all, std::size_t index) { return removeHole(all, index, at); });
}

bool Session::removePartAt(std::int64_t outline, ScanPx at)
{
    return editOne(tr("remove a part of an outline"), outline,
                   [&](DrawnOutlines& all, std::size_t index) { return removePart(all, index, at); });
}

bool Session::copyOutlineTo(std::int64_t outline, const QString& number)
{
    if (!m_project)
        return false;
    const auto to = m_project->byKey<Drawing>(number.trimmed().toStdString());
    if (!to)
        return refuse({ErrorCode::NotFound,
                       "there is no drawing \"" + number.trimmed().toStdString() + "\" in the register"});
    return acted(copyOutline(*m_project, outline, to->id),
                 tr("copy an outline to %1").arg(words(to->number)));
}

bool Session::removeOutline(std::int64_t id)
{
    if (!m_scene.drawing)
        return false;
    const auto there = std::ranges::find(m_scene.drawing->outlines, id, &Outline::id);
    if (there == m_scene.drawing->outlines.end())
        return false;
    return act(tr("remove the outline of context %1").arg(words(there->context)),
               [&](Editor& edit) { return edit.remove<Outline>(id); });
}

bool Session::renameOutline(std::int64_t id, const QString& context)
{
    const std::string number = context.trimmed().toStdString();
    if (!m_scene.drawing || number.empty())
        return false;
    const auto there = std::ranges::find(m_scene.drawing->outlines, id, &Outline::id);
    if (there == m_scene.drawing->outlines.end() || there->context == number)
        return false;
    return act(tr("tie an outline to context %1").arg(words(number)), [&](Editor& edit) {
        Outline outline = *there;
        outline.context = number;
        return edit.put(outline);
    });
}

bool Session::markTraced()
{
    const std::optional<Drawing> at = drawing();
    if (!at)
        return false;
    if (at->stage < Stage::Pinned)
        return refuse({ErrorCode::Conflict,
                       "drawing " + at->number + " is not pinned within tolerance yet; pin it first"});
    if (at->stage >= Stage::Traced)
        return refuse({ErrorCode::Conflict, "drawing " + at->number + " is already traced"});
    if (m_scene.drawing->outlines.empty())
        return refuse(
            {ErrorCode::Conflict, "drawing " + at->number + " has no outline yet; trace one first"});
    return act(tr("%1 is traced").arg(words(at->number)), [&](Editor& edit) {
        Drawing traced = *at;
        traced.stage = Stage::Traced;
        return edit.put(traced);
    });
}

QStringList Session::undrawnContexts() const
{
    QStringList undrawn;
    const std::optional<Drawing> at = drawing();
    if (!isOpen() || !at)
        return undrawn;
    std::set<std::string> drawn;
    for (const Outline& outline : m_project->all<Outline>())
        drawn.insert(outline.context);
    std::set<std::string> related;
    if (m_scene.drawing)
        for (const Relation& relation : m_project->all<Relation>())
            for (const Outline& outline : m_scene.drawing->outlines)
                if ((relation.kind == RelationKind::Fills || relation.kind == RelationKind::FilledBy) &&
                    (relation.context == outline.context || relation.other == outline.context))
                    related.insert({relation.context, relation.other});
    for (const bool first : {true, false})
        for (const Context& context : m_project->all<Context>())
            if (context.trench == at->trench && !drawn.contains(context.number) &&
                related.contains(context.number) == first)
                undrawn << words(context.number);
    return undrawn;
}

} // namespace inkpeg
