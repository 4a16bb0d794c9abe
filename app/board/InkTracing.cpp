// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/InkTracing.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "app/board/BoardPainting.h"
#include "core/outline/Outline.h"

namespace inkpeg {
namespace {

/// Below this share of pencil the way is no line that somebody drew.
constexpr double leastInkShare = 0.4;

bool holds(const std::vector<ScanPx>& ring, ScanPx place)
{
    bool inside = false;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const ScanPx a = ring[i], b = ring[(i + 1) % ring.size()];
        if ((a.row > place.row) != (b.row > place.row) &&
            place.column < a.column + (b.column - a.column) * (place.row - a.row) / (b.row - a.row))
            inside = !inside;
    }
    return inside;
}

} // namespace

InkTracing::InkTracing(QObject* parent) : QObject(parent)
{
    connect(&m_guide, &InkGuide::changed, this, [this] {
        m_ledFor.reset();
        if (!ready())
            dropProposal();
        emit changed();
    });
}

void InkTracing::setFollows(bool follows)
{
    m_follows = follows;
    m_ledFor.reset();
    emit changed();
}

void InkTracing::setEncloses(bool encloses)
{
    m_encloses = encloses;
    dropProposal();
    emit changed();
}

void InkTracing::cycleGap()
{
    constexpr std::array<double, 5> widths = {1.0, 2.0, 3.0, 4.5, 6.0};
    const auto next = std::ranges::find_if(widths, [&](double mm) { return mm > m_areaSettings.gapMm; });
    m_areaSettings.gapMm = next == widths.end() ? widths.front() : *next;
    if (proposing())
        lookAgain();
    emit changed();
}

std::optional<InkTracing::Snap> InkTracing::snapFor(ScanPx place, double reachPx) const
{
    if (!ready() || !m_follows || !m_guide.ink()->map.covers(place))
        return std::nullopt;
    const FilmInk& ink = *m_guide.ink();
    const double mmPerPx = ink.map.cellMm() / distance(ink.map.toScan({0, 0}), ink.map.toScan({1, 0}));
    // Far out, a screen pixel is more than a line is wide: no further than a hand misses.
    constexpr double furthestMm = 2.0;
    const double reachMm = std::min(reachPx * mmPerPx, furthestMm);
    if (const auto junction = nearestJunction(ink, place, reachMm))
        return Snap{onLattice(*junction), SnapTo::Junction};
    if (const auto line = nearestInk(ink.map, place, reachMm))
        return Snap{onLattice(*line), SnapTo::Line};
    return std::nullopt;
}

std::vector<ScanPx> InkTracing::between(ScanPx from, ScanPx to) const
{
    if (!ready() || !m_follows)
        return {};
    const Result<InkPath> path = followInk(m_guide.ink()->map, from, to, m_pathSettings);
    if (!path || path->inkShare < leastInkShare)
        return {};
    std::vector<ScanPx> way;
    for (std::size_t i = 1; i + 1 < path->vertices.size(); ++i) {
        const ScanPx at = onLattice(path->vertices[i]);
        if (at != from && at != to && (way.empty() || way.back() != at))
            way.push_back(at);
    }
    return way;
}

const std::vector<ScanPx>& InkTracing::lead(ScanPx from, ScanPx to)
{
    if (m_ledFor != std::pair(from, to)) {
        m_lead = between(from, to);
        m_ledFor = std::pair(from, to);
    }
    return m_lead;
}

QString InkTracing::propose(ScanPx place)
{
    dropProposal();
    if (!ready())
        return m_guide.percent() >= 0 ? tr("The ink is still being read: %1 %").arg(m_guide.percent())
                                      : tr("This drawing has no scan whose ink could be followed");
    Result<std::vector<InkArea>> areas =
        outlinesAround(m_guide.ink()->map, m_guide.ink()->network, place, m_areaSettings);
    if (!areas)
        return QString::fromStdString(areas.error().message);
    m_seed = place;
    m_areas = std::move(areas).value();
    const double likeliest = m_areas.front().areaMm2;
    std::sort(m_areas.begin(), m_areas.end(),
              [](const InkArea& a, const InkArea& b) { return a.areaMm2 < b.areaMm2; });
    m_shown = static_cast<std::size_t>(
        std::ranges::find_if(m_areas, [&](const InkArea& area) { return area.areaMm2 >= likeliest; }) -
        m_areas.begin());
    emit changed();
    return {};
}

void InkTracing::lookAgain()
{
    (void)propose(m_seed); // none wider: what was proposed goes
}

bool InkTracing::proposalHolds(ScanPx place) const
{
    return proposing() && holds(proposal()->vertices, place);
}

void InkTracing::stepWider(int steps)
{
    if (!proposing())
        return;
    const auto most = static_cast<std::ptrdiff_t>(m_areas.size()) - 1;
    m_shown = static_cast<std::size_t>(
        std::clamp<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(*m_shown) + steps, 0, most));
    emit changed();
}

void InkTracing::dropProposal()
{
    m_shown.reset();
    m_areas.clear();
}

QString InkTracing::words() const
{
    if (m_guide.percent() >= 0)
        return tr("reading the ink, %1 %; straight until then").arg(m_guide.percent());
    if (!ready())
        return tr("no ink to follow");
    const InkArea* area = proposal();
    if (!area)
        return m_follows ? tr("follows the ink") : tr("straight");
    if (area->gaps.empty())
        return tr("closed all round");
    double widest = 0;
    for (const BridgedGap& gap : area->gaps)
        widest = std::max(widest, gap.widthMm);
    if (area->gaps.size() == 1)
        return tr("1 gap of %1 mm bridged").arg(widest, 0, 'f', 1);
    if (widest > gapMm()) // no other gap is as wide as that
        return tr("%1 gaps bridged, the widest %2 mm as its dashes have them")
            .arg(area->gaps.size())
            .arg(widest, 0, 'f', 1);
    return tr("%1 gaps bridged, the widest %2 mm").arg(area->gaps.size()).arg(widest, 0, 'f', 1);
}

void InkTracing::paintProposal(QPainter& painter, const BoardPicture& picture) const
{
    const InkArea* area = proposal();
    if (!area)
        return;
    const QPolygonF ring = picture.at(area->vertices);
    QColor wash = picture.colours.tracing;
    wash.setAlpha(36);
    painter.setBrush(wash);
    painter.setPen(QPen(picture.colours.halo, 4.5));
    painter.drawPolygon(ring);
    painter.setBrush(Qt::NoBrush);
    painter.setPen(QPen(picture.colours.tracing, 2.2, Qt::DashLine));
    painter.drawPolygon(ring);
    painter.setPen(QPen(picture.colours.tracing, 1.2));
    for (const QPointF& corner : ring)
        painter.drawRect(QRectF(corner.x() - 2, corner.y() - 2, 4, 4));
    // A bridged gap is a bar with a tick across either end; wide ones say how wide while there are few.
    constexpr std::size_t fewGaps = 12;
    constexpr double wideMm = 0.8;
    for (const BridgedGap& gap : area->gaps) {
        const QPointF from = picture.at(gap.from), to = picture.at(gap.to), along = to - from;
        const double length = std::hypot(along.x(), along.y());
        const QPointF across = length > 0 ? QPointF(-along.y(), along.x()) / length * 6 : QPointF(0, 6);
        for (const auto& [colour, width] :
             {std::pair(picture.colours.halo, 6.0), std::pair(picture.colours.doubtful, 3.0)}) {
            painter.setPen(QPen(colour, width));
            painter.drawLine(from, to);
            painter.drawLine(from - across, from + across);
            painter.drawLine(to - across, to + across);
        }
        if (gap.widthMm >= wideMm && area->gaps.size() <= fewGaps)
            paintLabel(painter, picture, to + QPointF(9, -9), tr("%1 mm").arg(gap.widthMm, 0, 'f', 1),
                       picture.colours.doubtful);
    }
}

} // namespace inkpeg
