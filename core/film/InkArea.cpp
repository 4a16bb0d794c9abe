// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkArea.h"

#include <algorithm>
#include <optional>
#include <set>
#include <string>

#include "core/base/Text.h"
#include "core/film/InkLine.h"
#include "core/film/InkRings.h"

namespace inkpeg {

namespace {

double areaOf(const std::vector<CellPoint>& ring)
{
    double twice = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const CellPoint &a = ring[i], &b = ring[(i + 1) % ring.size()];
        twice += a.column * b.row - b.column * a.row;
    }
    return std::abs(twice) / 2;
}

CellPoint middleOf(MaskCell cell)
{
    return {cell.column + 0.5, cell.row + 0.5};
}

double distanceToRing(CellPoint place, const std::vector<CellPoint>& ring)
{
    double nearest = distance(place, ring.front());
    for (std::size_t i = 0; i < ring.size(); ++i)
        nearest = std::min(nearest, distanceToSegment(place, ring[i], ring[(i + 1) % ring.size()]));
    return nearest;
}

/// The ring drawn onto the pencil and thinned; nothing if no area is left.
std::optional<std::vector<CellPoint>> drawnOut(const InkMap& map, const InkRing& ring, double toleranceMm)
{
    std::vector<CellPoint> chain;
    for (const MaskCell& cell : ring.cells)
        chain.push_back(middleOf(cell));
    std::vector<CellPoint> line =
        thinned(centredOnInk(map, chain, true, 0.45), true, toleranceMm / map.cellMm());
    if (line.size() < 3)
        return std::nullopt;
    return line;
}

double lengthMm(const InkMap& map, const InkRing& ring)
{
    return lengthOf(ring.cells) * map.cellMm();
}

/// Price of what is not plain pencil.
double doubtAbout(const InkMap& map, const InkRing& ring)
{
    return ring.price - InkNetwork::PencilPerMm * lengthMm(map, ring);
}

/// The chains of a network end a little inside the pencil: the gap reaches from tip to tip, about the middle.
BridgedGap bridged(const InkMap& map, const InkRun& gap)
{
    const CellPoint a = middleOf(gap.cells.front()), b = middleOf(gap.cells.back());
    const double length = distance(a, b) * map.cellMm();
    const double cut = length > 0 ? (1 - std::min(1.0, gap.gapMm / length)) / 2 : 0.0;
    const auto between = [&](double share) {
        return map.toScan({a.column + share * (b.column - a.column), a.row + share * (b.row - a.row)});
    };
    return {between(cut), between(1 - cut), gap.gapMm, gap.inRhythm};
}

InkArea areaFrom(const InkMap& map, const InkNetwork& network, const InkRing& ring,
                 const std::vector<CellPoint>& line)
{
    InkArea area;
    for (const CellPoint& p : line)
        area.vertices.push_back(map.toScan(p));
    for (const std::size_t run : ring.runs)
        if (const InkRun& gap = network.runs()[run]; gap.isGap())
            area.gaps.push_back(bridged(map, gap));
    area.areaMm2 = areaOf(line) * map.cellMm() * map.cellMm();
    area.doubt = doubtAbout(map, ring);
    return area;
}

/// The scanned film has a rim of its own, shadow and tape, and no outline is as large as that.
bool isRimOfFilm(const InkMap& map, const InkRing& ring)
{
    constexpr double SmallestFilmMm = 150, Share = 0.85;
    if (std::min(map.width(), map.height()) * map.cellMm() < SmallestFilmMm)
        return false;
    const auto [left, right] = std::ranges::minmax(ring.cells, {}, &MaskCell::column);
    const auto [top, bottom] = std::ranges::minmax(ring.cells, {}, &MaskCell::row);
    return right.column - left.column > Share * map.width() && bottom.row - top.row > Share * map.height();
}

/// Rings that may be meant, the likeliest first: the shorter of two as sound. (Not the smaller: the rim
/// between a cut and its fill, slit open along a line that crosses both, is small but twice as long.)
std::vector<InkRing> likely(const InkMap& map, std::vector<InkRing> rings, double smallestMm2)
{
    const double cellMm2 = map.cellMm() * map.cellMm();
    std::erase_if(rings, [&](const InkRing& ring) {
        constexpr double MostDoubt = 3, MostDoubtPerMm = 0.006;
        return ring.areaCells * cellMm2 < smallestMm2 ||
               doubtAbout(map, ring) > MostDoubt + MostDoubtPerMm * lengthMm(map, ring) ||
               isRimOfFilm(map, ring);
    });
    const auto unlikeliness = [&](const InkRing& ring) {
        constexpr double PerMm = 0.005;
        return doubtAbout(map, ring) + PerMm * lengthMm(map, ring);
    };
    std::sort(rings.begin(), rings.end(),
              [&](const InkRing& a, const InkRing& b) { return unlikeliness(a) < unlikeliness(b); });
    return rings;
}

bool areSame(const InkRing& a, const InkRing& b)
{
    return std::set<std::size_t>(a.runs.begin(), a.runs.end()) ==
           std::set<std::size_t>(b.runs.begin(), b.runs.end());
}

Error runsOut(const InkMap& map, const InkNetwork& network, CellPoint place, double smallestMm2)
{
    std::string remedy = "close the outline or follow the ink instead";
    const auto wider = likely(map, ringsAround(network, place, 1e9), smallestMm2);
    if (!wider.empty())
        remedy = "a gap of about " + fixed(wider.front().widestGapMm, 1) +
                 " mm is open; allow wider gaps, or follow the ink instead";
    return {ErrorCode::Unsolvable, "no closed outline around this place: " + remedy};
}

} // namespace

Result<std::vector<InkArea>> outlinesAround(const InkMap& map, const InkNetwork& network, ScanPx seed,
                                            const InkAreaSettings& settings)
{
    if (!map.covers(seed))
        return Error{ErrorCode::BadInput,
                     "enclosed area: the place lies outside the part of the scan that was read"};
    const CellPoint place = map.toCell(seed);
    std::vector<InkRing> rings =
        likely(map, ringsAround(network, place, settings.gapMm), settings.smallestMm2);
    // The soundest short ways go past the bite that a cut takes out of a layer; the smallest area does not.
    // It comes last: where it is the rim of a cut, the cut is meant. There may be none.
    const InkRing face = faceAround(network, place, settings.gapMm, map.cellMm());
    if (!face.cells.empty() &&
        std::ranges::none_of(rings, [&](const InkRing& ring) { return areSame(ring, face); }))
        std::ranges::move(likely(map, {face}, settings.smallestMm2), std::back_inserter(rings));
    std::vector<InkArea> areas;
    for (const InkRing& ring : rings) {
        const auto line = drawnOut(map, ring, settings.toleranceMm);
        if (!line)
            continue;
        constexpr double OnLineMm = 0.2;
        if (areas.empty() && distanceToRing(place, *line) * map.cellMm() < OnLineMm)
            return Error{ErrorCode::BadInput,
                         "enclosed area: the place lies on a line; choose one inside the outline"};
        areas.push_back(areaFrom(map, network, ring, *line));
    }
    if (areas.empty())
        return runsOut(map, network, place, settings.smallestMm2);
    return areas;
}

const InkArea& widerBy(const std::vector<InkArea>& areas, std::size_t steps)
{
    std::vector<const InkArea*> larger = {&areas.front()};
    for (const InkArea& area : areas)
        if (area.areaMm2 > areas.front().areaMm2)
            larger.push_back(&area);
    std::sort(larger.begin() + 1, larger.end(),
              [](const InkArea* a, const InkArea* b) { return a->areaMm2 < b->areaMm2; });
    return *larger[std::min(steps, larger.size() - 1)];
}

Result<InkArea> encloseInk(const InkMap& map, const InkNetwork& network, ScanPx seed,
                           const InkAreaSettings& settings)
{
    Result<std::vector<InkArea>> areas = outlinesAround(map, network, seed, settings);
    if (!areas)
        return areas.error();
    return std::move(areas->front());
}

} // namespace inkpeg
