// SPDX-License-Identifier: GPL-3.0-or-later
// The stratigraphic sequence that the recorded relations add up to: which context is later than which,
// where they run in a circle, and which of them say nothing new.
//
//   const Stratigraphy sequence = readStratigraphy(contexts, relations);
//   for (const Loop& loop : findLoops(sequence))
//       ...                                        // loop.units: each later than the next, the last than
//       the first
//   for (std::size_t step : redundantSteps(sequence))
//       ...                                        // sequence.steps[step] follows from the others
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <unordered_map>
#include <vector>

#include "core/records/Records.h"

namespace inkpeg {

/// Contexts recorded as the same, taken together; mostly a single one.
struct Unit {
    std::vector<std::string> contexts; ///< numbers, in the order of the register
};

/// Unit `later` lies directly above, cuts or fills unit `earlier`, by the word of at least one relation.
struct Step {
    std::size_t later = 0;
    std::size_t earlier = 0;
    std::vector<std::size_t> relations; ///< indices into the relations that were read
};

struct Stratigraphy {
    std::vector<Unit> units;
    std::vector<Step> steps; ///< sorted by (later, earlier), each pair once, never later == earlier
    std::vector<std::size_t> firstStep;     ///< steps of unit u: firstStep[u] .. firstStep[u + 1]
    std::vector<std::size_t> selfRelations; ///< relations that put a unit above itself: indices
    std::unordered_map<std::string, std::size_t> unitOfContext;

    std::span<const Step> stepsFrom(std::size_t unit) const
    {
        return std::span(steps).subspan(firstStep[unit], firstStep[unit + 1] - firstStep[unit]);
    }
    std::optional<std::size_t> unitOf(const std::string& context) const;
};

/// True for the kinds that say which of two contexts is later (all but same-as and abuts).
bool isSequence(RelationKind kind);

/// True if `relation` says that `relation.context` is the later one. Only for isSequence kinds.
bool contextIsLater(RelationKind kind);

/// Reads the relations, whichever side they were written on; contexts that only a relation names get a unit
/// too. Time: linear in contexts and relations, but for sorting.
Stratigraphy readStratigraphy(std::span<const Context> contexts, std::span<const Relation> relations);

/// A circle: units[0] later than units[1] ... later than units[0]. At least two units.
struct Loop {
    std::vector<std::size_t> units;
    std::size_t tangle = 0; ///< how many units lie on some circle together with these
};

/// One shortest loop for each set of units that are all later than each other (strongly connected
/// component), in the order of units.
/// Source: Tarjan, Depth-first search and linear graph algorithms, SIAM J. Comput. 1 (1972); breadth-first
///         search from each unit for the shortest loop.
std::vector<Loop> findLoops(const Stratigraphy& sequence);

/// For each unit the set (strongly connected component) it belongs to; numbered so that a step between two
/// sets leads from the higher number to the lower.
struct UnitSets {
    std::vector<std::size_t> setOf;
    std::size_t count = 0;
};
UnitSets unitSets(const Stratigraphy& sequence);

/// Steps that follow from the other steps, as indices in rising order: with a step from a to c, another way
/// from a to c through a third set of units. Steps inside a loop are never among them. What remains without
/// them is the transitive reduction. Source: Aho, Garey & Ullman, The transitive reduction of a directed
/// graph, SIAM J. Comput. 1 (1972).
std::vector<std::size_t> redundantSteps(const Stratigraphy& sequence);

/// Answers "is a later than b, by any chain of steps?" many times over.
/// Source: Yildirim, Chaoji & Zaki, GRAIL: scalable reachability index for large graphs, PVLDB 3 (2010).
class Reach {
public:
    explicit Reach(const Stratigraphy& sequence);

    /// True if a chain of steps leads from `later` down to `earlier`; also when both lie in one loop or are
    /// one.
    bool reaches(std::size_t later, std::size_t earlier);

    /// The same between sets of units.
    bool reachesSet(std::size_t from, std::size_t to);

    const UnitSets& sets() const { return m_sets; }
    std::span<const std::size_t> below(std::size_t set) const
    {
        return std::span(m_below).subspan(m_firstBelow[set], m_firstBelow[set + 1] - m_firstBelow[set]);
    }

private:
    static constexpr int Labels = 3;
    struct Interval {
        std::uint32_t low = 0, high = 0;
    };
    bool mayReach(std::size_t from, std::size_t to) const;
    void label(int which, std::uint32_t seed);

    UnitSets m_sets;
    std::vector<std::size_t> m_firstBelow, m_below;
    std::vector<Interval> m_labels;     ///< Labels per set
    std::vector<std::uint32_t> m_depth; ///< longest chain of steps below each set
    std::vector<std::uint32_t> m_seen;
    std::uint32_t m_stamp = 0;
    std::vector<std::size_t> m_stack;
};

} // namespace inkpeg
