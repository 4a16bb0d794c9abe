// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkArea.h"

#include <cstdlib>
#include <limits>
#include <optional>
#include <string>

#include "core/base/Text.h"
#include "core/film/InkBridges.h"
#include "core/film/InkLine.h"
#include "core/film/InkSkeleton.h"

namespace inkpeg {

namespace {

struct Flood {
    CellMask mask;
    bool runsOut = false; ///< reached the rim of the map
};

/// All cells that four-neighbour steps reach from `seed` without entering `closed`; more than `most` count
/// as running out.
Flood floodFrom(MaskCell seed, const CellMask& closed,
                std::size_t most = std::numeric_limits<std::size_t>::max())
{
    std::size_t count = 0;
    Flood flood{CellMask(closed.width, closed.height), false};
    std::vector<MaskCell> waiting = {seed};
    flood.mask.set[flood.mask.index(seed.column, seed.row)] = 1;
    while (!waiting.empty()) {
        const MaskCell c = waiting.back();
        waiting.pop_back();
        if (++count > most || c.column == 0 || c.row == 0 || c.column == closed.width - 1 ||
            c.row == closed.height - 1) {
            flood.runsOut = true;
            return flood;
        }
        for (const auto& [dx, dy] :
             {std::pair{1, 0}, std::pair{-1, 0}, std::pair{0, 1}, std::pair{0, -1}}) {
            const MaskCell next = {c.column + dx, c.row + dy};
            if (closed.at(next.column, next.row) || flood.mask.at(next.column, next.row))
                continue;
            flood.mask.set[flood.mask.index(next.column, next.row)] = 1;
            waiting.push_back(next);
        }
    }
    return flood;
}

/// Cells within `radius` of a set one (squared distance by two passes over columns and rows).
CellMask grown(const CellMask& mask, double radius)
{
    const int reach = static_cast<int>(radius);
    const int far = reach + 1;
    // Distance down the column to the nearest set cell, then the best over the row.
    std::vector<int> down(mask.set.size(), far);
    for (int column = 0; column < mask.width; ++column) {
        int since = far;
        for (int row = 0; row < mask.height; ++row)
            down[mask.index(column, row)] = since = mask.at(column, row) ? 0 : std::min(far, since + 1);
        since = far;
        for (int row = mask.height - 1; row >= 0; --row) {
            since = mask.at(column, row) ? 0 : std::min(far, since + 1);
            down[mask.index(column, row)] = std::min(down[mask.index(column, row)], since);
        }
    }
    CellMask result(mask.width, mask.height);
    for (int row = 0; row < mask.height; ++row)
        for (int column = 0; column < mask.width; ++column)
            for (int dx = -reach; dx <= reach; ++dx) {
                if (column + dx < 0 || column + dx >= mask.width)
                    continue;
                const int dy = down[mask.index(column + dx, row)];
                if (dy < far && dx * dx + dy * dy <= radius * radius) {
                    result.set[result.index(column, row)] = 1;
                    break;
                }
            }
    return result;
}

CellMask without(CellMask mask, const CellMask& other)
{
    for (std::size_t i = 0; i < mask.set.size(); ++i)
        if (other.set[i])
            mask.set[i] = 0;
    return mask;
}

/// Floods with every way narrower than twice `radius` shut, then gives back what was shut along the lines.
Flood floodShutting(MaskCell seed, const CellMask& barrier, double radius)
{
    const CellMask shut = grown(barrier, radius);
    if (shut.at(seed.column, seed.row))
        return {CellMask(barrier.width, barrier.height), true};
    Flood flood = floodFrom(seed, shut);
    if (!flood.runsOut)
        flood.mask = without(grown(flood.mask, radius + 1), barrier);
    return flood;
}

/// The outer rim of a mask's region as a closed chain of the corners between cells, region to the right of
/// the walk.
std::vector<CellPoint> outerRim(const CellMask& mask)
{
    int column = 0, row = 0;
    const auto first = std::find(mask.set.begin(), mask.set.end(), 1) - mask.set.begin();
    column = static_cast<int>(first % mask.width);
    row = static_cast<int>(first / mask.width);
    // Start at the upper left corner of the first cell, walking right along its upper side.
    constexpr std::array<MaskCell, 4> Ahead = {{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}};
    const MaskCell start = {column, row};
    MaskCell corner = start;
    std::size_t heading = 0;
    std::vector<CellPoint> rim;
    const auto cellAt = [&](MaskCell at, std::size_t quarter) {
        // Cells around a corner: ahead to the right (0) and ahead to the left (1) of the heading.
        constexpr std::array<std::array<MaskCell, 2>, 4> Cells = {
            {{{{0, 0}, {0, -1}}}, {{{-1, 0}, {0, 0}}}, {{{-1, -1}, {-1, 0}}}, {{{0, -1}, {-1, -1}}}}};
        const MaskCell& offset = Cells[heading][quarter];
        return mask.at(at.column + offset.column, at.row + offset.row);
    };
    do {
        rim.push_back({static_cast<double>(corner.column), static_cast<double>(corner.row)});
        corner = {corner.column + Ahead[heading].column, corner.row + Ahead[heading].row};
        if (!cellAt(corner, 0))
            heading = (heading + 1) % 4; // the region ends: turn right
        else if (cellAt(corner, 1))
            heading = (heading + 3) % 4; // the region goes on to the left: turn left
    } while (!(corner == start && heading == 0));
    return rim;
}

double areaOf(const std::vector<CellPoint>& ring)
{
    double twice = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const CellPoint &a = ring[i], &b = ring[(i + 1) % ring.size()];
        twice += a.column * b.row - b.column * a.row;
    }
    return std::abs(twice) / 2;
}

/// The nearest cell without ink, within half a millimetre.
std::optional<MaskCell> freeCell(const InkMap& map, const CellMask& ink, ScanPx seed)
{
    const CellPoint at = map.toCell(seed);
    const MaskCell centre = {static_cast<int>(at.column), static_cast<int>(at.row)};
    const int reach = static_cast<int>(0.5 / map.cellMm());
    std::optional<MaskCell> nearest;
    for (int row = centre.row - reach; row <= centre.row + reach; ++row)
        for (int column = centre.column - reach; column <= centre.column + reach; ++column)
            if (ink.holds(column, row) && !ink.at(column, row) &&
                (!nearest || distance({column, row}, centre) < distance(*nearest, centre)))
                nearest = MaskCell{column, row};
    return nearest;
}

/// What was found before it is drawn onto the pencil.
struct Enclosure {
    CellMask region;
    std::vector<InkBridge> bridges;
};

std::size_t cellsOf(const CellMask& mask)
{
    return static_cast<std::size_t>(std::count(mask.set.begin(), mask.set.end(), 1));
}

/// The free cells beside a bridge that the region does not hold.
std::vector<MaskCell> beyondBridge(const CellMask& barrier, const CellMask& region, const InkBridge& bridge,
                                   bool& touches)
{
    std::vector<MaskCell> beyond;
    touches = false;
    // Not at its ends: what is beside those may lie across the line that they are on.
    const std::vector<MaskCell> along = cellsAlong(bridge);
    const std::size_t skipped = std::min<std::size_t>(2, (along.size() - 1) / 2);
    for (std::size_t i = skipped; i < along.size() - skipped; ++i)
        for (int r = -1; r <= 1; ++r)
            for (int c = -1; c <= 1; ++c) {
                const MaskCell cell = {along[i].column + c, along[i].row + r};
                if (!barrier.holds(cell.column, cell.row) || barrier.at(cell.column, cell.row))
                    continue;
                if (region.at(cell.column, cell.row))
                    touches = true;
                else
                    beyond.push_back(cell);
            }
    return beyond;
}

/// Adds what is closed around `cell` to the region unless it is more than `most` cells.
bool takePocket(const CellMask& barrier, MaskCell cell, std::size_t most, CellMask& region)
{
    const Flood pocket = floodFrom(cell, barrier, most);
    if (pocket.runsOut)
        return false;
    for (std::size_t i = 0; i < pocket.mask.set.size(); ++i)
        region.set[i] |= pocket.mask.set[i];
    return true;
}

/// Gives back the pockets that bridges cut off from the region: strokes inside the outline that happen to
/// face each other, or its line. What lies beyond a bridge and is closed and less than a quarter of the
/// region is a pocket; a gap to a neighbour's area or to the open is not.
Enclosure withoutIdleBridges(const CellMask& barrier, Enclosure found)
{
    const std::size_t most = cellsOf(found.region) / 4;
    // Pockets lie behind pockets: again until a round finds none.
    for (bool grew = true; grew;) {
        grew = false;
        std::vector<InkBridge> needed;
        for (const InkBridge& bridge : found.bridges) {
            bool touches = false;
            bool pocketsOnly = true;
            for (const MaskCell& cell : beyondBridge(barrier, found.region, bridge, touches)) {
                if (!touches || !pocketsOnly)
                    break;
                if (found.region.at(cell.column, cell.row))
                    continue; // came with another pocket
                pocketsOnly = takePocket(barrier, cell, most, found.region);
                grew |= pocketsOnly;
            }
            if (!touches || !pocketsOnly)
                needed.push_back(bridge);
        }
        found.bridges = std::move(needed);
    }
    std::erase_if(found.bridges, [&](const InkBridge& bridge) {
        bool touches = false;
        beyondBridge(barrier, found.region, bridge, touches);
        return !touches; // elsewhere
    });
    return found;
}

/// Error for an area that runs out, with the width of the gap if a wider bridge would close it.
Error runsOut(const InkMap& map, const CellMask& barrier, MaskCell seed, double widest)
{
    std::string remedy = "close the outline or follow the ink instead";
    for (const double radius : {0.75 * widest, widest, 1.5 * widest})
        if (!floodShutting(seed, barrier, radius).runsOut) {
            remedy = "a gap of about " + fixed(2 * radius * map.cellMm(), 1) +
                     " mm is open; allow wider gaps, or "
                     "follow the ink instead";
            break;
        }
    return {ErrorCode::Unsolvable, "no closed outline around this place: " + remedy};
}

Result<Enclosure> enclose(const InkMap& map, const CellMask& skeleton, MaskCell seed,
                          const InkAreaSettings& settings)
{
    constexpr double EndsMm = 0.4; // thinning to chains takes half a line's width off either end of the gap
    const double widest = (settings.gapMm + EndsMm) / map.cellMm();
    const std::vector<LooseEnd> ends =
        looseEnds(skeleton, std::max(3, static_cast<int>(1.2 / map.cellMm())));
    std::vector<InkBridge> bridges = bridgesBetweenEnds(ends, widest);
    CellMask barrier = withBridges(skeleton, bridges);
    Flood flood = floodFrom(seed, barrier);
    if (!flood.runsOut)
        return withoutIdleBridges(barrier, {std::move(flood.mask), std::move(bridges)});
    if (settings.onlyFacingEnds)
        return Error{ErrorCode::Unsolvable, "no closed outline around this place"};
    const std::vector<InkBridge> bolder = bridgesToLines(barrier, ends, widest);
    bridges.insert(bridges.end(), bolder.begin(), bolder.end());
    barrier = withBridges(skeleton, bridges);
    flood = floodFrom(seed, barrier);
    if (!flood.runsOut)
        return withoutIdleBridges(barrier, {std::move(flood.mask), std::move(bridges)});
    for (const double radius : {widest / 4, widest / 2})
        if (flood.runsOut)
            flood = floodShutting(seed, barrier, radius);
    if (!flood.runsOut)
        return Enclosure{std::move(flood.mask), std::move(bridges)};
    return runsOut(map, barrier, seed, widest);
}

/// Bridges along the rim: those whose middle lies on it. Gaps shut by narrowness show as runs without ink.
std::vector<BridgedGap> gapsAlong(const InkMap& map, const std::vector<InkBridge>& bridges,
                                  const std::vector<CellPoint>& ring)
{
    std::vector<BridgedGap> gaps;
    for (const InkBridge& bridge : bridges) {
        const CellPoint from = {bridge.from.column + 0.5, bridge.from.row + 0.5};
        const CellPoint to = {bridge.to.column + 0.5, bridge.to.row + 0.5};
        const CellPoint middle = {(from.column + to.column) / 2, (from.row + to.row) / 2};
        for (std::size_t i = 0; i < ring.size(); ++i)
            if (distanceToSegment(middle, ring[i], ring[(i + 1) % ring.size()]) < 3) {
                gaps.push_back({map.toScan(from), map.toScan(to), distance(from, to) * map.cellMm()});
                break;
            }
    }
    return gaps;
}

} // namespace

Result<InkArea> encloseInk(const InkMap& map, ScanPx seed, const InkAreaSettings& settings)
{
    if (!map.covers(seed))
        return Error{ErrorCode::BadInput,
                     "enclosed area: the place lies outside the part of the scan that was read"};
    const CellMask skeleton = skeletonOf(inkMask(map, settings.shortestMm));
    const std::optional<MaskCell> start = freeCell(map, skeleton, seed);
    if (!start)
        return Error{ErrorCode::BadInput,
                     "enclosed area: the place lies on a line; choose one inside the outline"};
    const Result<Enclosure> enclosure = enclose(map, skeleton, *start, settings);
    if (!enclosure)
        return enclosure.error();
    // Two cells out and one back: takes in the line itself and closes the slits of strokes that end on it.
    CellMask region = grown(enclosure->region, 2.3);
    CellMask outside(region.width, region.height);
    for (std::size_t i = 0; i < region.set.size(); ++i)
        outside.set[i] = region.set[i] ? 0 : 1;
    region = without(std::move(region), grown(outside, 1.5));
    if (std::find(region.set.begin(), region.set.end(), 1) == region.set.end())
        return Error{ErrorCode::Unsolvable,
                     "enclosed area: the space around this place is narrower than a pencil line"};
    const std::vector<CellPoint> ring = centredOnInk(map, outerRim(region), true, 0.45);
    const std::vector<CellPoint> thin = thinned(ring, true, settings.toleranceMm / map.cellMm());
    InkArea area;
    for (const CellPoint& p : thin)
        area.vertices.push_back(map.toScan(p));
    area.gaps = gapsAlong(map, enclosure->bridges, thin);
    area.areaMm2 = areaOf(thin) * map.cellMm() * map.cellMm();
    if (thin.size() < 3)
        return Error{ErrorCode::Unsolvable, "enclosed area: less than the thinning tolerance across"};
    return area;
}

Result<InkArea> encloseInk(const Scan& scan, double dpi, ScanPx seed, const InkAreaSettings& settings,
                           const InkSettings& ink)
{
    if (!(dpi > 0))
        return Error{ErrorCode::BadInput,
                     "enclosed area: the resolution of the scan is not known; give it in dpi"};
    InkAreaSettings careful = settings;
    careful.onlyFacingEnds = true;
    std::optional<InkArea> bold;
    for (double spanMm = 60;; spanMm *= 2) {
        const int span = static_cast<int>(spanMm * dpi / MillimetresPerInch);
        const PxRect window = {static_cast<int>(seed.column) - span / 2,
                               static_cast<int>(seed.row) - span / 2, span, span};
        const bool whole = window.column <= 0 && window.row <= 0 &&
                           window.column + span >= scan.facts().widthPx &&
                           window.row + span >= scan.facts().heightPx;
        const Result<InkMap> map = readInkMap(scan, window, dpi, ink);
        if (!map)
            return map.error();
        Result<InkArea> area = encloseInk(*map, seed, careful);
        if (area || area.error().code != ErrorCode::Unsolvable)
            return area;
        if (bold)
            return *std::move(bold);
        area = encloseInk(*map, seed, settings);
        if (whole || (!area && area.error().code != ErrorCode::Unsolvable))
            return area;
        if (area)
            bold = std::move(area).value();
    }
}

} // namespace inkpeg
