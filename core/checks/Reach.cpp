// SPDX-License-Identifier: GPL-3.0-or-later
// Reachability in the stratigraphic sequence, and what follows from it: the redundant steps.
#include <algorithm>
#include <numeric>
#include <random>

#include "core/checks/Stratigraphy.h"

namespace inkpeg {

Reach::Reach(const Stratigraphy& sequence) : m_sets(unitSets(sequence))
{
    std::vector<std::pair<std::size_t, std::size_t>> steps;
    for (const Step& step : sequence.steps) {
        const std::size_t later = m_sets.setOf[step.later], earlier = m_sets.setOf[step.earlier];
        if (later != earlier)
            steps.emplace_back(later, earlier);
    }
    std::sort(steps.begin(), steps.end());
    steps.erase(std::unique(steps.begin(), steps.end()), steps.end());
    m_firstBelow.assign(m_sets.count + 1, 0);
    for (const auto& [later, earlier] : steps) {
        ++m_firstBelow[later + 1];
        m_below.push_back(earlier);
    }
    std::partial_sum(m_firstBelow.begin(), m_firstBelow.end(), m_firstBelow.begin());
    m_depth.assign(m_sets.count, 0);
    // Steps lead from higher to lower set numbers, so counting up meets everything below first.
    for (std::size_t set = 0; set < m_sets.count; ++set)
        for (const std::size_t under : below(set))
            m_depth[set] = std::max(m_depth[set], m_depth[under] + 1);
    m_labels.assign(m_sets.count * Labels, {});
    for (int which = 0; which < Labels; ++which)
        label(which, static_cast<std::uint32_t>(which + 1));
    m_seen.assign(m_sets.count, 0);
}

/// Post-order numbers of a depth-first walk in random order: `high` is the set's own number, `low` the
/// lowest number of anything below it, so that an interval holds the intervals of all that can be reached.
void Reach::label(int which, std::uint32_t seed)
{
    std::mt19937 random(seed);
    std::vector<std::size_t> roots(m_sets.count);
    std::iota(roots.rbegin(), roots.rend(), std::size_t{0});
    std::shuffle(roots.begin(), roots.end(), random);
    // Walks must begin at sets that nothing lies above; those left over are reached from them.
    std::vector<char> covered(m_sets.count, 0), done(m_sets.count, 0);
    for (const std::size_t under : m_below)
        covered[under] = 1;
    struct Visit {
        std::size_t set, next, end, turn;
    };
    std::vector<Visit> walk;
    std::uint32_t clock = 0;
    const auto enter = [&](std::size_t set) {
        done[set] = 1;
        const std::size_t size = m_firstBelow[set + 1] - m_firstBelow[set];
        walk.push_back({set, 0, size, size ? random() % size : 0});
    };
    for (const std::size_t root : roots) {
        if (covered[root] || done[root])
            continue;
        enter(root);
        while (!walk.empty()) {
            Visit& visit = walk.back();
            if (visit.next < visit.end) {
                const std::size_t under = below(visit.set)[(visit.next++ + visit.turn) % visit.end];
                if (!done[under])
                    enter(under);
                continue;
            }
            const std::size_t set = visit.set;
            walk.pop_back();
            Interval& own = m_labels[set * Labels + static_cast<std::size_t>(which)];
            own = {clock, clock};
            for (const std::size_t under : below(set))
                own.low = std::min(own.low, m_labels[under * Labels + static_cast<std::size_t>(which)].low);
            ++clock;
        }
    }
}

bool Reach::mayReach(std::size_t from, std::size_t to) const
{
    if (m_depth[from] <= m_depth[to])
        return false;
    for (std::size_t i = 0; i < Labels; ++i) {
        const Interval outer = m_labels[from * Labels + i], inner = m_labels[to * Labels + i];
        if (inner.low < outer.low || inner.high > outer.high)
            return false;
    }
    return true;
}

bool Reach::reachesSet(std::size_t from, std::size_t to)
{
    if (from == to)
        return true;
    if (!mayReach(from, to))
        return false;
    ++m_stamp;
    m_stack.assign(1, from);
    while (!m_stack.empty()) {
        const std::size_t set = m_stack.back();
        m_stack.pop_back();
        for (const std::size_t under : below(set)) {
            if (under == to)
                return true;
            if (m_seen[under] != m_stamp && mayReach(under, to)) {
                m_seen[under] = m_stamp;
                m_stack.push_back(under);
            }
        }
    }
    return false;
}

bool Reach::reaches(std::size_t later, std::size_t earlier)
{
    return reachesSet(m_sets.setOf[later], m_sets.setOf[earlier]);
}

namespace {

/// With few steps from a set, asking one by one is cheap; a set that lies over thousands (a topsoil) is
/// swept once.
constexpr std::size_t FewSteps = 16;

/// Sets directly under `set` that can also be reached through another one directly under it.
class RedundantBelow {
public:
    explicit RedundantBelow(Reach& reach) : m_reach(reach), m_seen(reach.sets().count, 0) {}

    std::vector<std::size_t> of(std::size_t set)
    {
        const std::span<const std::size_t> below = m_reach.below(set);
        if (below.size() < 2)
            return {};
        return below.size() <= FewSteps ? byAsking(below) : bySweeping(below);
    }

private:
    std::vector<std::size_t> byAsking(std::span<const std::size_t> below)
    {
        std::vector<std::size_t> redundant;
        for (const std::size_t target : below)
            for (const std::size_t other : below)
                if (other > target && m_reach.reachesSet(other, target)) {
                    redundant.push_back(target);
                    break;
                }
        return redundant;
    }
    /// Everything strictly below the members, marked once; the walk never goes below the lowest member.
    std::vector<std::size_t> bySweeping(std::span<const std::size_t> below)
    {
        ++m_stamp;
        const std::size_t lowest = below.front();
        std::vector<std::size_t> stack(below.begin(), below.end());
        while (!stack.empty()) {
            const std::size_t from = stack.back();
            stack.pop_back();
            for (const std::size_t under : m_reach.below(from))
                if (under >= lowest && m_seen[under] != m_stamp) {
                    m_seen[under] = m_stamp;
                    stack.push_back(under);
                }
        }
        std::vector<std::size_t> redundant;
        std::copy_if(below.begin(), below.end(), std::back_inserter(redundant),
                     [&](std::size_t target) { return m_seen[target] == m_stamp; });
        return redundant;
    }

    Reach& m_reach;
    std::vector<std::uint32_t> m_seen;
    std::uint32_t m_stamp = 0;
};

} // namespace

std::vector<std::size_t> redundantSteps(const Stratigraphy& sequence)
{
    Reach reach(sequence);
    const std::vector<std::size_t>& setOf = reach.sets().setOf;
    RedundantBelow search(reach);
    std::vector<std::vector<std::size_t>> redundantBelow(reach.sets().count);
    for (std::size_t set = 0; set < redundantBelow.size(); ++set)
        redundantBelow[set] = search.of(set); // in rising order, as below() is
    std::vector<std::size_t> redundant;
    for (std::size_t i = 0; i < sequence.steps.size(); ++i) {
        const std::size_t later = setOf[sequence.steps[i].later],
                          earlier = setOf[sequence.steps[i].earlier];
        const std::vector<std::size_t>& under = redundantBelow[later];
        if (later != earlier && std::binary_search(under.begin(), under.end(), earlier))
            redundant.push_back(i);
    }
    return redundant;
}

} // namespace inkpeg
