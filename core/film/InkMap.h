// SPDX-License-Identifier: GPL-3.0-or-later
// Where on a film the pencil is: for each cell how likely it lies on a line, and which way that line runs.
//
//   const Result<InkMap> map = readInkMap(scan, {1200, 900, 2000, 1600}, 400);
//   const Result<InkPath> path = followInk(*map, from, to);       // InkPath.h
//   const Result<InkArea> area = encloseInk(*map, seed);          // InkArea.h
//
// Works on cells of about 0.12 mm (two pixels at 400 dpi): half the pixels away, a quarter of the noise
// left, and a pencil line is still three cells wide; its centre is found within the cell afterwards.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/base/Units.h"
#include "core/film/InkPlane.h"
#include "core/film/Scan.h"

namespace inkpeg {

struct InkSettings {
    bool suppressGrid = true; ///< take a printed grid out by its period
    double gridMm = 1.0;      ///< period of its fine lines; every fifth and tenth may be heavier
    double lineMm = 0.4;      ///< usual width of a pencil line
};

/// What it costs to cross a cell in each of four directions: along the row, falling to the right, down the
/// column, rising to the right. Lower is inkier.
using StepCosts = std::array<std::uint8_t, 4>;

struct CostGrid {
    int width = 0, height = 0;
    std::vector<StepCosts> costs;

    const StepCosts& at(int column, int row) const
    {
        return costs[static_cast<std::size_t>(row) * static_cast<std::size_t>(width) +
                     static_cast<std::size_t>(column)];
    }
};

/// A value; may be read from many threads.
class InkMap {
public:
    /// `place` says where `window` lies in the scan (its width and height are those of the window).
    /// Errors: BadInput (window smaller than 16 cells, or its size differs from `place`; dpi not positive);
    ///         Cancelled.
    /// Source: ridge measure from the eigenvalues of the Hessian over several scales: Lindeberg, Edge detection
    ///         and ridge detection with automatic scale selection, Int. J. Computer Vision 30 (1998), section 5
    ///         (from memory).
    static Result<InkMap> build(const GreyImage& window, const PxRect& place, double dpi,
                                const InkSettings& settings = {}, const Progress& progress = {});

    int width() const { return m_strength.width; }
    int height() const { return m_strength.height; }
    double cellMm() const { return m_cellMm; }
    const PxRect& place() const { return m_place; }

    CellPoint toCell(ScanPx position) const;
    ScanPx toScan(CellPoint cell) const;
    bool covers(ScanPx position) const;

    /// 0 (paper) to 1 (surely on a line).
    const InkPlane& strength() const { return m_strength; }
    /// Darker than the paper around, in grey levels, grid removed, lightly smoothed.
    const InkPlane& darkness() const { return m_darkness; }
    /// Direction of the line through a cell, radians, 0 along the row, growing towards falling lines, below
    /// pi.
    double directionAt(int column, int row) const;
    /// Darkness above which a place is more than paper.
    float inkAbove() const { return m_inkAbove; }

    const CostGrid& fineCosts() const { return m_fine; }
    const CostGrid& coarseCosts() const { return m_coarse; } ///< two by two cells

private:
    InkMap() = default;
    void measureRidges(const InkPlane& darkness, const InkSettings& settings);
    void priceSteps();

    PxRect m_place;
    int m_step = 1; ///< pixels a cell
    double m_cellMm = 0;
    InkPlane m_strength, m_darkness;
    std::vector<std::uint8_t> m_direction; ///< 256 = half a turn
    float m_inkAbove = 0;
    CostGrid m_fine, m_coarse;
};

/// Reads `window` of a scan (cut to the sheet) and builds its map.
/// Errors: as Scan::readGrey and InkMap::build.
Result<InkMap> readInkMap(const Scan& scan, const PxRect& window, double dpi,
                          const InkSettings& settings = {}, const Progress& progress = {});

} // namespace inkpeg
