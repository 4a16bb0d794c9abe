// SPDX-License-Identifier: GPL-3.0-or-later
// Dashed lines: strokes that go on in each other's direction over gaps, and the rhythm they keep.
#pragma once

#include <set>
#include <unordered_set>
#include <vector>

#include "core/film/InkGaps.h"
#include "core/film/InkMap.h"
#include "core/film/InkStrokes.h"

namespace inkpeg {

/// A stroke is a dash when it is straight, not too short, and another one goes on beyond a gap in its
/// direction. A gap is in rhythm when the dashed line it lies in has gaps on both sides of it, three or
/// more besides it, these are alike, it is no wider than they show, and the dashes between them are alike too
/// and not shorter than the gaps: then it is the draughtsman's gap and not a place where the line has gone.
/// Gaps and dashes are measured on the film here, from pencil to pencil and from tip to tip.
class InkDashes {
public:
    /// `endsMm`: by how much thinning has shortened a stroke, both its ends together.
    InkDashes(const InkStrokes& strokes, const std::vector<LooseEnd>& ends,
              const std::vector<PencilGap>& gaps, double cellMm, double endsMm);

    /// Of what thinning leaves of a stroke, without its ends; letters have shorter ones (common practice, no
    /// source).
    static constexpr double ShortestMm = 1.6;

    bool isDash(std::size_t stroke) const { return m_dash[stroke]; }
    /// True of a loose end's node beyond which a dashed line of two dashes at least goes on.
    bool goesOnAsDashes(std::size_t node) const { return m_leads.contains(node); }
    bool isInRhythm(const PencilGap& gap) const;
    /// Beats that other pencil covers: from a dashed line's loose end to the next as far off as a dash and
    /// two gaps, with pencil where the dash should be. Each is one gap, and in rhythm.
    std::vector<PencilGap> coveredBeats(const InkMap& map) const;

private:
    /// Dashes and gaps of a dashed line, each once: going on, a closed line comes back to its first gap.
    struct Train {
        std::set<std::size_t> dashes; ///< strokes
        std::set<std::size_t> gaps;   ///< the lesser of the two ends that each lies between
    };
    struct Rhythm {
        double dashMm = 0, gapMm = 0;
    };

    void linkEnds(const std::vector<PencilGap>& gaps);
    void findDashes(const std::vector<PencilGap>& gaps);
    double gapMm(double widthCells) const { return widthCells * m_cellMm - m_endsMm; }
    double dashMm(std::size_t stroke) const
    {
        return m_strokes.strokes[stroke].lengthCells * m_cellMm + m_endsMm;
    }
    /// What lies behind a loose end, the nearest few, not beyond the end `stop`.
    Train trainBehind(std::size_t end, std::size_t stop) const;
    /// Of the dashed line that both ends belong to; a dash of 0 if it has none.
    Rhythm rhythmAround(std::size_t end, std::size_t other) const;

    const InkStrokes& m_strokes;
    const std::vector<LooseEnd>& m_ends;
    double m_cellMm, m_endsMm;
    std::vector<bool> m_dash;
    std::unordered_set<std::size_t> m_leads; ///< nodes of loose ends
    std::vector<std::size_t> m_beyond;       ///< of each end: the one it goes on at beyond a gap
    std::vector<double> m_gapMm;             ///< of each end that goes on: how wide the gap is
    std::vector<std::size_t> m_behind;       ///< of each end: the loose end of the same stroke
};

} // namespace inkpeg
