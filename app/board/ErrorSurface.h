// SPDX-License-Identifier: GPL-3.0-or-later
// The standard error of the fit over the sheet, in classes with their bounds drawn as labelled lines.
#pragma once

#include <vector>

#include "app/board/BoardPainting.h"

namespace inkpeg {

/// Standard errors of one drawing on a lattice over its part of the sheet; computed once for a fit.
class ErrorSurface {
public:
    static constexpr int Columns = 40, Rows = 30; ///< cells

    ErrorSurface() = default;
    /// Of the fitted control alone (one sigma, each axis): what traced positions add is the same all over.
    explicit ErrorSurface(const BoardDrawing& drawing);

    bool empty() const { return m_errorsM.empty(); }
    ScanPx node(int column, int row) const;
    double errorM(int column, int row) const
    {
        return m_errorsM[static_cast<std::size_t>(row) * (Columns + 1) + static_cast<std::size_t>(column)];
    }
    /// Upper bounds of the classes but the last, in metres, ascending; round numbers, 3 to 6 of them.
    const std::vector<double>& boundsM() const { return m_boundsM; }
    double leastM() const { return m_leastM; }
    double mostM() const { return m_mostM; }

private:
    ScanPx m_low, m_high;
    std::vector<double> m_errorsM;
    std::vector<double> m_boundsM;
    double m_leastM = 0, m_mostM = 0;
};

/// The shading, and over it the lines between the classes with their figures.
void paintErrorSurface(QPainter& painter, const BoardPicture& picture, const ErrorSurface& surface);

/// What the shades mean; upper left.
void paintErrorLegend(QPainter& painter, const BoardPicture& picture, const ErrorSurface& surface);

} // namespace inkpeg
