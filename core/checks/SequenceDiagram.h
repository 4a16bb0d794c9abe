// SPDX-License-Identifier: GPL-3.0-or-later
// The stratigraphic sequence as a diagram: the latest above, the earliest below, a line for each relation
// that does not follow from others; circles are shown as what they are.
//
//   const SequenceDiagram diagram = drawSequence(records.contexts, records.relations, {.trench = "T1"});
//   for (const DiagramUnit& unit : diagram.units) ...      // box, label, stage
//   for (const DiagramLine& line : diagram.lines) ...      // its points from the later to the earlier
//
// Lengths are millimetres of the sheet it may be printed on, x right, y down.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/checks/Stratigraphy.h"

namespace inkpeg {

struct DiagramPoint {
    double xMm = 0, yMm = 0;
};

/// A context, or several recorded as the same, in its box.
struct DiagramUnit {
    std::vector<std::string> contexts; ///< numbers
    std::string label;                 ///< in the brackets of the trade: "[1001]", "(1002) = (1015)"
    std::string kind;                  ///< "cut", "fill", ...; that of the first
    Stage stage = Stage::Listed;       ///< the least of its contexts
    bool registered = true;            ///< false if only a relation names it
    bool inLoop = false;
    double leftMm = 0, topMm = 0, widthMm = 0, heightMm = 0;

    bool holds(DiagramPoint point) const
    {
        return point.xMm >= leftMm && point.xMm <= leftMm + widthMm && point.yMm >= topMm &&
               point.yMm <= topMm + heightMm;
    }
    DiagramPoint middle() const { return {leftMm + widthMm / 2, topMm + heightMm / 2}; }
};

/// A line from the later unit to the earlier.
struct DiagramLine {
    std::size_t later = 0, earlier = 0; ///< into units
    bool inLoop = false;                ///< both ends lie on a circle together
    bool rising = false;                ///< drawn against the rest: the later stands below the earlier
    std::vector<DiagramPoint> points;   ///< from the later's box to the earlier's
};

struct SequenceDiagram {
    std::vector<DiagramUnit> units;
    std::vector<DiagramLine> lines;
    std::vector<std::vector<std::size_t>> loops; ///< a shortest one of each tangle, into units
    std::size_t leftOut = 0;                     ///< relations that follow from others
    std::size_t crossings = 0;
    /// Units without any relation stand in rows under this; absent when there are none.
    std::optional<double> unrelatedFromMm;
    double widthMm = 0, heightMm = 0;
};

struct SequenceSettings {
    std::string trench = {}; ///< only this one's contexts, and relations between them; empty = all
};

/// Shape: contexts in the order of the register. Never fails: no contexts give an empty diagram.
/// Source: transitive reduction as redundantSteps (Stratigraphy.h), layers as drawInLayers. The parts that
/// hang together are drawn side by side in rows, the largest first.
SequenceDiagram drawSequence(std::span<const Context> contexts, std::span<const Relation> relations,
                             const SequenceSettings& settings = {});

/// The same, watched. Errors: Cancelled.
Result<SequenceDiagram> drawSequence(std::span<const Context> contexts, std::span<const Relation> relations,
                                     const SequenceSettings& settings, const Progress& progress);

} // namespace inkpeg
