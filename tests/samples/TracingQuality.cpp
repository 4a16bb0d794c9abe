// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/samples/TracingQuality.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <stdexcept>

#include <nlohmann/json.hpp>

#include "core/base/Csv.h"
#include "core/base/Text.h"
#include "core/film/FilmInk.h"
#include "core/film/InkArea.h"

namespace inkpeg::quality {

namespace {

using nlohmann::json;

double distanceToRing(ScanPx p, const std::vector<ScanPx>& ring)
{
    double nearest = 1e12;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const ScanPx a = ring[i], b = ring[(i + 1) % ring.size()];
        const double dx = b.column - a.column, dy = b.row - a.row, square = dx * dx + dy * dy;
        const double t =
            square > 0 ? std::clamp(((p.column - a.column) * dx + (p.row - a.row) * dy) / square, 0.0, 1.0)
                       : 0.0;
        nearest = std::min(nearest, std::hypot(p.column - a.column - t * dx, p.row - a.row - t * dy));
    }
    return nearest;
}

Misfit oneWay(const std::vector<ScanPx>& ring, const std::vector<ScanPx>& other, double pxPerMm)
{
    constexpr double EveryMm = 0.2;
    std::vector<double> away;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const ScanPx a = ring[i], b = ring[(i + 1) % ring.size()];
        const int steps = std::max(1, static_cast<int>(distance(a, b) / pxPerMm / EveryMm));
        for (int s = 0; s < steps; ++s) {
            const double t = static_cast<double>(s) / steps;
            away.push_back(distanceToRing({a.column + t * (b.column - a.column), a.row + t * (b.row - a.row)},
                                          other) /
                           pxPerMm);
        }
    }
    std::sort(away.begin(), away.end());
    Misfit misfit;
    for (const double mm : away)
        misfit.meanMm += mm / static_cast<double>(away.size());
    misfit.ninetyFiveMm = away[away.size() * 95 / 100];
    return misfit;
}

std::vector<ScanPx> ringOf(const json& outline)
{
    std::vector<ScanPx> ring;
    for (const json& p : outline["px"])
        ring.push_back({p[0].get<double>(), p[1].get<double>()});
    return ring;
}

struct Seed {
    ScanPx at;
    std::size_t wider = 0;
};

std::optional<Seed> seedOf(const CsvTable& table, const std::string& drawing, const std::string& context)
{
    const auto cell = [&](const CsvRow& row, const char* column) { return row.fields[*table.column(column)]; };
    for (const CsvRow& row : table.rows)
        if (cell(row, "drawing") == drawing && cell(row, "context") == context && cell(row, "way") == "area")
            return Seed{{*parseNumber(cell(row, "column")), *parseNumber(cell(row, "row"))},
                        static_cast<std::size_t>(*parseWhole(cell(row, "wider")))};
    return std::nullopt;
}

json readTruth(const std::filesystem::path& file)
{
    std::ifstream stream(file);
    if (!stream)
        throw std::runtime_error("no truth file " + file.string());
    return json::parse(stream);
}

} // namespace

Misfit misfitBetween(const std::vector<ScanPx>& traced, const std::vector<ScanPx>& truth, double pxPerMm)
{
    const Misfit there = oneWay(traced, truth, pxPerMm), back = oneWay(truth, traced, pxPerMm);
    return {std::max(there.meanMm, back.meanMm), std::max(there.ninetyFiveMm, back.ninetyFiveMm)};
}

std::vector<TracedOutline> traceAreas(const std::filesystem::path& folder, const std::string& drawing)
{
    const json truth = readTruth(folder / "truth" / (drawing + ".json"));
    const Result<CsvTable> seeds = readCsvFile(folder / "tracing" / "seeds.csv");
    const Result<Scan> scan = Scan::open(folder / truth["scan"].get<std::string>());
    if (!seeds || !scan)
        throw std::runtime_error(seeds ? scan.error().message : seeds.error().message);
    const double dpi = truth["map"]["dpi"].get<double>(), pxPerMm = dpi / MillimetresPerInch;
    const Result<FilmInk> ink =
        readFilmInk(*scan, {0, 0, scan->facts().widthPx, scan->facts().heightPx}, dpi);
    if (!ink)
        throw std::runtime_error(ink.error().message);
    std::vector<TracedOutline> all;
    for (const json& outline : truth["outlines"]) {
        TracedOutline traced;
        traced.drawing = drawing;
        traced.context = outline["context"].get<std::string>();
        traced.kind = outline["kind"].get<std::string>();
        const std::optional<Seed> seed = seedOf(*seeds, drawing, traced.context);
        if (!seed)
            continue;
        traced.closed = std::ranges::none_of(outline["edges"], [](const json& edge) {
            return edge == "beyond the sheet" || edge == "limit of excavation";
        });
        traced.oneClick = seed->wider == 0;
        Result<std::vector<InkArea>> areas = outlinesAround(ink->map, ink->network, seed->at);
        traced.found = bool(areas);
        if (areas) {
            const InkArea& area = widerBy(*areas, seed->wider);
            traced.misfit = misfitBetween(area.vertices, ringOf(outline), pxPerMm);
            traced.vertices = area.vertices.size();
            traced.gaps = area.gaps.size();
            traced.areaMm2 = area.areaMm2;
            traced.doubt = area.doubt;
        } else {
            traced.trouble = areas.error().message;
        }
        all.push_back(std::move(traced));
    }
    return all;
}

} // namespace inkpeg::quality
