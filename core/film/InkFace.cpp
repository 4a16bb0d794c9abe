// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <cmath>
#include <set>

#include "core/film/InkRay.h"
#include "core/film/InkRings.h"

namespace inkpeg {

namespace {

/// A run walked from its first node (even) or from its last (odd).
using Side = std::size_t;

class Faces {
public:
    /// With gaps up to a price of `dearestGap`.
    Faces(const InkNetwork& network, double gapMm, double cellMm, double dearestGap)
        : m_network(network), m_kept(network.runs().size(), false), m_leaving(network.nodes().size())
    {
        for (std::size_t run = 0; run < network.runs().size(); ++run)
            m_kept[run] = isSound(network.runs()[run], gapMm, cellMm, dearestGap);
        dropLoose();
        for (std::size_t run = 0; run < network.runs().size(); ++run)
            if (m_kept[run])
                for (const Side side : {2 * run, 2 * run + 1})
                    m_leaving[startOf(side)].push_back({angleOf(side), side});
        for (auto& leaving : m_leaving)
            std::sort(leaving.begin(), leaving.end());
    }

    InkRing around(CellPoint place) const
    {
        const InkRay ray(place, 0);
        std::vector<std::pair<double, Side>> crossed = crossedBy(ray);
        std::sort(crossed.begin(), crossed.end());
        std::set<Side> walked;
        for (const auto& [away, first] : crossed) {
            if (walked.contains(first))
                continue; // the far side of something drawn inside
            const std::vector<Side> face = walkFrom(first);
            walked.insert(face.begin(), face.end());
            std::vector<std::size_t> runs;
            bool odd = false;
            for (const Side side : face) {
                runs.push_back(side / 2);
                odd ^= ray.crossesOddly(m_network.runs()[side / 2].cells);
            }
            if (odd) // the place is inside it
                return ringAlong(m_network, std::move(runs), startOf(first));
        }
        return {};
    }

private:
    std::size_t startOf(Side side) const
    {
        const InkRun& run = m_network.runs()[side / 2];
        return side % 2 == 0 ? run.from : run.to;
    }

    static bool isSound(const InkRun& run, double gapMm, double cellMm, double dearestGap)
    {
        constexpr double DearestPencilPerMm = 0.08;
        if (run.isGap())
            return run.isBridgedUpTo(gapMm) && run.price <= dearestGap;
        return run.price <= DearestPencilPerMm * cellMm * std::max(4.0, lengthOf(run.cells));
    }

    /// What leads nowhere bounds nothing.
    void dropLoose()
    {
        std::vector<int> degree(m_network.nodes().size(), 0);
        for (std::size_t run = 0; run < m_kept.size(); ++run)
            if (m_kept[run])
                for (const Side side : {2 * run, 2 * run + 1})
                    ++degree[startOf(side)];
        std::vector<std::size_t> loose;
        for (std::size_t node = 0; node < degree.size(); ++node)
            if (degree[node] == 1)
                loose.push_back(node);
        while (!loose.empty()) {
            const std::size_t node = loose.back();
            loose.pop_back();
            for (const std::size_t run : m_network.runsAt(node)) {
                if (!m_kept[run] || degree[node] != 1)
                    continue;
                m_kept[run] = false;
                --degree[node];
                const std::size_t other =
                    startOf(2 * run) == node ? startOf(2 * run + 1) : startOf(2 * run);
                if (--degree[other] == 1)
                    loose.push_back(other);
            }
        }
    }

    /// Direction in which a run leaves, clockwise on the screen, for rows grow downwards.
    double angleOf(Side side) const
    {
        constexpr std::size_t Look = 4;
        const std::vector<MaskCell>& cells = m_network.runs()[side / 2].cells;
        const std::size_t last = cells.size() - 1, look = std::min(Look, last);
        const MaskCell near = side % 2 == 0 ? cells.front() : cells.back(),
                       far = side % 2 == 0 ? cells[look] : cells[last - look];
        return std::atan2(far.row - near.row, far.column - near.column);
    }

    /// Runs that the ray crosses, with how far off, walked so that the place lies to the left.
    std::vector<std::pair<double, Side>> crossedBy(const InkRay& ray) const
    {
        std::vector<std::pair<double, Side>> crossed;
        for (std::size_t run = 0; run < m_kept.size(); ++run) {
            if (!m_kept[run])
                continue;
            const std::vector<MaskCell>& cells = m_network.runs()[run].cells;
            for (std::size_t i = 1; i < cells.size(); ++i)
                if (const auto away = ray.crossing(cells[i - 1], cells[i]))
                    crossed.push_back({*away, 2 * run + (cells[i].row < cells[i - 1].row ? 0U : 1U)});
        }
        return crossed;
    }

    /// Once round the area to the left.
    std::vector<Side> walkFrom(Side first) const
    {
        std::vector<Side> face;
        for (Side side = first; face.size() <= 2 * m_kept.size();) {
            face.push_back(side);
            const Side back = side ^ 1;
            const auto& leaving = m_leaving[startOf(back)];
            auto next = std::find_if(leaving.begin(), leaving.end(),
                                     [&](const auto& entry) { return entry.second == back; });
            if (++next == leaving.end())
                next = leaving.begin();
            side = next->second;
            if (side == first)
                break;
        }
        return face;
    }

    const InkNetwork& m_network;
    std::vector<bool> m_kept;
    std::vector<std::vector<std::pair<double, Side>>> m_leaving; ///< of each node, clockwise
};

} // namespace

InkRing faceAround(const InkNetwork& network, CellPoint place, double gapMm, double cellMm)
{
    // Gaps between dashes first: others may lead from a loose end to a line that it has nothing to do with.
    for (const double dearestGap : {0.35, 1.2})
        if (InkRing face = Faces(network, gapMm, cellMm, dearestGap).around(place); !face.cells.empty())
            return face;
    return {};
}

} // namespace inkpeg
