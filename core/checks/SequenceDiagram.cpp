// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/SequenceDiagram.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <set>

#include "core/checks/LayeredDrawing.h"
#include "core/records/Numbers.h"

namespace inkpeg {

namespace {

constexpr double BoxHeightMm = 11;
constexpr double LayerMm = 21; ///< from the top of a layer to the top of the next
constexpr double GapMm = 4;
constexpr double BetweenPartsMm = 12;
constexpr double LetterMm = 2.3; ///< room for a letter of 9 points
constexpr double CaptionMm = 8;  ///< over the units without a relation

/// What was asked for, as a sequence of its own.
struct Asked {
    std::vector<Context> contexts;
    std::vector<Relation> relations;
};

Asked askedOf(std::span<const Context> contexts, std::span<const Relation> relations,
              const std::string& trench)
{
    Asked asked;
    std::set<std::string> known;
    for (const Context& context : contexts)
        if (trench.empty() || context.trench == trench) {
            asked.contexts.push_back(context);
            known.insert(context.number);
        }
    for (const Relation& relation : relations)
        if (trench.empty() || (known.contains(relation.context) && known.contains(relation.other)))
            asked.relations.push_back(relation);
    return asked;
}

DiagramUnit unitOf(const Unit& unit, const std::map<std::string, const Context*>& records)
{
    DiagramUnit shown;
    shown.contexts = unit.contexts;
    bool first = true;
    for (const std::string& number : unit.contexts) {
        const auto record = records.find(number);
        const bool known = record != records.end();
        const Stage stage = known ? record->second->stage : Stage::Listed;
        shown.label += (first ? "" : " = ") + (known ? contextNumberShown(*record->second) : number + " ?");
        shown.stage = first ? stage : std::min(shown.stage, stage);
        shown.registered = shown.registered && known;
        if (first && known)
            shown.kind = record->second->kind;
        first = false;
    }
    shown.widthMm = std::max(19.0, 6 + LetterMm * static_cast<double>(shown.label.size()));
    shown.heightMm = BoxHeightMm;
    return shown;
}

/// The steps to be drawn; those found against the direction of a walk from the top run in a circle and are
/// turned for the layers.
struct Drawn {
    std::vector<std::size_t> steps; ///< into sequence.steps
    std::vector<bool> turned;
};

Drawn stepsToDraw(const Stratigraphy& sequence)
{
    Drawn drawn;
    const std::vector<std::size_t> redundant = redundantSteps(sequence);
    std::vector<std::vector<std::size_t>> from(sequence.units.size());
    for (std::size_t i = 0; i < sequence.steps.size(); ++i)
        if (!std::binary_search(redundant.begin(), redundant.end(), i)) {
            from[sequence.steps[i].later].push_back(drawn.steps.size());
            drawn.steps.push_back(i);
        }
    drawn.turned.assign(drawn.steps.size(), false);
    enum class Met : char { No, OnTheWay, Done };
    std::vector<Met> met(sequence.units.size(), Met::No);
    std::vector<std::size_t> next(sequence.units.size(), 0), way;
    std::vector<char> covered(sequence.units.size(), 0);
    for (const Step& step : sequence.steps)
        covered[step.earlier] = 1;
    const auto walkFrom = [&](std::size_t start) {
        if (met[start] != Met::No)
            return;
        met[start] = Met::OnTheWay;
        way.push_back(start);
        while (!way.empty()) {
            const std::size_t unit = way.back();
            if (next[unit] == from[unit].size()) {
                met[unit] = Met::Done;
                way.pop_back();
                continue;
            }
            const std::size_t edge = from[unit][next[unit]++];
            const std::size_t below = sequence.steps[drawn.steps[edge]].earlier;
            if (met[below] == Met::OnTheWay) {
                drawn.turned[edge] = true;
            } else if (met[below] == Met::No) {
                met[below] = Met::OnTheWay;
                way.push_back(below);
            }
        }
    };
    for (const bool onlyTops : {true, false})
        for (std::size_t unit = 0; unit < sequence.units.size(); ++unit)
            if (!onlyTops || !covered[unit])
                walkFrom(unit);
    return drawn;
}

/// Units that hang together, the largest part first; single ones without a line come as parts of one.
std::vector<std::vector<std::size_t>> partsOf(std::size_t units, const Stratigraphy& sequence,
                                              const Drawn& drawn)
{
    std::vector<std::size_t> parent(units);
    std::iota(parent.begin(), parent.end(), std::size_t{0});
    const auto root = [&](std::size_t unit) {
        while (parent[unit] != unit)
            unit = parent[unit] = parent[parent[unit]];
        return unit;
    };
    for (const std::size_t step : drawn.steps) {
        const std::size_t a = root(sequence.steps[step].later), b = root(sequence.steps[step].earlier);
        parent[std::max(a, b)] = std::min(a, b);
    }
    std::map<std::size_t, std::vector<std::size_t>> byRoot;
    for (std::size_t unit = 0; unit < units; ++unit)
        byRoot[root(unit)].push_back(unit);
    std::vector<std::vector<std::size_t>> parts;
    for (auto& [unit, members] : byRoot)
        parts.push_back(std::move(members));
    std::stable_sort(parts.begin(), parts.end(),
                     [](const auto& a, const auto& b) { return a.size() > b.size(); });
    return parts;
}

double topOfLayer(std::size_t layer)
{
    return static_cast<double>(layer) * LayerMm;
}

/// Where a line passes a layer it runs straight past the boxes beside it.
void addPassing(std::vector<DiagramPoint>& points, double xMm, double layerTopMm)
{
    points.push_back({xMm, layerTopMm});
    points.push_back({xMm, layerTopMm + BoxHeightMm});
}

class DiagramMaking {
public:
    DiagramMaking(const Asked& asked, const Progress& progress)
        : m_sequence(readStratigraphy(asked.contexts, asked.relations)), m_progress(progress)
    {
        std::map<std::string, const Context*> records;
        for (const Context& context : asked.contexts)
            records.emplace(context.number, &context);
        for (const Unit& unit : m_sequence.units)
            m_diagram.units.push_back(unitOf(unit, records));
        for (const Loop& loop : findLoops(m_sequence))
            m_diagram.loops.push_back(loop.units);
        markLoops();
        m_drawn = stepsToDraw(m_sequence);
        m_diagram.leftOut = m_sequence.steps.size() - m_drawn.steps.size();
        m_indexInPart.assign(m_diagram.units.size(), 0);
    }

    SequenceDiagram make()
    {
        std::vector<std::size_t> unrelated;
        const std::vector<std::vector<std::size_t>> parts =
            partsOf(m_diagram.units.size(), m_sequence, m_drawn);
        groupEdges(parts);
        std::vector<LaidPart> laid;
        for (std::size_t part = 0; part < parts.size(); ++part) {
            if (parts[part].size() == 1)
                unrelated.push_back(parts[part].front());
            else
                laid.push_back(layPart(parts[part], m_edgesOfPart[part]));
        }
        placeParts(laid);
        placeUnrelated(unrelated);
        return std::move(m_diagram);
    }

private:
    void markLoops()
    {
        const UnitSets sets = unitSets(m_sequence);
        std::vector<std::size_t> size(sets.count, 0);
        for (const std::size_t set : sets.setOf)
            ++size[set];
        m_setOf = sets.setOf;
        for (std::size_t unit = 0; unit < m_diagram.units.size(); ++unit)
            m_diagram.units[unit].inLoop = size[sets.setOf[unit]] > 1;
    }
    void groupEdges(const std::vector<std::vector<std::size_t>>& parts)
    {
        std::vector<std::size_t> partOf(m_diagram.units.size());
        for (std::size_t part = 0; part < parts.size(); ++part)
            for (const std::size_t unit : parts[part])
                partOf[unit] = part;
        m_edgesOfPart.assign(parts.size(), {});
        for (std::size_t edge = 0; edge < m_drawn.steps.size(); ++edge)
            m_edgesOfPart[partOf[m_sequence.steps[m_drawn.steps[edge]].later]].push_back(edge);
    }

    /// A part that hangs together, drawn by itself.
    struct LaidPart {
        std::vector<std::size_t> units, edges;
        std::vector<LayeredEdge> layered; ///< as edges, among the units of the part
        LayeredDrawing drawing;

        double heightMm() const { return topOfLayer(drawing.layers - 1) + BoxHeightMm; }
    };

    LaidPart layPart(const std::vector<std::size_t>& units, const std::vector<std::size_t>& edges)
    {
        LaidPart part{units, edges, {}, {}};
        std::vector<double> widths;
        for (std::size_t i = 0; i < units.size(); ++i) {
            widths.push_back(m_diagram.units[units[i]].widthMm);
            m_indexInPart[units[i]] = i;
        }
        for (const std::size_t edge : edges) {
            const Step& step = m_sequence.steps[m_drawn.steps[edge]];
            part.layered.push_back({m_indexInPart[step.later], m_indexInPart[step.earlier]});
            if (m_drawn.turned[edge])
                std::swap(part.layered.back().from, part.layered.back().to);
        }
        part.drawing = drawInLayers(widths, part.layered, GapMm, m_progress);
        m_diagram.crossings += part.drawing.crossings;
        return part;
    }

    /// Side by side in rows, so that the whole is about half as wide again as it is high.
    void placeParts(const std::vector<LaidPart>& parts)
    {
        double areaMm2 = 0, roomMm = 0;
        for (const LaidPart& part : parts) {
            areaMm2 += (part.drawing.width + BetweenPartsMm) * (part.heightMm() + BetweenPartsMm);
            roomMm = std::max(roomMm, part.drawing.width);
        }
        roomMm = std::max(roomMm, std::sqrt(1.5 * areaMm2));
        double xMm = 0, yMm = 0, rowMm = 0;
        for (const LaidPart& part : parts) {
            if (xMm > 0 && xMm + part.drawing.width > roomMm) {
                xMm = 0;
                yMm += rowMm + 2 * BetweenPartsMm;
                rowMm = 0;
            }
            place(part, xMm, yMm);
            rowMm = std::max(rowMm, part.heightMm());
            m_diagram.widthMm = std::max(m_diagram.widthMm, xMm + part.drawing.width);
            m_diagram.heightMm = std::max(m_diagram.heightMm, yMm + part.heightMm());
            xMm += part.drawing.width + BetweenPartsMm;
        }
    }

    void place(const LaidPart& part, double leftMm, double topMm)
    {
        const LayeredDrawing& drawing = part.drawing;
        for (std::size_t i = 0; i < part.units.size(); ++i) {
            DiagramUnit& unit = m_diagram.units[part.units[i]];
            unit.leftMm = leftMm + drawing.x[i] - unit.widthMm / 2;
            unit.topMm = topMm + topOfLayer(drawing.layer[i]);
        }
        for (std::size_t i = 0; i < part.edges.size(); ++i) {
            std::vector<DiagramPoint> bends;
            for (std::size_t k = 0; k < drawing.bends[i].size(); ++k)
                addPassing(bends, leftMm + drawing.bends[i][k],
                           topMm + topOfLayer(drawing.layer[part.layered[i].from] + 1 + k));
            addLine(part.edges[i], part.units[part.layered[i].from], part.units[part.layered[i].to], bends);
        }
    }

    void addLine(std::size_t edge, std::size_t upper, std::size_t lower,
                 const std::vector<DiagramPoint>& bends)
    {
        const Step& step = m_sequence.steps[m_drawn.steps[edge]];
        DiagramLine line{step.later,
                         step.earlier,
                         m_setOf[step.later] == m_setOf[step.earlier],
                         m_drawn.turned[edge],
                         {}};
        const DiagramUnit& above = m_diagram.units[upper];
        const DiagramUnit& below = m_diagram.units[lower];
        line.points.push_back({above.middle().xMm, above.topMm + above.heightMm});
        line.points.insert(line.points.end(), bends.begin(), bends.end());
        line.points.push_back({below.middle().xMm, below.topMm});
        if (line.rising)
            std::reverse(line.points.begin(), line.points.end());
        m_diagram.lines.push_back(std::move(line));
    }

    /// Rows about as wide as the rest.
    void placeUnrelated(const std::vector<std::size_t>& units)
    {
        if (units.empty())
            return;
        const double roomMm = std::max(m_diagram.widthMm, 180.0);
        double xMm = 0;
        double yMm = m_diagram.heightMm > 0 ? m_diagram.heightMm + CaptionMm * 2 : CaptionMm;
        m_diagram.unrelatedFromMm = yMm - CaptionMm;
        for (const std::size_t index : units) {
            DiagramUnit& unit = m_diagram.units[index];
            if (xMm > 0 && xMm + unit.widthMm > roomMm) {
                xMm = 0;
                yMm += BoxHeightMm + GapMm;
            }
            unit.leftMm = xMm;
            unit.topMm = yMm;
            xMm += unit.widthMm + GapMm;
            m_diagram.widthMm = std::max(m_diagram.widthMm, xMm - GapMm);
        }
        m_diagram.heightMm = yMm + BoxHeightMm;
    }

    Stratigraphy m_sequence;
    const Progress& m_progress;
    SequenceDiagram m_diagram;
    Drawn m_drawn;
    std::vector<std::size_t> m_setOf;
    std::vector<std::size_t> m_indexInPart; ///< of a unit, its index within its part
    std::vector<std::vector<std::size_t>> m_edgesOfPart;
};

} // namespace

Result<SequenceDiagram> drawSequence(std::span<const Context> contexts, std::span<const Relation> relations,
                                     const SequenceSettings& settings, const Progress& progress)
{
    bool stopped = false;
    const Progress watched = [&](double share) {
        stopped = stopped || !report(progress, share);
        return !stopped;
    };
    const Asked asked = askedOf(contexts, relations, settings.trench);
    SequenceDiagram diagram = DiagramMaking(asked, watched).make();
    if (stopped)
        return Error{ErrorCode::Cancelled, "drawing the sequence was stopped"};
    return diagram;
}

SequenceDiagram drawSequence(std::span<const Context> contexts, std::span<const Relation> relations,
                             const SequenceSettings& settings)
{
    return DiagramMaking(askedOf(contexts, relations, settings.trench), {}).make();
}

} // namespace inkpeg
