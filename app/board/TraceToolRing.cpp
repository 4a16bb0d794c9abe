// SPDX-License-Identifier: GPL-3.0-or-later
// The ring that the tracing tool draws: its vertices, the pencil and the edges that it follows, and what
// becomes of it when it is closed.
#include <algorithm>
#include <cmath>

#include "app/board/Board.h"
#include "app/board/TraceTool.h"
#include "core/outline/Validity.h"

namespace inkpeg {

std::optional<ScanPx> TraceTool::ringStart() const
{
    return m_ring.vertices.size() >= 3 ? std::optional(m_ring.vertices.front()) : std::nullopt;
}

void TraceTool::addVertex(const BoardPointer& pointer)
{
    if (!pointer.scan || m_mending)
        return;
    const Snap snap = snapAt(pointer);
    if (snap.to == Snap::To::Start) {
        close();
        return;
    }
    if (!m_ring.vertices.empty() && m_ring.vertices.back() == snap.at)
        return;
    if (!m_ring.vertices.empty())
        for (const ScanPx& vertex : m_ink.between(m_ring.vertices.back(), snap.at))
            push(vertex);
    push(snap.at);
    m_clicked.push_back(m_ring.vertices.size());
    if (snap.to != Snap::To::Ink && snap.to != Snap::To::InkJunction)
        m_held.push_back(snap.at);
    announce();
}

void TraceTool::push(ScanPx vertex)
{
    if (!m_ring.vertices.empty())
        m_ring.kinds.back() = m_nextKind;
    m_ring.vertices.push_back(vertex);
    m_ring.kinds.push_back(m_nextKind);
}

void TraceTool::enclose(const BoardPointer& pointer)
{
    if (!pointer.scan || m_mending)
        return;
    if (m_ink.proposalHolds(*pointer.scan)) {
        takeProposal(pointer.modifiers & Qt::AltModifier);
        return;
    }
    emit refused(m_ink.propose(*pointer.scan));
    announce();
}

Ring TraceTool::proposedRing() const
{
    Ring ring;
    if (const InkArea* area = m_ink.proposal())
        for (const ScanPx& vertex : area->vertices)
            if (const ScanPx at = onLattice(vertex); ring.vertices.empty() || ring.vertices.back() != at)
                ring.vertices.push_back(at);
    ring.kinds.assign(ring.vertices.size(), m_nextKind);
    return ring;
}

void TraceTool::takeProposal(bool asThePencilLies)
{
    if (m_ink.proposing())
        closeWith(asThePencilLies ? proposedRing() : joined(proposedRing()).ring);
}

Ring TraceTool::closedRing() const
{
    Ring closed = m_ring;
    if (closed.vertices.empty())
        return closed;
    const std::vector<ScanPx> home = m_ink.between(closed.vertices.back(), closed.vertices.front());
    closed.kinds.back() = m_nextKind;
    closed.vertices.insert(closed.vertices.end(), home.begin(), home.end());
    closed.kinds.resize(closed.vertices.size(), m_nextKind);
    return closed;
}

/// One pencil line between two contexts becomes one edge of both.
TraceTool::Joining TraceTool::joined(const Ring& ring) const
{
    Joining joining{ring, {}};
    if (ring.vertices.size() < 3 || !drawn())
        return joining;
    const double reachPx =
        AdjoinMm * std::sqrt(drawn()->film.dpiX * drawn()->film.dpiY) / MillimetresPerInch;
    DrawnOutlines about;
    for (const std::int64_t id : drawn()->index->meeting(boxOf(ring.vertices).grownBy(reachPx)))
        if (const Outline* outline = drawn()->outlines.byId(id))
            about.push_back({outline->id, outline->context, outline->parts});
    joining.ring = adjoined(ring, about, reachPx, m_held);
    joining.with = sharedWith(joining.ring, about);
    return joining;
}

void TraceTool::seeWhatIsShared()
{
    m_joining = {};
    if (m_context.empty() || m_mending)
        return;
    m_joining = joined(m_ink.proposing() ? proposedRing() : closedRing());
}

/// Goes on along a stretch that begins at the last vertex.
void TraceTool::addStretch(const Course& stretch)
{
    for (std::size_t i = 0; i + 1 < stretch.vertices.size(); ++i) {
        m_ring.kinds.back() = stretch.kinds[i];
        m_ring.vertices.push_back(stretch.vertices[i + 1]);
        m_ring.kinds.push_back(m_nextKind);
    }
    m_held.insert(m_held.end(), stretch.vertices.begin(), stretch.vertices.end());
    m_clicked.push_back(m_ring.vertices.size());
}

void TraceTool::followEdge()
{
    if (m_ring.vertices.empty() || !m_pointerKnown || !m_pointer.scan || m_mending)
        return;
    const Snap snap = snapFor(board(), m_pointer);
    const std::optional<Course> stretch = stretchBetween(board(), m_ring.vertices.back(), snap.at);
    if (!stretch) {
        emit refused(
            tr("The last vertex and the pointer do not lie on one edge; set the vertex on the edge "
               "and point at a place further along it"));
        return;
    }
    addStretch(*stretch);
    announce();
}

void TraceTool::closeAlongEdge()
{
    if (m_ring.vertices.size() < 2 || m_mending)
        return;
    const std::optional<Course> stretch =
        stretchBetween(board(), m_ring.vertices.back(), m_ring.vertices.front());
    if (!stretch) {
        emit refused(tr("The first and the last vertex do not lie on one limit of excavation or edge"));
        return;
    }
    Ring closed = m_ring;
    for (std::size_t i = 0; i + 1 < stretch->vertices.size(); ++i) {
        closed.kinds.back() = stretch->kinds[i];
        if (i + 2 < stretch->vertices.size()) {
            closed.vertices.push_back(stretch->vertices[i + 1]);
            closed.kinds.push_back(stretch->kinds[i]);
        }
    }
    m_held.insert(m_held.end(), stretch->vertices.begin(), stretch->vertices.end());
    closeWith(joined(closed).ring);
}

void TraceTool::close()
{
    if (m_mending && m_mending->ofEdit) {
        m_mending.reset();
        emit mendingTaken();
        announce();
        return;
    }
    if (m_mending) {
        // Whoever listens disarms the tool if the outline is taken; refused, it stays to be mended.
        const std::vector<Part> parts = m_mending->outlines.front().parts;
        emit partsClosed(QString::fromStdString(m_context), parts);
        announce();
        return;
    }
    if (m_ink.proposing()) {
        takeProposal(false);
        return;
    }
    if (m_context.empty() || m_ring.vertices.empty())
        return;
    const Ring closed = closedRing();
    if (closed.vertices.size() < 3) {
        emit refused(
            tr("An outline needs at least 3 vertices; this one has %1").arg(m_ring.vertices.size()));
        return;
    }
    closeWith(joined(closed).ring);
}

void TraceTool::closeWith(const Ring& ring)
{
    const std::vector<Part> parts{{ring, {}}};
    if (checkParts(parts)) {
        emit partsClosed(QString::fromStdString(m_context), parts);
    } else if (Result<Mended> mended = mendParts(parts); mended) {
        QString words;
        for (const MendStep& step : mended->steps)
            words += (words.isEmpty() ? "" : "; ") + QString::fromStdString(step.words);
        emit refused(
            tr("Not taken yet: %1. Enter takes the mending shown, Backspace goes back").arg(words));
        m_mending = Mending{{{0, m_context, mended->parts}}, {{0, m_context, *mended}}, false};
    } else {
        emit refused(QString::fromStdString(mended.error().message));
    }
    announce();
}

void TraceTool::takeBackVertex()
{
    if (m_mending) {
        dropMending();
        announce();
        return;
    }
    if (m_ring.vertices.empty())
        return;
    m_clicked.pop_back();
    m_ring.vertices.resize(m_clicked.empty() ? 0 : m_clicked.back());
    m_ring.kinds.resize(m_ring.vertices.size());
    announce();
}

void TraceTool::offerMending(const DrawnOutlines& outlines, const Mendings& mendings)
{
    m_mending = Mending{outlines, mendings, true};
    announce();
}

} // namespace inkpeg
