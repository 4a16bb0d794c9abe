// SPDX-License-Identifier: GPL-3.0-or-later
// Where each pixel of a laid picture comes from in the scan, as few evaluations of the transform as the
// stated exactness allows.
#pragma once

#include <array>
#include <functional>
#include <optional>
#include <vector>

#include "core/base/Units.h"
#include "core/film/Scan.h"

namespace inkpeg {

/// Place in the laid picture (pixels; centre of the first = 0.5, 0.5) to place in the scan, or nothing
/// where the transform has no answer.
using LocateInScan = std::function<std::optional<ScanPx>(double column, double row)>;

/// A quadratic in whole steps: value(i) = start + i * step + i * i * bend.
struct Quadratic {
    double start = 0, step = 0, bend = 0;
};

/// A rectangle of pixels of the laid picture whose scan positions are a biquadratic through nine nodes.
struct SourceCell {
    PxRect area;
    /// Too curved for its size: every pixel is to be located by itself, the nodes are void.
    bool exact = false;
    std::array<double, 9> columns{}; ///< scan columns at the nodes, three rows of three
    std::array<double, 9> rows{};

    /// Positions along row `row` of the area (0 = its first), at the centres of its pixels.
    Quadratic columnsAlong(int row) const;
    Quadratic rowsAlong(int row) const;
};

struct SourceCells {
    std::vector<SourceCell> cells;
    double worstPx = 0;    ///< largest distance found between located and interpolated positions
    bool anywhere = false; ///< some node or pixel has an answer
    double left = 0, right = 0, top = 0, bottom = 0; ///< scan positions found, where `anywhere`
};

/// Covers `area` by cells. A cell is halved in both directions until the biquadratic agrees with `locate`
/// to `boundPx` at its four quarter points, where the error of a quadratic through the nodes (a cubic that
/// vanishes on them) reaches 97 % of its greatest size; the bound is tightened by that share. A cell of 8
/// pixels or fewer that does not agree is exact.
SourceCells coverWithCells(const LocateInScan& locate, const PxRect& area, double boundPx);

} // namespace inkpeg
