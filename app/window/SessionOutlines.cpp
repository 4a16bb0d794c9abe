// SPDX-License-Identifier: GPL-3.0-or-later
// Acts on the outlines of the drawing at hand. Each outline is checked before it is stored.
#include <algorithm>
#include <set>

#include <QDateTime>

#include "app/window/Session.h"
#include "app/window/Words.h"
#include "core/outline/OutlineEdit.h"
#include "core/outline/Validity.h"

namespace inkpeg {
namespace {

Result<void> checked(const Outline& outline)
{
    const Result<void> sound = checkParts(outline.parts);
    if (sound)
        return {};
    return Error{sound.error().code, "context " + outline.context + ": " + sound.error().message};
}

std::string nowUtc()
{
    return QDateTime::currentDateTimeUtc().toString(Qt::ISODate).toStdString();
}

} // namespace

bool Session::addOutline(const QString& context, const Ring& ring,
                         const std::vector<EdgeInsertion>& insertions)
{
    const std::optional<Drawing> at = drawing();
    if (!at)
        return false;
    const std::string number = context.trimmed().toStdString();
    if (number.empty())
        return refuse(
            {ErrorCode::BadInput, "an outline needs its context number; type it in the field first"});
    return act(tr("trace context %1 on %2").arg(words(number), words(at->number)),
               [&](Editor& edit) -> Result<void> {
                   // A context may show in several parts on one drawing: a new ring joins the outline that
                   // is there.
                   Outline outline;
                   for (const Outline& there : m_scene.drawing->outlines)
                       if (there.context == number)
                           outline = there;
                   outline.drawing = m_drawing;
                   outline.context = number;
                   outline.tracedBy = m_project->person();
                   outline.tracedAt = nowUtc();
                   outline.parts.push_back({ring, {}});
                   if (auto sound = checked(outline); !sound)
                       return sound;
                   if (auto put = edit.put(outline); !put)
                       return put;
                   for (Outline neighbour : m_scene.drawing->outlines) {
                       if (neighbour.id == outline.id)
                           continue;
                       bool touched = false;
                       for (const EdgeInsertion& insertion : insertions)
                           touched =
                               insertVertex(neighbour.parts, insertion.from, insertion.to, insertion.at) ||
                               touched;
                       if (!touched)
                           continue;
                       if (auto put = edit.put(neighbour); !put)
                           return put;
                   }
                   return {};
               });
}

bool Session::editOutlines(const QString& what, const PartsEdit& change)
{
    if (!m_scene.drawing)
        return false;
    return act(what, [&](Editor& edit) -> Result<void> {
        for (Outline outline : m_scene.drawing->outlines) {
            const Result<bool> changed = change(outline.parts);
            if (!changed)
                return Error{changed.error().code,
                             "context " + outline.context + ": " + changed.error().message};
            if (!*changed)
                continue;
            if (auto sound = checked(outline); !sound)
                return sound;
            if (auto put = edit.put(outline); !put)
                return put;
        }
        return {};
    });
}

bool Session::moveOutlineVertex(ScanPx from, ScanPx to)
{
    return editOutlines(tr("move a vertex"),
                        [&](std::vector<Part>& parts) { return moveVertex(parts, from, onLattice(to)); });
}

bool Session::insertOutlineVertex(const EdgeInsertion& insertion)
{
    return editOutlines(tr("put a vertex in"), [&](std::vector<Part>& parts) -> Result<bool> {
        return insertVertex(parts, insertion.from, insertion.to, insertion.at);
    });
}

bool Session::removeOutlineVertex(ScanPx at)
{
    return editOutlines(tr("take a vertex out"),
                        [&](std::vector<Part>& parts) { return removeVertex(parts, at); });
}

bool Session::setOutlineEdgeKind(ScanPx a, ScanPx b, EdgeKind kind)
{
    return editOutlines(
        tr("call an edge %1").arg(words(edgeKindName(kind))),
        [&](std::vector<Part>& parts) -> Result<bool> { return setEdgeKind(parts, a, b, kind); });
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
