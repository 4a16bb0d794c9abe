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
#include "core/film/InkLine.h"
#include "core/film/InkPath.h"

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
            away.push_back(
                distanceToRing({a.column + t * (b.column - a.column), a.row + t * (b.row - a.row)}, other) /
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
    const auto cell = [&](const CsvRow& row, const char* column) {
        return row.fields[*table.column(column)];
    };
    for (const CsvRow& row : table.rows)
        if (cell(row, "drawing") == drawing && cell(row, "context") == context &&
            cell(row, "way") == "area")
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

std::size_t clicksPointByPoint(const std::vector<ScanPx>& truth, double pxPerMm)
{
    std::vector<CellPoint> line;
    for (const ScanPx& p : truth)
        line.push_back({p.column, p.row});
    std::size_t fewest = truth.size();
    for (double toleranceMm = 0.1; toleranceMm < 3; toleranceMm *= 1.08) {
        std::vector<ScanPx> thin;
        for (const CellPoint& p : thinned(line, true, toleranceMm * pxPerMm))
            thin.push_back({p.column, p.row});
        if (thin.size() < 3)
            break;
        const Misfit misfit = misfitBetween(thin, truth, pxPerMm);
        if (misfit.meanMm <= 0.15 && misfit.ninetyFiveMm <= 0.35)
            fewest = std::min(fewest, thin.size());
    }
    return fewest;
}

namespace {

std::vector<TracedPath> tracePaths(const FilmInk& ink, const json& outline, double pxPerMm)
{
    // Where the line turns sharply, or goes round a small outline, nobody leads it on for 60 mm: the two
    // places must be nearly that far apart, and the way round the other side twice as long.
    constexpr double SpanMm = 60, LeastApart = 0.8, LeastRound = 3;
    const std::vector<ScanPx> ring = ringOf(outline);
    double roundMm = 0;
    for (std::size_t i = 0; i < ring.size(); ++i)
        roundMm += distance(ring[i], ring[(i + 1) % ring.size()]) / pxPerMm;
    if (roundMm < LeastRound * SpanMm)
        return {};
    std::vector<TracedPath> paths;
    std::vector<ScanPx> run;
    double lengthMm = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        if (outline["edges"][i] == "beyond the sheet") {
            run.clear();
            lengthMm = 0;
            continue;
        }
        if (run.empty())
            run.push_back(ring[i]);
        const ScanPx next = ring[(i + 1) % ring.size()];
        lengthMm += distance(run.back(), next) / pxPerMm;
        run.push_back(next);
        if (lengthMm < SpanMm)
            continue;
        if (distance(run.front(), run.back()) / pxPerMm < LeastApart * lengthMm) {
            run = {next};
            lengthMm = 0;
            continue;
        }
        const Result<InkPath> path = followInk(ink.map, run.front(), run.back());
        TracedPath traced{outline["context"].get<std::string>(), 0};
        if (path) {
            // Measured every 0.2 mm against the run's own line.
            int all = 0, near = 0;
            for (std::size_t v = 0; v + 1 < path->vertices.size(); ++v) {
                const ScanPx a = path->vertices[v], b = path->vertices[v + 1];
                const int steps = std::max(1, static_cast<int>(distance(a, b) / pxPerMm / 0.2));
                for (int s = 0; s < steps; ++s) {
                    const double t = static_cast<double>(s) / steps;
                    ++all;
                    near +=
                        distanceToRing({a.column + t * (b.column - a.column), a.row + t * (b.row - a.row)},
                                       ring) <= 0.4 * pxPerMm
                            ? 1
                            : 0;
                }
            }
            traced.within = static_cast<double>(near) / all;
            // Back as well: a short cut over the paper lies on the ring nowhere, one along its other side
            // does.
            double missedMm = 0;
            std::vector<ScanPx> there(path->vertices.rbegin(), path->vertices.rend());
            for (std::size_t v = 1; v + 1 < path->vertices.size(); ++v)
                there.push_back(path->vertices[v]); // there and back again: an open line as a ring
            for (const ScanPx& p : run)
                missedMm += distanceToRing(p, there) > 0.4 * pxPerMm
                                ? lengthMm / static_cast<double>(run.size())
                                : 0;
            traced.within = std::min(traced.within, 1 - missedMm / lengthMm);
        }
        paths.push_back(traced);
        run = {next};
        lengthMm = 0;
    }
    return paths;
}

/// True if one of the three outlines next smaller than the likeliest is good.
bool isAmongSmaller(const std::vector<InkArea>& areas, const std::vector<ScanPx>& truth, double pxPerMm)
{
    std::vector<const InkArea*> smaller;
    for (const InkArea& area : areas)
        if (area.areaMm2 < areas.front().areaMm2)
            smaller.push_back(&area);
    std::ranges::sort(smaller, {}, [](const InkArea* area) { return -area->areaMm2; });
    smaller.resize(std::min<std::size_t>(smaller.size(), 3));
    return std::ranges::any_of(smaller, [&](const InkArea* area) {
        TracedOutline traced;
        traced.found = true;
        traced.misfit = misfitBetween(area->vertices, truth, pxPerMm);
        return traced.good();
    });
}

} // namespace

TracedDrawing traceDrawing(const std::filesystem::path& folder, const std::string& drawing)
{
    const json truth = readTruth(folder / "truth" / (drawing + ".json"));
    const Result<CsvTable> seeds = readCsvFile(folder / "tracing" / "areas.csv");
    const Result<Scan> scan = Scan::open(folder / truth["scan"].get<std::string>());
    if (!seeds || !scan)
        throw std::runtime_error(seeds ? scan.error().message : seeds.error().message);
    const double dpi = truth["map"]["dpi"].get<double>(), pxPerMm = dpi / MillimetresPerInch;
    const Result<FilmInk> ink =
        readFilmInk(*scan, {0, 0, scan->facts().widthPx, scan->facts().heightPx}, dpi);
    if (!ink)
        throw std::runtime_error(ink.error().message);
    TracedDrawing all;
    for (const json& outline : truth["outlines"]) {
        for (TracedPath& path : tracePaths(*ink, outline, pxPerMm))
            all.paths.push_back(std::move(path));
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
        traced.pointByPoint = clicksPointByPoint(ringOf(outline), pxPerMm);
        Result<std::vector<InkArea>> areas = outlinesAround(ink->map, ink->network, seed->at);
        traced.found = bool(areas);
        if (areas) {
            const InkArea& area = widerBy(*areas, seed->wider);
            traced.misfit = misfitBetween(area.vertices, ringOf(outline), pxPerMm);
            traced.vertices = area.vertices.size();
            traced.gaps = area.gaps.size();
            traced.areaMm2 = area.areaMm2;
            traced.doubt = area.doubt;
            traced.goodByKey = traced.good() || isAmongSmaller(*areas, ringOf(outline), pxPerMm);
        } else {
            traced.trouble = areas.error().message;
        }
        all.outlines.push_back(std::move(traced));
    }
    return all;
}

void Tally::add(const TracedDrawing& drawing)
{
    for (const TracedOutline& outline : drawing.outlines) {
        ++(!outline.closed ? limits : outline.oneClick ? closed : wider);
        limitsByKey += !outline.closed && outline.goodByKey ? 1 : 0;
        if (!outline.good())
            continue;
        ++(!outline.closed ? limitsGood : outline.oneClick ? good : widerGood);
        if (!outline.closed || !outline.oneClick)
            continue;
        meanMm += (outline.misfit.meanMm - meanMm) / good;
        worst95Mm = std::max(worst95Mm, outline.misfit.ninetyFiveMm);
        clicks += 2;
        pointByPoint += outline.pointByPoint;
    }
    for (const TracedPath& path : drawing.paths) {
        ++paths;
        pathsGood += path.good() ? 1 : 0;
    }
}

std::string Tally::header()
{
    return "| drawings | closed outlines, one click | mean | largest 95 % | click and key | limit of "
           "excavation | "
           "ways of 60 mm | clicks to point by point |\n|---|---|---|---|---|---|---|---|";
}

std::string Tally::line(const std::string& name) const
{
    const auto of = [](int part, int whole) {
        return std::to_string(part) + " of " + std::to_string(whole);
    };
    return "| " + name + " | " + of(good, closed) + " (" +
           fixed(closed > 0 ? 100.0 * good / closed : 0, 0) + " %) | " + fixed(meanMm, 3) + " mm | " +
           fixed(worst95Mm, 2) + " mm | " + of(widerGood, wider) + " | " + of(limitsGood, limits) +
           ", by key " + std::to_string(limitsByKey) + " | " + of(pathsGood, paths) + " | " +
           std::to_string(clicks) + " : " + std::to_string(pointByPoint) + " |";
}

} // namespace inkpeg::quality
