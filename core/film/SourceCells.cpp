// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/SourceCells.h"

#include <algorithm>
#include <cmath>

namespace inkpeg {
namespace {

constexpr int SmallestCellPx = 8;
constexpr double ShareSeenAtQuarters = 0.97; // |t^3 - t| at t = 1/2 over its maximum at 1/sqrt(3): 0.974

/// Value at `t` in [0, 1] of the quadratic through f0, f1, f2 at 0, 1/2, 1.
double quadraticAt(double f0, double f1, double f2, double t)
{
    return f0 + t * ((-3 * f0 + 4 * f1 - f2) + t * (2 * f0 - 4 * f1 + 2 * f2));
}

double share(int index, int count)
{
    return count > 1 ? double(index) / double(count - 1) : 0.0;
}

Quadratic along(const std::array<double, 9>& nodes, const PxRect& area, int row)
{
    const double s = share(row, area.height);
    const double f0 = quadraticAt(nodes[0], nodes[3], nodes[6], s);
    const double f1 = quadraticAt(nodes[1], nodes[4], nodes[7], s);
    const double f2 = quadraticAt(nodes[2], nodes[5], nodes[8], s);
    const double steps = std::max(1, area.width - 1);
    return {f0, (-3 * f0 + 4 * f1 - f2) / steps, (2 * f0 - 4 * f1 + 2 * f2) / (steps * steps)};
}

double biquadraticAt(const std::array<double, 9>& n, double t, double s)
{
    return quadraticAt(quadraticAt(n[0], n[1], n[2], t), quadraticAt(n[3], n[4], n[5], t),
                       quadraticAt(n[6], n[7], n[8], t), s);
}

/// How far the biquadratic can reach beyond its nodes at most: a parabola leaves the chord of half its span
/// by a sixteenth of its bend; both directions together.
double bulgeBeyond(const std::array<double, 9>& n)
{
    double across = 0, down = 0;
    for (std::size_t i = 0; i < 3; ++i) {
        across = std::max(across, std::abs(2 * n[3 * i] - 4 * n[3 * i + 1] + 2 * n[3 * i + 2]));
        down = std::max(down, std::abs(2 * n[i] - 4 * n[i + 3] + 2 * n[i + 6]));
    }
    return 1.25 * (across + down) / 16; // 1.25: interpolating three nodes can enlarge values by a quarter
}

class Coverer {
public:
    Coverer(const LocateInScan& locate, double boundPx)
        : m_locate(locate), m_bound(boundPx * ShareSeenAtQuarters)
    {
    }

    void cover(const PxRect& area)
    {
        SourceCell cell{area, false, {}, {}};
        if (fill(cell) && agrees(cell)) {
            m_found.cells.push_back(cell);
            return;
        }
        if (area.width <= SmallestCellPx && area.height <= SmallestCellPx) {
            locateEach(area);
            cell.exact = true;
            m_found.cells.push_back(cell);
            return;
        }
        const int width = area.width > SmallestCellPx ? (area.width + 1) / 2 : area.width;
        const int height = area.height > SmallestCellPx ? (area.height + 1) / 2 : area.height;
        for (int row = 0; row < area.height; row += height)
            for (int column = 0; column < area.width; column += width)
                cover({area.column + column, area.row + row, std::min(width, area.width - column),
                       std::min(height, area.height - row)});
    }

    SourceCells take() { return std::move(m_found); }

private:
    /// Place in the laid picture at shares t, s of the way from the first to the last pixel centre of
    /// `area`.
    std::optional<ScanPx> locateAt(const PxRect& area, double t, double s)
    {
        return m_locate(area.column + 0.5 + t * (area.width - 1), area.row + 0.5 + s * (area.height - 1));
    }

    void include(ScanPx place)
    {
        if (!m_found.anywhere) {
            m_found.left = m_found.right = place.column;
            m_found.top = m_found.bottom = place.row;
            m_found.anywhere = true;
        }
        m_found.left = std::min(m_found.left, place.column);
        m_found.right = std::max(m_found.right, place.column);
        m_found.top = std::min(m_found.top, place.row);
        m_found.bottom = std::max(m_found.bottom, place.row);
    }

    bool fill(SourceCell& cell)
    {
        for (std::size_t i = 0; i < 9; ++i) {
            const auto place = locateAt(cell.area, double(i % 3) / 2, double(i / 3) / 2);
            if (!place)
                return false;
            cell.columns[i] = place->column;
            cell.rows[i] = place->row;
        }
        return true;
    }

    bool agrees(const SourceCell& cell)
    {
        double worst = 0;
        for (const double s : {0.25, 0.75})
            for (const double t : {0.25, 0.75}) {
                const auto place = locateAt(cell.area, t, s);
                if (!place)
                    return false;
                worst = std::max(worst, std::hypot(biquadraticAt(cell.columns, t, s) - place->column,
                                                   biquadraticAt(cell.rows, t, s) - place->row));
            }
        if (!(worst <= m_bound))
            return false;
        m_found.worstPx = std::max(m_found.worstPx, worst);
        const double bulge = bulgeBeyond(cell.columns) + bulgeBeyond(cell.rows);
        for (std::size_t i = 0; i < 9; ++i) {
            include({cell.columns[i] - bulge, cell.rows[i] - bulge});
            include({cell.columns[i] + bulge, cell.rows[i] + bulge});
        }
        return true;
    }

    void locateEach(const PxRect& area)
    {
        for (int row = 0; row < area.height; ++row)
            for (int column = 0; column < area.width; ++column)
                if (const auto place = m_locate(area.column + column + 0.5, area.row + row + 0.5))
                    include(*place);
    }

    const LocateInScan& m_locate;
    double m_bound;
    SourceCells m_found;
};

} // namespace

Quadratic SourceCell::columnsAlong(int row) const
{
    return along(columns, area, row);
}
Quadratic SourceCell::rowsAlong(int row) const
{
    return along(rows, area, row);
}

SourceCells coverWithCells(const LocateInScan& locate, const PxRect& area, double boundPx)
{
    Coverer coverer(locate, boundPx);
    coverer.cover(area);
    return coverer.take();
}

} // namespace inkpeg
