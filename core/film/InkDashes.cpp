// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkDashes.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>

namespace inkpeg {

namespace {

constexpr std::size_t None = std::numeric_limits<std::size_t>::max();
constexpr double GoesOn = 0.85; // cosine of the turn that a dashed line may make over a gap

double median(std::vector<double> values)
{
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// As like each other as gaps and dashes are that a hand draws.
bool isLike(double mm, double usualMm)
{
    return std::abs(mm - usualMm) <= std::max(0.4 * usualMm, 0.6);
}

/// Length of the longest run of pencil within a third of a millimetre of the straight way, in cells.
double inkBetween(const InkMap& map, MaskCell from, MaskCell to)
{
    constexpr float Inky = 0.5F;
    const double dx = to.column - from.column, dy = to.row - from.row, width = std::hypot(dx, dy);
    const int beside = std::max(1, static_cast<int>(0.35 / map.cellMm()));
    double run = 0, longest = 0;
    constexpr double Step = 0.5;
    for (double away = 0; away <= width; away += Step) {
        float most = 0;
        for (int side = -beside; side <= beside; ++side)
            most = std::max(
                most, map.strength().clamped(
                          static_cast<int>(std::lround(from.column + (dx * away - dy * side) / width)),
                          static_cast<int>(std::lround(from.row + (dy * away + dx * side) / width))));
        run = most >= Inky ? run + Step : 0;
        longest = std::max(longest, run);
    }
    return longest;
}

} // namespace

InkDashes::InkDashes(const InkStrokes& strokes, const std::vector<LooseEnd>& ends,
                     const std::vector<PencilGap>& gaps, double cellMm, double endsMm)
    : m_strokes(strokes), m_ends(ends), m_cellMm(cellMm), m_endsMm(endsMm),
      m_dash(strokes.strokes.size(), false), m_beyond(ends.size(), None), m_gapMm(ends.size(), 0),
      m_behind(ends.size(), None)
{
    std::unordered_map<std::size_t, std::size_t> seen;
    for (std::size_t end = 0; end < ends.size(); ++end)
        if (const auto [other, isFirst] = seen.emplace(ends[end].stroke, end); !isFirst) {
            m_behind[end] = other->second;
            m_behind[other->second] = end;
        }
    linkEnds(gaps);
    findDashes(gaps);
}

void InkDashes::findDashes(const std::vector<PencilGap>& gaps)
{
    constexpr double WidestMm = 3;
    const auto note = [&](std::size_t end) {
        const InkStroke& stroke = m_strokes.strokes[m_ends[end].stroke];
        if (stroke.straight && stroke.lengthCells * m_cellMm >= ShortestMm)
            m_dash[m_ends[end].stroke] = true;
    };
    for (const PencilGap& gap : gaps)
        if (!gap.toLine && gap.facing > GoesOn && (gapMm(gap.widthCells) < WidestMm || isInRhythm(gap))) {
            note(gap.fromEnd);
            note(gap.toEnd);
        }
}

/// Two ends that are each other's best.
void InkDashes::linkEnds(const std::vector<PencilGap>& gaps)
{
    std::vector<const PencilGap*> best(m_ends.size(), nullptr);
    const auto cost = [](const PencilGap& gap) { return gap.widthCells * (1 + 5 * (1 - gap.facing)); };
    for (const PencilGap& gap : gaps)
        if (!gap.toLine && gap.facing > GoesOn && gap.shorterStrokeCells * m_cellMm >= ShortestMm)
            for (const std::size_t end : {gap.fromEnd, gap.toEnd})
                if (!best[end] || cost(gap) < cost(*best[end]))
                    best[end] = &gap;
    for (std::size_t end = 0; end < m_ends.size(); ++end)
        if (const PencilGap* gap = best[end]; gap && best[gap->fromEnd] == best[gap->toEnd]) {
            m_beyond[end] = gap->fromEnd == end ? gap->toEnd : gap->fromEnd;
            m_gapMm[end] = gapMm(gap->widthCells);
        }
    for (std::size_t end = 0; end < m_ends.size(); ++end)
        if (const std::size_t next = m_beyond[end];
            next != None && m_behind[next] != None && m_beyond[m_behind[next]] != None)
            m_leads.insert(m_ends[end].node);
}

InkDashes::Train InkDashes::trainBehind(std::size_t end, std::size_t stop) const
{
    constexpr std::size_t Enough = 4;
    Train train;
    while (train.dashes.size() < Enough && m_behind[end] != None) {
        train.dashes.insert(m_ends[end].stroke);
        const std::size_t far = m_behind[end];
        if (far == stop || m_beyond[far] == None) // once round, or the line's last dash
            break;
        train.gaps.insert(std::min(far, m_beyond[far]));
        end = m_beyond[far];
    }
    return train;
}

InkDashes::Rhythm InkDashes::rhythmAround(std::size_t end, std::size_t other) const
{
    constexpr std::size_t FewestGaps = 3;
    Train train = trainBehind(end, other), beyond = trainBehind(other, end);
    if (train.gaps.empty() || beyond.gaps.empty())
        return {};
    train.gaps.merge(beyond.gaps);
    train.dashes.merge(beyond.dashes);
    if (train.gaps.size() < FewestGaps)
        return {};
    std::vector<double> gapsMm, dashesMm;
    for (const std::size_t gap : train.gaps)
        gapsMm.push_back(m_gapMm[gap]);
    for (const std::size_t stroke : train.dashes)
        dashesMm.push_back(dashMm(stroke));
    const Rhythm rhythm = {median(dashesMm), median(gapsMm)};
    const bool alike = std::ranges::all_of(gapsMm, [&](double mm) { return isLike(mm, rhythm.gapMm); }) &&
                       // Two dashes may have run together, or a long one ends the line.
                       std::ranges::all_of(dashesMm, [&](double mm) {
                           return mm > rhythm.dashMm || isLike(mm, rhythm.dashMm);
                       });
    return alike && rhythm.dashMm >= rhythm.gapMm ? rhythm : Rhythm{};
}

bool InkDashes::isInRhythm(const PencilGap& gap) const
{
    if (gap.toLine || m_beyond[gap.fromEnd] != gap.toEnd)
        return false;
    const Rhythm rhythm = rhythmAround(gap.fromEnd, gap.toEnd);
    const double widthMm = gapMm(gap.widthCells);
    return rhythm.dashMm > 0 && (widthMm < rhythm.gapMm || isLike(widthMm, rhythm.gapMm));
}

std::vector<PencilGap> InkDashes::coveredBeats(const InkMap& map) const
{
    constexpr double InLine = 0.94, WidestMm = 16, MostlyThere = 0.6;
    std::vector<std::size_t> open;
    for (std::size_t end = 0; end < m_ends.size(); ++end)
        if (m_beyond[end] == None && m_behind[end] != None && m_beyond[m_behind[end]] != None)
            open.push_back(end);
    std::vector<PencilGap> beats;
    for (std::size_t i = 0; i < open.size(); ++i)
        for (std::size_t j = i + 1; j < open.size(); ++j) {
            const LooseEnd &a = m_ends[open[i]], &b = m_ends[open[j]];
            const double dx = b.cell.column - a.cell.column, dy = b.cell.row - a.cell.row,
                         width = std::hypot(dx, dy);
            if (width * m_cellMm > WidestMm || width <= 0)
                continue;
            const double facing = std::min((dx * a.towardsColumn + dy * a.towardsRow) / width,
                                           -(dx * b.towardsColumn + dy * b.towardsRow) / width);
            if (facing < InLine)
                continue;
            const Rhythm rhythm = rhythmAround(open[i], open[j]);
            if (rhythm.dashMm > 0 && isLike(gapMm(width), rhythm.dashMm + 2 * rhythm.gapMm) &&
                inkBetween(map, a.cell, b.cell) * m_cellMm >= MostlyThere * rhythm.dashMm)
                beats.push_back({a.cell, b.cell, width, facing, false,
                                 std::min(a.strokeCells, b.strokeCells), open[i], open[j], true});
        }
    return beats;
}

} // namespace inkpeg
