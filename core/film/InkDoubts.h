// SPDX-License-Identifier: GPL-3.0-or-later
// Which strokes look like something else than part of an outline: hachures, letters, crosses.
#pragma once

#include <cstdint>
#include <unordered_map>
#include <vector>

#include "core/film/InkDashes.h"
#include "core/film/InkNetwork.h"
#include "core/film/InkStrokes.h"

namespace inkpeg {

/// What it costs an outline to go along such strokes, by their cells. Nodes cost nothing: a line that only
/// passes there is not in doubt.
class InkDoubts {
public:
    InkDoubts(const InkChains& joined, const InkStrokes& strokes, const InkDashes& dashes, double cellMm,
              const InkNetworkSettings& settings);

    double at(MaskCell cell) const
    {
        const auto found = m_perCell.find(key(cell));
        return found == m_perCell.end() ? 0.0 : found->second;
    }

private:
    struct Extent {
        double along = 0, across = 0;
    };

    static std::int64_t key(MaskCell cell)
    {
        return (static_cast<std::int64_t>(cell.row) << 32) | static_cast<std::uint32_t>(cell.column);
    }
    void groupMarks();
    bool isWriting(const std::vector<std::size_t>& chains) const;
    Extent extentOf(const std::vector<std::size_t>& chains) const;
    bool isLooseAtBothEnds(const InkStroke& stroke) const;
    double doubtAbout(std::size_t chain) const;
    double doubtAboutMark(std::size_t chain) const;
    void doubtRows(std::vector<double>& doubts) const;
    bool isLedOn(std::size_t node, std::size_t stroke, UnitVector towards) const;
    bool standsAt(const InkChain& chain, std::size_t node, std::size_t self) const;
    void spread(const std::vector<MaskCell>& cells, double doubt);

    const InkChains& m_joined;
    const InkStrokes& m_strokes;
    const InkDashes& m_dashes;
    double m_cellMm;
    InkNetworkSettings m_settings;
    std::vector<bool> m_small;
    std::unordered_map<std::int64_t, double> m_perCell;
};

} // namespace inkpeg
