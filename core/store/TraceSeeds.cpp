// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/TraceSeeds.h"

#include <algorithm>
#include <optional>

#include "core/base/Csv.h"
#include "core/base/Text.h"
#include "core/film/InkPath.h"

namespace inkpeg {

namespace {

struct SeedColumns {
    std::size_t drawing = 0, context = 0, way = 0, column = 0, row = 0;
    std::optional<std::size_t> edge, wider, part;
};

Result<SeedColumns> seedColumns(const CsvTable& table, const std::string& file)
{
    SeedColumns columns;
    for (const auto& [name, place] : {std::pair{"drawing", &columns.drawing},
                                      {"context", &columns.context},
                                      {"way", &columns.way},
                                      {"column", &columns.column},
                                      {"row", &columns.row}}) {
        const std::optional<std::size_t> found = table.column(name);
        if (!found)
            return Error{ErrorCode::BadInput,
                         file + ": there is no column \"" + name +
                             "\"; seeds want drawing, context, way (area, ink or straight), column, row "
                             "(pixels in the scan) and may have edge, wider, part"};
        *place = *found;
    }
    columns.edge = table.column("edge");
    columns.wider = table.column("wider");
    columns.part = table.column("part");
    return columns;
}

/// A row of the file while it is being read.
class SeedRow {
public:
    SeedRow(const CsvRow& row, const SeedColumns& columns, const std::string& file)
        : m_row(row), m_columns(columns), m_file(file)
    {
    }

    Error wrong(const std::string& words) const
    {
        return {ErrorCode::BadInput, m_file + ", line " + std::to_string(m_row.line) + ": " + words};
    }
    std::string cell(std::size_t column) const { return cellAsMeant(trimmed(m_row.fields[column])); }
    std::string cell(std::optional<std::size_t> column) const
    {
        return column ? cell(*column) : std::string();
    }

    Result<TraceSeed> seed() const
    {
        TraceSeed seed;
        seed.line = m_row.line;
        for (const auto& [name, index] :
             {std::pair{"drawing", m_columns.drawing}, {"context", m_columns.context}})
            if (cell(index).empty())
                return wrong(std::string("column ") + name + " is empty");
        const std::string way = cell(m_columns.way);
        if (way != "area" && way != "ink" && way != "straight")
            return wrong("column way: \"" + way + "\" is none of area, ink, straight");
        seed.way = way == "area" ? SeedWay::Area : way == "ink" ? SeedWay::Ink : SeedWay::Straight;
        for (const auto& [name, index, value] : {std::tuple{"column", m_columns.column, &seed.at.column},
                                                 {"row", m_columns.row, &seed.at.row}}) {
            const std::optional<double> number = parseNumber(cell(index));
            if (!number || *number < 0)
                return wrong(std::string("column ") + name + ": \"" + cell(index) +
                             "\" is not a number of pixels, e.g. 1204.5");
            *value = *number;
        }
        if (const std::string edge = cell(m_columns.edge); !edge.empty()) {
            const Result<EdgeKind> kind = edgeKindNamed(edge);
            if (!kind)
                return wrong("column edge: " + kind.error().message);
            seed.edge = *kind;
        }
        if (const std::string wider = cell(m_columns.wider); !wider.empty()) {
            const std::optional<long long> steps = parseWhole(wider);
            if (!steps || *steps < 0 || *steps > 100)
                return wrong("column wider: \"" + wider + "\" is not a number of steps, 0 to 100");
            seed.wider = static_cast<int>(*steps);
        }
        return seed;
    }

private:
    const CsvRow& m_row;
    const SeedColumns& m_columns;
    const std::string& m_file;
};

/// Ways around an outline need enough places to hold an area.
Result<void> checkWays(const SeededOutline& outline, const std::string& file)
{
    const TraceSeed& first = outline.seeds.front();
    if (first.way == SeedWay::Area)
        return {};
    const bool follows =
        std::ranges::any_of(outline.seeds, [](const TraceSeed& seed) { return seed.way == SeedWay::Ink; });
    const std::size_t fewest = follows ? 2 : 3;
    if (outline.seeds.size() >= fewest)
        return {};
    return Error{ErrorCode::BadInput,
                 file + ", line " + std::to_string(first.line) + ": context " + outline.context + " on " +
                     outline.drawing + " has " + std::to_string(outline.seeds.size()) +
                     " place(s) along its edge; an outline needs at least " + std::to_string(fewest) +
                     ", or one inside it with the way \"area\""};
}

Error atSeed(const TraceSeed& seed, const Error& error)
{
    return {error.code, "line " + std::to_string(seed.line) + ": " + error.message};
}

/// A vertex on the lattice, unless it is where the last one is.
void push(Ring& ring, ScanPx at, EdgeKind kind)
{
    const ScanPx vertex = onLattice(at);
    if (!ring.vertices.empty() && ring.vertices.back() == vertex)
        return;
    ring.vertices.push_back(vertex);
    ring.kinds.push_back(kind);
}

Result<TracedRing> traceArea(const FilmInk& ink, const TraceSeed& seed, const TraceSettings& settings)
{
    InkAreaSettings asked;
    asked.gapMm = settings.gapMm;
    asked.toleranceMm = settings.toleranceMm;
    const Result<std::vector<InkArea>> areas = outlinesAround(ink.map, ink.network, seed.at, asked);
    if (!areas)
        return atSeed(seed, areas.error());
    const InkArea& area = widerBy(*areas, static_cast<std::size_t>(seed.wider));
    TracedRing traced;
    for (const ScanPx& vertex : area.vertices)
        push(traced.ring, vertex, seed.edge);
    traced.gaps = area.gaps;
    traced.doubt = area.doubt;
    return traced;
}

Result<TracedRing> traceWays(const FilmInk& ink, const std::vector<TraceSeed>& seeds,
                             const TraceSettings& settings)
{
    InkPathSettings asked;
    asked.toleranceMm = settings.toleranceMm;
    std::vector<ScanPx> places;
    for (const TraceSeed& seed : seeds)
        places.push_back(onLattice(nearestInk(ink.map, seed.at, settings.reachMm).value_or(seed.at)));
    TracedRing traced;
    double followedMm = 0, onInkMm = 0;
    for (std::size_t i = 0; i < seeds.size(); ++i) {
        const ScanPx from = places[i], to = places[(i + 1) % places.size()];
        push(traced.ring, from, seeds[i].edge);
        if (seeds[i].way != SeedWay::Ink)
            continue;
        const Result<InkPath> path = followInk(ink.map, from, to, asked);
        if (!path)
            return atSeed(seeds[i], path.error());
        for (std::size_t v = 1; v + 1 < path->vertices.size(); ++v)
            push(traced.ring, path->vertices[v], seeds[i].edge);
        followedMm += path->lengthMm;
        onInkMm += path->inkShare * path->lengthMm;
    }
    traced.inkShare = followedMm > 0 ? onInkMm / followedMm : 1;
    return traced;
}

} // namespace

Result<std::vector<SeededOutline>> readTraceSeeds(const std::filesystem::path& file)
{
    const std::string name = file.string();
    const Result<CsvTable> table = readCsvFile(file);
    if (!table)
        return table.error();
    const Result<SeedColumns> columns = seedColumns(*table, name);
    if (!columns)
        return columns.error();
    std::vector<SeededOutline> outlines;
    std::string lastPart;
    for (const CsvRow& row : table->rows) {
        const SeedRow read(row, *columns, name);
        const Result<TraceSeed> seed = read.seed();
        if (!seed)
            return seed.error();
        const std::string drawing = read.cell(columns->drawing), context = read.cell(columns->context),
                          part = read.cell(columns->part);
        const bool goesOn = seed->way != SeedWay::Area && !outlines.empty() &&
                            outlines.back().seeds.back().way != SeedWay::Area &&
                            outlines.back().drawing == drawing && outlines.back().context == context &&
                            lastPart == part;
        if (!goesOn)
            outlines.push_back({drawing, context, {}});
        outlines.back().seeds.push_back(*seed);
        lastPart = part;
    }
    if (outlines.empty())
        return Error{ErrorCode::BadInput, name + ": holds no seeds"};
    for (const SeededOutline& outline : outlines)
        if (const Result<void> enough = checkWays(outline, name); !enough)
            return enough.error();
    return outlines;
}

Result<TracedRing> traceSeeds(const FilmInk& ink, const SeededOutline& outline,
                              const TraceSettings& settings)
{
    const TraceSeed& first = outline.seeds.front();
    Result<TracedRing> traced = first.way == SeedWay::Area ? traceArea(ink, first, settings)
                                                           : traceWays(ink, outline.seeds, settings);
    if (!traced)
        return traced.error();
    Ring& ring = traced->ring;
    if (ring.vertices.size() > 1 && ring.vertices.back() == ring.vertices.front()) {
        ring.vertices.pop_back();
        ring.kinds.pop_back();
    }
    if (ring.vertices.size() < 3)
        return atSeed(first, {ErrorCode::BadInput, "the outline has less than three vertices"});
    return traced;
}

} // namespace inkpeg
