// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/Stratigraphy.h"

#include <algorithm>
#include <numeric>
#include <tuple>

namespace inkpeg {

namespace {

/// Union-find over context numbers, for same-as.
class Merging {
public:
    std::size_t numberOf(const std::string& context)
    {
        const auto [place, isNew] = m_index.try_emplace(context, m_names.size());
        if (isNew) {
            m_names.push_back(context);
            m_parent.push_back(place->second);
        }
        return place->second;
    }
    std::size_t root(std::size_t item)
    {
        while (m_parent[item] != item) {
            m_parent[item] = m_parent[m_parent[item]];
            item = m_parent[item];
        }
        return item;
    }
    /// The lower number stays root, so that units come in the order of the register.
    void merge(std::size_t a, std::size_t b)
    {
        const std::size_t rootA = root(a), rootB = root(b);
        m_parent[std::max(rootA, rootB)] = std::min(rootA, rootB);
    }
    const std::vector<std::string>& names() const { return m_names; }

private:
    std::unordered_map<std::string, std::size_t> m_index;
    std::vector<std::string> m_names;
    std::vector<std::size_t> m_parent;
};

void fillUnits(Stratigraphy& sequence, Merging& merging)
{
    const std::vector<std::string>& names = merging.names();
    std::vector<std::size_t> unitOfRoot(names.size(), names.size());
    for (std::size_t i = 0; i < names.size(); ++i) {
        std::size_t& unit = unitOfRoot[merging.root(i)];
        if (unit == names.size()) {
            unit = sequence.units.size();
            sequence.units.emplace_back();
        }
        sequence.units[unit].contexts.push_back(names[i]);
        sequence.unitOfContext.emplace(names[i], unit);
    }
}

void fillSteps(Stratigraphy& sequence, std::span<const Relation> relations)
{
    struct Said {
        std::size_t later, earlier, relation;
    };
    std::vector<Said> said;
    for (std::size_t i = 0; i < relations.size(); ++i) {
        const Relation& relation = relations[i];
        if (!isSequence(relation.kind))
            continue;
        std::size_t later = sequence.unitOfContext.at(relation.context);
        std::size_t earlier = sequence.unitOfContext.at(relation.other);
        if (!contextIsLater(relation.kind))
            std::swap(later, earlier);
        if (later == earlier)
            sequence.selfRelations.push_back(i);
        else
            said.push_back({later, earlier, i});
    }
    std::sort(said.begin(), said.end(), [](const Said& a, const Said& b) {
        return std::tie(a.later, a.earlier, a.relation) < std::tie(b.later, b.earlier, b.relation);
    });
    sequence.firstStep.assign(sequence.units.size() + 1, 0);
    for (const Said& one : said) {
        if (sequence.steps.empty() || sequence.steps.back().later != one.later ||
            sequence.steps.back().earlier != one.earlier) {
            sequence.steps.push_back({one.later, one.earlier, {}});
            ++sequence.firstStep[one.later + 1];
        }
        sequence.steps.back().relations.push_back(one.relation);
    }
    std::partial_sum(sequence.firstStep.begin(), sequence.firstStep.end(), sequence.firstStep.begin());
}

/// Breadth-first search for the shortest way from `start` back to itself inside its set, shorter than
/// `limit` steps.
class LoopSearch {
public:
    LoopSearch(const Stratigraphy& sequence, const UnitSets& sets)
        : m_sequence(sequence), m_sets(sets), m_from(sequence.units.size()),
          m_seen(sequence.units.size(), 0)
    {
    }

    /// The units of the loop, or empty.
    std::vector<std::size_t> through(std::size_t start, std::size_t limit)
    {
        ++m_stamp;
        std::vector<std::size_t> front{start}, next;
        m_seen[start] = m_stamp;
        for (std::size_t length = 1; length < limit && !front.empty(); ++length) {
            for (const std::size_t unit : front)
                for (const Step& step : m_sequence.stepsFrom(unit)) {
                    if (step.earlier == start)
                        return wayTo(unit, start);
                    if (m_seen[step.earlier] == m_stamp ||
                        m_sets.setOf[step.earlier] != m_sets.setOf[start])
                        continue;
                    m_seen[step.earlier] = m_stamp;
                    m_from[step.earlier] = unit;
                    next.push_back(step.earlier);
                }
            front.swap(next);
            next.clear();
        }
        return {};
    }

private:
    std::vector<std::size_t> wayTo(std::size_t unit, std::size_t start) const
    {
        std::vector<std::size_t> way{unit};
        while (way.back() != start)
            way.push_back(m_from[way.back()]);
        std::reverse(way.begin(), way.end());
        return way;
    }

    const Stratigraphy& m_sequence;
    const UnitSets& m_sets;
    std::vector<std::size_t> m_from;
    std::vector<std::uint32_t> m_seen;
    std::uint32_t m_stamp = 0;
};

/// Tarjan's algorithm with its own stack: sequences can be thousands of contexts deep.
class SetSearch {
public:
    explicit SetSearch(const Stratigraphy& sequence)
        : m_sequence(sequence), m_order(sequence.units.size(), 0), m_low(sequence.units.size(), 0),
          m_next(sequence.units.size(), 0)
    {
        m_found.setOf.assign(sequence.units.size(), Unset);
    }

    UnitSets run()
    {
        for (std::size_t unit = 0; unit < m_order.size(); ++unit)
            if (m_order[unit] == 0)
                searchFrom(unit);
        return std::move(m_found);
    }

private:
    static constexpr std::size_t Unset = static_cast<std::size_t>(-1);

    void enter(std::size_t unit)
    {
        m_order[unit] = m_low[unit] = ++m_clock;
        m_path.push_back(unit);
        m_open.push_back(unit);
    }
    void searchFrom(std::size_t start)
    {
        enter(start);
        while (!m_path.empty()) {
            const std::size_t unit = m_path.back();
            const std::span<const Step> steps = m_sequence.stepsFrom(unit);
            if (m_next[unit] < steps.size()) {
                const std::size_t below = steps[m_next[unit]++].earlier;
                if (m_order[below] == 0)
                    enter(below);
                else if (m_found.setOf[below] == Unset)
                    m_low[unit] = std::min(m_low[unit], m_order[below]);
                continue;
            }
            m_path.pop_back();
            if (!m_path.empty())
                m_low[m_path.back()] = std::min(m_low[m_path.back()], m_low[unit]);
            if (m_low[unit] == m_order[unit])
                close(unit);
        }
    }
    void close(std::size_t unit)
    {
        std::size_t member = Unset;
        do {
            member = m_open.back();
            m_open.pop_back();
            m_found.setOf[member] = m_found.count;
        } while (member != unit);
        ++m_found.count;
    }

    const Stratigraphy& m_sequence;
    std::vector<std::size_t> m_order, m_low, m_next, m_path, m_open;
    std::size_t m_clock = 0;
    UnitSets m_found;
};

} // namespace

std::optional<std::size_t> Stratigraphy::unitOf(const std::string& context) const
{
    const auto place = unitOfContext.find(context);
    return place == unitOfContext.end() ? std::nullopt : std::optional(place->second);
}

bool isSequence(RelationKind kind)
{
    return kind != RelationKind::SameAs && kind != RelationKind::Abuts;
}

bool contextIsLater(RelationKind kind)
{
    return kind == RelationKind::Above || kind == RelationKind::Cuts || kind == RelationKind::Fills;
}

Stratigraphy readStratigraphy(std::span<const Context> contexts, std::span<const Relation> relations)
{
    Merging merging;
    for (const Context& context : contexts)
        merging.numberOf(context.number);
    for (const Relation& relation : relations) {
        const std::size_t one = merging.numberOf(relation.context);
        const std::size_t other = merging.numberOf(relation.other);
        if (relation.kind == RelationKind::SameAs)
            merging.merge(one, other);
    }
    Stratigraphy sequence;
    fillUnits(sequence, merging);
    fillSteps(sequence, relations);
    return sequence;
}

UnitSets unitSets(const Stratigraphy& sequence)
{
    return SetSearch(sequence).run();
}

std::vector<Loop> findLoops(const Stratigraphy& sequence)
{
    const UnitSets sets = unitSets(sequence);
    std::vector<std::size_t> sizes(sets.count, 0);
    for (const std::size_t set : sets.setOf)
        ++sizes[set];
    constexpr std::size_t None = static_cast<std::size_t>(-1);
    std::vector<std::size_t> loopOfSet(sets.count, None);
    std::vector<Loop> loops;
    LoopSearch search(sequence, sets);
    for (std::size_t unit = 0; unit < sequence.units.size(); ++unit) {
        const std::size_t set = sets.setOf[unit];
        if (sizes[set] < 2)
            continue;
        const std::size_t limit =
            loopOfSet[set] == None ? sizes[set] + 1 : loops[loopOfSet[set]].units.size();
        std::vector<std::size_t> units = search.through(unit, limit);
        if (units.empty())
            continue;
        if (loopOfSet[set] == None) {
            loopOfSet[set] = loops.size();
            loops.push_back({std::move(units), sizes[set]});
        } else {
            loops[loopOfSet[set]].units = std::move(units);
        }
    }
    return loops;
}

} // namespace inkpeg
