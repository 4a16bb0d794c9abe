// SPDX-License-Identifier: GPL-3.0-or-later
// The pencil lines of a map as a network in which closed ways can be looked for: runs of pencil and the
// gaps between their ends, each with what it costs an outline to go along it.
#pragma once

#include <cstdint>
#include <vector>

#include "core/base/Result.h"
#include "core/film/InkChains.h"
#include "core/film/InkMap.h"

namespace inkpeg {

/// Sizes on the film that tell outlines from the other marks on a drawing (common practice, no source).
struct InkNetworkSettings {
    double dirtMm = 0.8;      ///< ink of less extent is dirt
    double letterMm = 5.0;    ///< marks on their own that are no larger are letters, ticks, arrow heads
    double hachureMm = 4.0;   ///< strokes that stand on a line and are no longer are hachures
    double markMm = 12.0;     ///< straight strokes on their own that are no longer are crosses and arrows
    double whiskerMm = 0.9;   ///< what sticks out from a line by no more is dirt
    double crossingMm = 0.5;  ///< places where lines meet that are no further apart are one
    double widestGapMm = 6.0; ///< gaps are looked for up to this width
};

struct InkRun {
    std::size_t from = 0, to = 0;
    std::vector<MaskCell> cells; ///< from node to node; of a gap only its two ends
    double price = 0;            ///< growing with length, faintness and doubt
    /// Width of a gap on the film, tip to tip; negative for pencil. It is paper, but of a dash that other
    /// pencil covers: that dash and the gaps on both sides of it.
    double gapMm = -1;
    bool inRhythm = false; ///< a dashed line's own gap, or a covered dash of it, see InkDashes.h

    bool isGap() const { return gapMm >= 0; }
    /// Pencil, a gap no wider than `widestMm`, or a dashed line's own.
    bool isBridgedUpTo(double widestMm) const { return gapMm <= widestMm || inRhythm; }
};

/// A value; may be read from many threads.
///
/// Prices: pencil costs 0.004 a millimetre, and up to 0.06 more where it is faint. A gap between two ends
/// that go on in each other's direction, as between dashes, costs next to nothing; one that asks for a
/// turn, or leads from an end to the side of another line, a few tenths. What looks like a hachure costs 3
/// (a short stroke that stands on a line) or 5 (one that stands on two, or in a row of them), a stroke of a
/// letter 1.5, of a cross or tick 0.6 (InkDoubts.h). So the cheapest closed way round a place keeps to the
/// rim that a draughtsman meant.
class InkNetwork {
public:
    static constexpr double PencilPerMm = 0.004;

    static InkNetwork of(const InkMap& map, const InkNetworkSettings& settings = {});

    const std::vector<MaskCell>& nodes() const { return m_nodes; }
    const std::vector<InkRun>& runs() const { return m_runs; }
    const std::vector<std::size_t>& runsAt(std::size_t node) const { return m_at[node]; }
    bool isJunction(std::size_t node) const { return m_junction[node]; }

private:
    std::vector<MaskCell> m_nodes;
    std::vector<InkRun> m_runs;
    std::vector<std::vector<std::size_t>> m_at;
    std::vector<bool> m_junction; ///< where three lines or more of pencil meet
};

} // namespace inkpeg
