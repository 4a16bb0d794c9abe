// SPDX-License-Identifier: GPL-3.0-or-later
// Acts on the outlines of the drawing at hand (core/store/OutlineEdits.h).
#include <algorithm>
#include <iterator>
#include <set>

#include "app/window/Session.h"
#include "app/window/Words.h"
#include "core/outline/OutlineActs.h"
#include "core/outline/RunEdit.h"
#include "core/store/OutlineEdits.h"

namespace inkpeg {
bool Session::editDrawn(const QString& what, DrawnOutlines outlines, const OutlinesEdit& edit)
{
    if (!m_project || !m_scene.drawing)
        return false;
    return acted(editOutlines(*m_project, m_drawing, what.toStdString(), std::move(outlines), edit), what);
}

bool Session::editOrMend(const QString& what, DrawnOutlines outlines, const MendableEdit& edit)
{
    DrawnOutlines tried = outlines;
    const Result<void> done = edit(tried, nullptr);
    if (done || done.error().code != ErrorCode::BadInput)
        return editDrawn(what, std::move(outlines), [&](DrawnOutlines& all) -> Result<void> {
            all = std::move(tried);
            return done;
        });
    tried = outlines;
    Mendings mendings;
    if (!edit(tried, &mendings) || mendings.empty())
        return refuse(done.error());
    DrawnOutlines changed;
    std::ranges::copy_if(tried, std::back_inserter(changed), [&](const DrawnOutline& outline) {
        return std::ranges::find(outlines, outline) == outlines.end();
    });
    QString steps;
    for (const MendedOutline& mended : mendings)
        for (const MendStep& step : mended.mended.steps)
            steps += (steps.isEmpty() ? "" : "; ") + words(mended.context + ": " + step.words);
    m_offer = Offer{tr("%1, mended").arg(what), std::move(outlines), std::move(tried)};
    emit said(tr("Not done yet: %1. Enter takes the mending shown, Esc leaves all as it was").arg(steps),
              true);
    emit mendOffered(changed, mendings);
    return false;
}

bool Session::takeMending()
{
    if (!m_offer)
        return false;
    const Offer offer = std::move(*m_offer);
    m_offer.reset();
    return editDrawn(offer.what, offer.before, [&](DrawnOutlines& all) -> Result<void> {
        all = offer.after;
        return {};
    });
}

bool Session::editOne(const QString& what, std::int64_t outline, const ScanBox& about, const OneEdit& edit)
{
    return editDrawn(what, outlinesAbout(about), [&](DrawnOutlines& all) -> Result<void> {
        const Result<std::size_t> index = indexOf(all, outline);
        return index ? edit(all, *index) : Result<void>(index.error());
    });
}

DrawnOutlines Session::outlinesMeeting(const ScanBox& box) const
{
    DrawnOutlines found;
    if (m_scene.drawing)
        for (const std::int64_t id : m_index->meeting(box.grownBy(1)))
            if (const Outline* outline = m_scene.drawing->outlines.byId(id))
                found.push_back({outline->id, outline->context, outline->parts});
    return found;
}

/// What meets the box may be edited, and what meets that may get vertices of it.
DrawnOutlines Session::outlinesAbout(const ScanBox& box) const
{
    ScanBox wide = box;
    for (const DrawnOutline& outline : outlinesMeeting(box))
        wide.take(boxOf(outline.parts));
    return outlinesMeeting(wide);
}

ScanBox Session::boxOfOutlines(const std::vector<std::int64_t>& outlines, const std::string& context) const
{
    ScanBox box;
    const auto take = [&](std::int64_t id) {
        if (const Outline* outline = m_scene.drawing ? m_scene.drawing->outlines.byId(id) : nullptr)
            box.take(boxOf(outline->parts));
    };
    std::ranges::for_each(outlines, take);
    std::ranges::for_each(m_register.outlinesOf(context), take);
    return box;
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
    ScanBox box = boxOfOutlines({}, number);
    box.take(boxOf(parts));
    return editDrawn(tr("trace context %1 on %2").arg(words(number), words(at->number)),
                     outlinesMeeting(box),
                     [&](DrawnOutlines& all) { return addParts(all, number, parts); });
}

bool Session::moveOutlineVertex(ScanPx from, ScanPx to)
{
    return editOrMend(
        tr("move a vertex"), outlinesAbout(boxOf(std::vector<ScanPx>{from, to})),
        [&](DrawnOutlines& all, Mendings* mendings) { return moveVertexOf(all, from, to, mendings); });
}

bool Session::insertOutlineVertex(ScanPx from, ScanPx to, ScanPx at)
{
    return editDrawn(tr("put a vertex in"), outlinesAbout(boxOf(std::vector<ScanPx>{from, to, at})),
                     [&](DrawnOutlines& all) { return insertVertexInto(all, from, to, at); });
}

bool Session::removeOutlineVertex(ScanPx at)
{
    return editOrMend(
        tr("take a vertex out"), outlinesAbout(boxAbout(at, 0)),
        [&](DrawnOutlines& all, Mendings* mendings) { return removeRun(all, {at}, mendings); });
}

bool Session::setOutlineEdgeKind(ScanPx a, ScanPx b, EdgeKind kind)
{
    return editDrawn(tr("call an edge %1").arg(words(edgeKindName(kind))),
                     outlinesAbout(boxOf(std::vector<ScanPx>{a, b})), [&](DrawnOutlines& all) {
                         return setKindOfRun(all, {a, b}, kind);
                     });
}

bool Session::moveOutlineRun(const Run& run, double columnsPx, double rowsPx)
{
    ScanBox box = boxOf(run);
    for (const ScanPx& vertex : run)
        box.take(ScanPx{vertex.column + columnsPx, vertex.row + rowsPx});
    return editOrMend(tr("move a run of %1 vertices").arg(run.size()), outlinesAbout(box),
                      [&](DrawnOutlines& all, Mendings* mendings) {
                          return moveRun(all, run, columnsPx, rowsPx, mendings);
                      });
}

bool Session::removeOutlineRun(const Run& run)
{
    return editOrMend(
        tr("take a run of vertices out"), outlinesAbout(boxOf(run)),
        [&](DrawnOutlines& all, Mendings* mendings) { return removeRun(all, run, mendings); });
}

bool Session::setOutlineRunKind(const Run& run, EdgeKind kind)
{
    return editDrawn(tr("call a run of edges %1").arg(words(edgeKindName(kind))), outlinesAbout(boxOf(run)),
                     [&](DrawnOutlines& all) { return setKindOfRun(all, run, kind); });
}

bool Session::redrawOutlineRun(const std::vector<ScanPx>& line, const std::vector<EdgeKind>& kinds)
{
    return editOrMend(
        tr("draw an edge anew"), outlinesAbout(boxOf(line)),
        [&](DrawnOutlines& all, Mendings* mendings) { return redrawRun(all, line, kinds, mendings); });
}

bool Session::divideOutline(std::int64_t outline, const std::vector<ScanPx>& line, EdgeKind kind,
                            const QString& context)
{
    const std::string number = context.trimmed().toStdString();
    if (number.empty())
        return refuse(
            {ErrorCode::BadInput, "the second piece needs a context number; type it in the field"});
    ScanBox box = boxOfOutlines({outline}, number);
    box.take(boxOf(line));
    return editOne(tr("divide an outline, the second piece is context %1").arg(words(number)), outline, box,
                   [&](DrawnOutlines& all, std::size_t index) {
                       return splitOutline(all, index, line, number, kind);
                   });
}

bool Session::mergeOutlinesOf(std::int64_t kept, std::int64_t other)
{
    return editOne(tr("join two outlines"), kept, boxOfOutlines({kept, other}),
                   [&](DrawnOutlines& all, std::size_t index) -> Result<void> {
                       const Result<std::size_t> second = indexOf(all, other);
                       return second ? mergeOutlines(all, index, *second) : Result<void>(second.error());
                   });
}

bool Session::cutOutlineOut(std::int64_t newer, std::int64_t older)
{
    return editOne(tr("cut an outline out of an older one"), newer, boxOfOutlines({newer, older}),
                   [&](DrawnOutlines& all, std::size_t index) -> Result<void> {
                       const Result<std::size_t> second = indexOf(all, older);
                       return second ? cutOut(all, index, *second) : Result<void>(second.error());
                   });
}

bool Session::holeOutline(std::int64_t outline, const Ring& hole)
{
    return editOne(tr("cut a hole"), outline, boxOfOutlines({outline}),
                   [&](DrawnOutlines& all, std::size_t index) { return addHole(all, index, hole); });
}

bool Session::closeHoleAt(std::int64_t outline, ScanPx at)
{
    return editOne(tr("close a hole"), outline, boxOfOutlines({outline}),
                   [&](DrawnOutlines& all, std::size_t index) { return removeHole(all, index, at); });
}

bool Session::removePartAt(std::int64_t outline, ScanPx at)
{
    return editOne(tr("remove a part of an outline"), outline, boxOfOutlines({outline}),
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
    const Outline* there = m_scene.drawing->outlines.byId(id);
    if (!there)
        return false;
    return act(tr("remove the outline of context %1").arg(words(there->context)),
               [&](Editor& edit) { return edit.remove<Outline>(id); });
}

bool Session::renameOutline(std::int64_t id, const QString& context)
{
    const std::string number = context.trimmed().toStdString();
    if (!m_scene.drawing || number.empty())
        return false;
    const Outline* there = m_scene.drawing->outlines.byId(id);
    if (!there || there->context == number)
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
    std::set<std::string, std::less<>> here;
    for (const Outline& outline : m_scene.drawing->outlines)
        here.insert(outline.context);
    std::set<std::string> related;
    for (const Relation& relation : m_project->all<Relation>())
        if ((relation.kind == RelationKind::Fills || relation.kind == RelationKind::FilledBy) &&
            (here.contains(relation.context) || here.contains(relation.other)))
            related.insert({relation.context, relation.other});
    for (const bool first : {true, false})
        for (const Context& context : m_project->all<Context>())
            if (context.trench == at->trench && !m_register.isDrawn(context.number) &&
                related.contains(context.number) == first)
                undrawn << words(context.number);
    return undrawn;
}

} // namespace inkpeg
