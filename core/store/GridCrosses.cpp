// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/GridCrosses.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <numbers>
#include <optional>
#include <set>

#include "core/base/Text.h"
#include "core/film/Scan.h"
#include "core/store/DrawingFit.h"
#include "core/store/PegProposals.h"

namespace inkpeg {

namespace {

constexpr double ClickRadiusMm = 2.5; // how far from its mark a pinned cross may be
constexpr double OffLineRad = 6 * std::numbers::pi / 180;
constexpr double NearestShare = 0.3;   // of a step: further off is another peg
constexpr double DoubtfulShare = 0.05; // pegs are driven a few centimetres off the grid
constexpr double SameMarkMm = 1.5;

/// A pin with the place of its peg in the CRS.
struct PlacedPin {
    Pin pin;
    GroundM at;
};

struct Place {
    std::string peg;
    GroundM at;
};

std::vector<PlacedPin> placedPins(const PegsInCrs& pegs, std::span<const Pin> pins)
{
    std::vector<PlacedPin> placed;
    for (const Pin& pin : pins)
        if (const Result<Peg> peg = pegs.named(pin.peg); peg && pin.use == PinUse::Fit)
            placed.push_back({pin, peg->position});
    return placed;
}

std::vector<Place> allPlaces(const Project& project, const PegsInCrs& pegs)
{
    std::vector<Place> places;
    std::set<std::string> seen;
    for (const Peg& peg : project.all<Peg>())
        if (seen.insert(peg.name).second)
            if (const Result<Peg> inCrs = pegs.named(peg.name))
                places.push_back({peg.name, inCrs->position});
    return places;
}

/// Steps of the grid between two pinned crosses: one more than the pegs that stand evenly between them.
int stepsBetween(const GroundM& a, const GroundM& b, std::span<const Place> places)
{
    const double east = b.east - a.east, north = b.north - a.north, length = std::hypot(east, north);
    int between = 0;
    for (const Place& place : places) {
        const double e = place.at.east - a.east, n = place.at.north - a.north;
        const double along = (e * east + n * north) / length, across = (n * east - e * north) / length;
        if (std::abs(across) < 0.05 * length && along > 0.05 * length && along < 0.95 * length)
            ++between;
    }
    const double step = length / (between + 1);
    // Only pegs at whole steps count as of the same grid.
    for (const Place& place : places) {
        const double e = place.at.east - a.east, n = place.at.north - a.north;
        const double along = (e * east + n * north) / length, across = (n * east - e * north) / length;
        if (std::abs(across) < 0.05 * length && along > 0.05 * length && along < 0.95 * length &&
            std::abs(std::remainder(along, step)) > 0.2 * step)
            return 1;
    }
    return between + 1;
}

struct Neighbours {
    PlacedPin first, second;
};

/// The nearest two on one line of drawn crosses.
Result<Neighbours> neighboursAmong(const std::vector<PlacedPin>& pins, const Scan& scan,
                                   const FilmFrame& film)
{
    if (pins.size() < 2)
        return Error{ErrorCode::Unsolvable,
                     std::to_string(pins.size()) + (pins.size() == 1 ? " pin" : " pins") +
                         " in the fit: the grid is found from 2; pin two neighbouring crosses"};
    struct Pair {
        std::size_t a, b;
        double apartM;
    };
    std::vector<Pair> pairs;
    for (std::size_t a = 0; a < pins.size(); ++a)
        for (std::size_t b = a + 1; b < pins.size(); ++b)
            pairs.push_back({a, b, distance(pins[a].at, pins[b].at)});
    std::stable_sort(pairs.begin(), pairs.end(),
                     [](const Pair& p, const Pair& q) { return p.apartM < q.apartM; });
    const double dpi = std::sqrt(film.dpiX * film.dpiY);
    Error last{ErrorCode::Unsolvable, "no two pins lie on one line of drawn crosses; pin two neighbours"};
    constexpr std::size_t MostPairs = 12; // each asks the scan: enough for a sheet pinned by hand
    for (std::size_t i = 0; i < std::min(pairs.size(), MostPairs); ++i) {
        const ScanPx from = pins[pairs[i].a].pin.mark, to = pins[pairs[i].b].pin.mark;
        const Result<CrossMark> cross =
            centreOnCross(scan, from, ClickRadiusMm * dpi / MillimetresPerInch, dpi);
        if (!cross) {
            last = cross.error();
            continue;
        }
        const double direction = std::atan2(to.row - from.row, to.column - from.column);
        if (std::abs(std::remainder(direction - cross->directionRad, std::numbers::pi / 2)) < OffLineRad)
            return Neighbours{pins[pairs[i].a], pins[pairs[i].b]};
    }
    return last;
}

/// From lattice places to the ground: a similarity through all crosses named so far, in metres.
class LatticeOnGround {
public:
    void add(int column, int row, GroundM at) { m_known.push_back({{double(column), double(row)}, at}); }

    GroundM at(int column, int row) const
    {
        double x = 0, y = 0;
        GroundM sum;
        const GroundM origin = m_known.front().second;
        const auto n = static_cast<double>(m_known.size());
        for (const auto& [place, ground] : m_known) {
            x += place.first / n, y += place.second / n;
            sum = {sum.east + (ground.east - origin.east) / n,
                   sum.north + (ground.north - origin.north) / n};
        }
        double c = 0, s = 0, square = 0;
        for (const auto& [place, ground] : m_known) {
            const double dx = place.first - x, dy = place.second - y;
            const double e = ground.east - origin.east - sum.east,
                         r = ground.north - origin.north - sum.north;
            c += dx * e + dy * r;
            s += dx * r - dy * e;
            square += dx * dx + dy * dy;
        }
        c /= square, s /= square;
        const double dx = column - x, dy = row - y;
        return {origin.east + sum.east + c * dx - s * dy, origin.north + sum.north + s * dx + c * dy};
    }

private:
    std::vector<std::pair<std::pair<double, double>, GroundM>> m_known;
};

/// Names crosses one after the other, each with the help of those before.
class Naming {
public:
    Naming(std::span<const Place> places, std::span<const Pin> pins, double stepM)
        : m_places(places.begin(), places.end()), m_stepM(stepM)
    {
        for (const Pin& pin : pins)
            m_taken.insert(pin.peg);
    }

    void know(int column, int row, const std::string& peg, GroundM at)
    {
        m_onGround.add(column, row, at);
        m_columns.push_back(column);
        m_rows.push_back(row);
        m_names.push_back(peg);
    }

    /// By the nearest free peg; without a name where none stands near.
    ProposedPin byPlace(const LatticeCross& cross)
    {
        ProposedPin pin{cross.mark, cross.column, cross.row, {}, 0, cross.mark.doubtful, cross.mark.doubt};
        const GroundM there = m_onGround.at(cross.column, cross.row);
        const Place* nearest = nearestFree(there);
        if (nearest != nullptr && distance(nearest->at, there) < DoubtfulShare * m_stepM) {
            pin.peg = nearest->peg;
            pin.awayM = distance(nearest->at, there);
            m_taken.insert(pin.peg);
            if (!pin.doubtful)
                know(cross.column, cross.row, pin.peg, nearest->at);
        }
        return pin;
    }

    /// By the names around it; asked once all others have theirs.
    void byPattern(ProposedPin& pin)
    {
        const GroundM there = m_onGround.at(pin.column, pin.row);
        const std::string name = continuedName(m_columns, m_rows, m_names, pin.column, pin.row);
        const auto found = std::find_if(m_places.begin(), m_places.end(),
                                        [&](const Place& place) { return place.peg == name; });
        if (found == m_places.end() || m_taken.contains(name)) {
            byRoughPlace(pin, there);
            return;
        }
        pin.peg = name;
        pin.awayM = distance(found->at, there);
        m_taken.insert(name);
        doubt(pin, "by its name this is " + name + ", but the register has that peg " +
                       fixed(pin.awayM, 1) + " m away: look at its coordinates");
    }

private:
    /// Where no name goes on: a peg that stands some way off, the nail of a section perhaps.
    void byRoughPlace(ProposedPin& pin, GroundM there)
    {
        const Place* nearest = nearestFree(there);
        if (nearest == nullptr || distance(nearest->at, there) > NearestShare * m_stepM) {
            doubt(pin, "no peg of the register stands here");
            return;
        }
        pin.peg = nearest->peg;
        pin.awayM = distance(nearest->at, there);
        m_taken.insert(pin.peg);
        doubt(pin, "peg " + pin.peg + " stands " + fixed(pin.awayM, 2) +
                       " m from where the grid puts this cross");
    }

    const Place* nearestFree(GroundM there) const
    {
        const Place* nearest = nullptr;
        for (const Place& place : m_places)
            if (!m_taken.contains(place.peg) &&
                (nearest == nullptr || distance(place.at, there) < distance(nearest->at, there)))
                nearest = &place;
        return nearest;
    }

    static void doubt(ProposedPin& pin, const std::string& why)
    {
        pin.doubt = pin.doubtful ? pin.doubt + "; " + why : why;
        pin.doubtful = true;
    }

    std::vector<Place> m_places;
    std::set<std::string> m_taken;
    double m_stepM;
    LatticeOnGround m_onGround;
    std::vector<int> m_columns, m_rows;
    std::vector<std::string> m_names;
};

struct Opened {
    Sheet sheet;
    Scan scan;
};

Result<Opened> openSheet(const Project& project, const Drawing& drawing)
{
    const std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet);
    if (!sheet || sheet->scanFile.empty())
        return Error{ErrorCode::NotFound, "drawing " + drawing.number +
                                              " has no scan: crosses are found on one; give its sheet a "
                                              "scan first"};
    Result<Scan> scan = Scan::open(scanPath(project, *sheet));
    if (!scan)
        return scan.error();
    return Opened{*sheet, std::move(scan).value()};
}

/// A name in its parts: words and whole numbers by turns, words first.
struct NameParts {
    std::vector<std::string> words;
    std::vector<long> numbers;
    std::vector<std::size_t> digits;
};

NameParts partsOf(const std::string& name)
{
    NameParts parts{{""}, {}, {}};
    for (std::size_t i = 0; i < name.size();) {
        if (std::isdigit(static_cast<unsigned char>(name[i])) == 0) {
            parts.words.back() += name[i++];
            continue;
        }
        std::size_t end = i;
        while (end < name.size() && end - i < 9 && std::isdigit(static_cast<unsigned char>(name[end])) != 0)
            ++end;
        parts.numbers.push_back(std::stol(name.substr(i, end - i)));
        parts.digits.push_back(end - i);
        parts.words.emplace_back();
        i = end;
    }
    return parts;
}

/// value = a + b column + c row for all; the steps are found from three places and held against the rest.
struct Growth {
    double a = 0, b = 0, c = 0;
};

std::optional<Growth> growthOf(std::span<const int> columns, std::span<const int> rows,
                               std::span<const long> values)
{
    for (std::size_t i = 1; i < values.size(); ++i)
        for (std::size_t j = i + 1; j < values.size(); ++j) {
            const int c1 = columns[i] - columns[0], r1 = rows[i] - rows[0], c2 = columns[j] - columns[0],
                      r2 = rows[j] - rows[0];
            const int determinant = c1 * r2 - c2 * r1;
            if (determinant == 0)
                continue;
            const auto v1 = double(values[i] - values[0]), v2 = double(values[j] - values[0]);
            Growth growth;
            growth.b = (v1 * r2 - v2 * r1) / determinant;
            growth.c = (v2 * c1 - v1 * c2) / determinant;
            growth.a = double(values[0]) - growth.b * columns[0] - growth.c * rows[0];
            for (std::size_t k = 0; k < values.size(); ++k)
                if (std::abs(growth.a + growth.b * columns[k] + growth.c * rows[k] - double(values[k])) >
                    1e-6)
                    return std::nullopt;
            return growth;
        }
    return std::nullopt;
}

} // namespace

std::string continuedName(std::span<const int> columns, std::span<const int> rows,
                          std::span<const std::string> names, int column, int row)
{
    if (names.size() < 3)
        return {};
    std::vector<NameParts> parts;
    for (const std::string& name : names)
        parts.push_back(partsOf(name));
    for (const NameParts& each : parts)
        if (each.words != parts[0].words || each.numbers.empty())
            return {};
    std::string name = parts[0].words[0];
    for (std::size_t field = 0; field < parts[0].numbers.size(); ++field) {
        std::vector<long> values;
        for (const NameParts& each : parts)
            values.push_back(each.numbers[field]);
        const std::optional<Growth> growth = growthOf(columns, rows, values);
        if (!growth)
            return {};
        const double value = growth->a + growth->b * column + growth->c * row;
        if (value < 0 || std::abs(value - std::round(value)) > 1e-6)
            return {};
        std::string written = std::to_string(std::lround(value));
        // "01" goes on with "02".
        while (written.size() < parts[0].digits[field])
            written.insert(written.begin(), '0');
        name += written + parts[0].words[field + 1];
    }
    return name;
}

Result<GridProposal> proposeGrid(const Project& project, const Drawing& drawing, std::span<const Pin> pins,
                                 const Progress& progress)
{
    if (isUpright(drawing.kind))
        return Error{ErrorCode::Unsolvable, "drawing " + drawing.number +
                                                " is upright: its nails make no grid; pin them one by one"};
    const Result<Opened> opened = openSheet(project, drawing);
    if (!opened)
        return opened.error();
    const FilmFrame& film = opened->sheet.frame;
    const PegsInCrs pegs(project);
    const Result<Neighbours> pair = neighboursAmong(placedPins(pegs, pins), opened->scan, film);
    if (!pair)
        return pair.error();
    const std::vector<Place> places = allPlaces(project, pegs);
    const int steps = stepsBetween(pair->first.at, pair->second.at, places);
    const Result<std::vector<LatticeCross>> lattice =
        findLattice(opened->scan, film, {pair->first.pin.mark, pair->first.at},
                    {pair->second.pin.mark, pair->second.at}, steps, progress);
    if (!lattice)
        return lattice.error();
    GridProposal proposal{
        pair->first.pin.peg, pair->second.pin.peg, distance(pair->first.at, pair->second.at) / steps, {}};
    Naming naming(places, pins, proposal.stepM);
    naming.know(0, 0, pair->first.pin.peg, pair->first.at);
    naming.know(steps, 0, pair->second.pin.peg, pair->second.at);
    const double samePx = SameMarkMm * std::sqrt(film.dpiX * film.dpiY) / MillimetresPerInch;
    for (const LatticeCross& cross : *lattice) {
        const bool pinned = std::any_of(pins.begin(), pins.end(), [&](const Pin& pin) {
            return distance(pin.mark, cross.mark.centre) < samePx;
        });
        if (!pinned && liesOnDrawing(drawing, film, cross.mark.centre))
            proposal.pins.push_back(naming.byPlace(cross));
    }
    for (ProposedPin& proposed : proposal.pins)
        if (proposed.peg.empty())
            naming.byPattern(proposed);
    return proposal;
}

Pin pinOf(const ProposedPin& proposed, const Drawing& drawing)
{
    Pin pin;
    pin.drawing = drawing.id;
    pin.peg = proposed.peg;
    pin.mark = onLattice(proposed.cross.centre);
    pin.placedBy = "lattice";
    pin.standardErrorPx = proposed.cross.standardErrorPx;
    return pin;
}

} // namespace inkpeg
