// SPDX-License-Identifier: GPL-3.0-or-later
// Dashed lines: strokes that go on in each other's direction over gaps, and the rhythm they keep.
#pragma once

#include <unordered_set>
#include <vector>

#include "core/film/InkGaps.h"
#include "core/film/InkMap.h"
#include "core/film/InkStrokes.h"

namespace inkpeg {

/// A stroke is a dash when it is straight, not too short, and another one goes on beyond a gap in its
/// direction. A gap is in rhythm when the dashed line it lies in has gaps on both sides of it, three or
/// more in all, these are alike, it is no wider than they show, and the dashes between them are alike too
/// and not shorter than the gaps: then it is the draughtsman's gap and not a place where the line has gone.
class InkDashes {
public:
    InkDashes(const InkStrokes& strokes, const std::vector<LooseEnd>& ends,
              const std::vector<PencilGap>& gaps, double cellMm);

    static constexpr double ShortestMm = 1.6; ///< letters have shorter strokes (common practice, no source)

    bool isDash(std::size_t stroke) const { return m_dash[stroke]; }
    /// True of a loose end's node beyond which a dashed line of two dashes at least goes on.
    bool goesOnAsDashes(std::size_t node) const { return m_leads.contains(node); }
    bool isInRhythm(const PencilGap& gap) const;
    /// Beats that other pencil covers: from a dashed line's loose end to the next as far off as a dash and
    /// two gaps, with pencil where the dash should be.
    std::vector<PencilGap> coveredBeats(const InkMap& map) const;

private:
    /// Dashes and gaps behind a loose end, in millimetres, the nearest first, not beyond the end `stop`.
    struct Train {
        std::vector<double> dashesMm, gapsMm;
    };
    struct Rhythm {
        double dashMm = 0, gapMm = 0;
    };

    void linkEnds(const std::vector<PencilGap>& gaps);
    void findDashes(const std::vector<PencilGap>& gaps);
    Train trainBehind(std::size_t end, std::size_t stop) const;
    /// Of the dashed line that both ends belong to; a dash of 0 if it has none.
    Rhythm rhythmAround(std::size_t end, std::size_t other) const;

    const InkStrokes& m_strokes;
    const std::vector<LooseEnd>& m_ends;
    double m_cellMm;
    std::vector<bool> m_dash;
    std::unordered_set<std::size_t> m_leads; ///< nodes of loose ends
    std::vector<std::size_t> m_beyond;       ///< of each end: the one it goes on at beyond a gap
    std::vector<double> m_gapMm;             ///< of each end that goes on: how wide the gap is
    std::vector<std::size_t> m_behind;       ///< of each end: the loose end of the same stroke
};

} // namespace inkpeg
