// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/PegProposals.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

namespace inkpeg {

namespace {

/// Angle of a line on the film, anticlockwise from its x axis, brought within an eighth of a turn of it.
double lineOnFilm(const FilmFrame& film, ScanPx at, double directionRad)
{
    constexpr double Apart = 100; // pixels: only the direction matters
    const FilmMm from = film.toFilm(at);
    const FilmMm to =
        film.toFilm({at.column + Apart * std::cos(directionRad), at.row + Apart * std::sin(directionRad)});
    return std::remainder(std::atan2(to.y - from.y, to.x - from.x), std::numbers::pi / 2);
}

/// Where a peg stands in the plane of the drawing, if it has a place there.
std::optional<GroundM> placeInPlane(const Peg& inCrs, const GroundGuess& guess)
{
    if (!guess.ground() || !guess.ground()->section)
        return inCrs.position;
    if (!inCrs.levelM)
        return std::nullopt;
    return GroundM{guess.ground()->section->footOf(inCrs.position).alongM, *inCrs.levelM};
}

/// A name with each run of digits as one sign: "124/198" and "126/200" have one form, "S-04 M" another.
std::string nameForm(const std::string& name)
{
    std::string form;
    for (const char c : name) {
        const bool digit = c >= '0' && c <= '9';
        if (!digit || form.empty() || form.back() != '#')
            form += digit ? '#' : c;
    }
    return form;
}

struct Place {
    std::string peg;
    GroundM at;
};

/// Every peg that is not pinned, once, with its place in the plane of the drawing.
std::vector<Place> freePegs(const Project& project, const GroundGuess& guess, std::span<const Pin> pins)
{
    std::set<std::string> seen;
    for (const Pin& pin : pins)
        seen.insert(pin.peg);
    std::vector<Place> places;
    const PegsInCrs pegs(project);
    for (const Peg& peg : project.all<Peg>()) {
        if (!seen.insert(peg.name).second)
            continue;
        const Result<Peg> inCrs = pegs.named(peg.name);
        if (!inCrs)
            continue; // of a site grid that is related to nothing: it has no place yet
        if (const std::optional<GroundM> place = placeInPlane(*inCrs, guess))
            places.push_back({peg.name, *place});
    }
    return places;
}

} // namespace

Result<GroundGuess> GroundGuess::of(const Project& project, const Drawing& drawing,
                                    std::span<const Pin> pins, std::optional<double> crossDirectionRad)
{
    GroundGuess guess;
    Result<DrawingGround> ground = groundOfDrawing(project, drawing, pins);
    if (!ground) {
        Drawing simple = drawing;
        simple.model = Model::Similarity;
        ground = groundOfDrawing(project, simple, pins);
    }
    if (ground) {
        guess.m_ground = std::move(ground).value();
        return guess;
    }
    if (pins.size() != 1 || !crossDirectionRad || isUpright(drawing.kind))
        return ground.error();
    const PegsInCrs pegs(project);
    const Result<Peg> peg = pegs.named(pins[0].peg);
    if (!peg)
        return peg.error();
    const std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet);
    if (!sheet)
        return ground.error();
    const double gridEastRad = pegs.siteGrid() ? -pegs.siteGrid()->rotationRad() : 0.0;
    const double turn = gridEastRad - lineOnFilm(sheet->frame, pins[0].mark, *crossDirectionRad);
    const double metresPerMm = groundMFromFilmMm(1, drawing.scaleDenominator);
    guess.m_laid = {sheet->frame, sheet->frame.toFilm(pins[0].mark), peg->position,
                    metresPerMm * std::cos(turn), metresPerMm * std::sin(turn)};
    return guess;
}

GroundM GroundGuess::at(ScanPx mark) const
{
    if (m_ground)
        return m_ground->toGround(mark);
    const FilmMm film = m_laid.film.toFilm(mark);
    const double x = film.x - m_laid.at.x, y = film.y - m_laid.at.y;
    return {m_laid.place.east + m_laid.cosine * x - m_laid.sine * y,
            m_laid.place.north + m_laid.sine * x + m_laid.cosine * y};
}

Result<ScanPx> GroundGuess::markOf(GroundM place) const
{
    if (m_ground)
        return m_ground->toScan(place);
    const double square = m_laid.cosine * m_laid.cosine + m_laid.sine * m_laid.sine;
    const double east = place.east - m_laid.place.east, north = place.north - m_laid.place.north;
    return m_laid.film.toScan({m_laid.at.x + (m_laid.cosine * east + m_laid.sine * north) / square,
                               m_laid.at.y + (m_laid.cosine * north - m_laid.sine * east) / square});
}

std::vector<PegProposal> pegsNear(const Project& project, const Drawing& drawing, const GroundGuess& guess,
                                  std::span<const Pin> pins, ScanPx mark, double mostMm)
{
    std::vector<PegProposal> near;
    const GroundM here = guess.at(mark);
    for (const Place& place : freePegs(project, guess, pins)) {
        const double awayMm = filmMmFromGroundM(distance(here, place.at), drawing.scaleDenominator);
        if (awayMm <= mostMm)
            near.push_back({place.peg, awayMm});
    }
    std::stable_sort(near.begin(), near.end(),
                     [](const PegProposal& a, const PegProposal& b) { return a.awayMm < b.awayMm; });
    return near;
}

std::vector<PegToPin> pegsToPin(const Project& project, const Drawing& drawing, const GroundGuess& guess,
                                std::span<const Pin> pins)
{
    const std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet);
    std::vector<PegToPin> wanted;
    if (!sheet)
        return wanted;
    for (const Place& place : freePegs(project, guess, pins))
        if (const Result<ScanPx> mark = guess.markOf(place.at);
            mark && liesOnDrawing(drawing, sheet->frame, *mark))
            wanted.push_back({place.peg, *mark});
    // Rows of marks differ a little in height: they are told apart by a centimetre of film.
    const double rowPx = 10 * sheet->frame.dpiY / MillimetresPerInch;
    std::stable_sort(wanted.begin(), wanted.end(), [&](const PegToPin& a, const PegToPin& b) {
        const double rowA = std::floor(a.mark.row / rowPx), rowB = std::floor(b.mark.row / rowPx);
        return rowA != rowB ? rowA < rowB : a.mark.column < b.mark.column;
    });
    // Amid the pins first: beyond them the sheet may be bare.
    if (pins.empty())
        return wanted;
    const auto [left, right] = std::minmax_element(
        pins.begin(), pins.end(), [](const Pin& a, const Pin& b) { return a.mark.column < b.mark.column; });
    const auto [top, bottom] = std::minmax_element(
        pins.begin(), pins.end(), [](const Pin& a, const Pin& b) { return a.mark.row < b.mark.row; });
    const ScanPx low{left->mark.column - rowPx, top->mark.row - rowPx},
        high{right->mark.column + rowPx, bottom->mark.row + rowPx};
    std::stable_partition(wanted.begin(), wanted.end(), [&](const PegToPin& peg) {
        return peg.mark.column > low.column && peg.mark.column < high.column && peg.mark.row > low.row &&
               peg.mark.row < high.row;
    });
    // And before all those that are named like the pinned ones: nails of sections stand amid them too.
    std::stable_partition(wanted.begin(), wanted.end(), [&](const PegToPin& peg) {
        return std::any_of(pins.begin(), pins.end(),
                           [&](const Pin& pin) { return nameForm(pin.peg) == nameForm(peg.peg); });
    });
    return wanted;
}

bool liesOnDrawing(const Drawing& drawing, const FilmFrame& film, ScanPx mark)
{
    if (drawing.frame.size() < 3)
        return mark.column >= 0 && mark.row >= 0 && mark.column <= film.widthPx &&
               mark.row <= film.heightPx;
    bool inside = false;
    for (std::size_t i = 0; i < drawing.frame.size(); ++i) {
        const ScanPx a = drawing.frame[i], b = drawing.frame[(i + 1) % drawing.frame.size()];
        if ((a.row > mark.row) != (b.row > mark.row) &&
            mark.column < a.column + (mark.row - a.row) / (b.row - a.row) * (b.column - a.column))
            inside = !inside;
    }
    return inside;
}

std::vector<Pin> pinsToShare(const Project& project, const Drawing& drawing, std::span<const Pin> pins)
{
    std::set<std::string> taken;
    for (const Pin& pin : pins)
        taken.insert(pin.peg);
    std::vector<Pin> shared;
    const std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet);
    if (!sheet)
        return shared;
    for (const Drawing& other : project.all<Drawing>()) {
        if (other.id == drawing.id || other.sheet != drawing.sheet ||
            isUpright(other.kind) != isUpright(drawing.kind) ||
            other.scaleDenominator != drawing.scaleDenominator)
            continue;
        for (Pin pin : project.ofDrawing<Pin>(other.id)) {
            if (!liesOnDrawing(drawing, sheet->frame, pin.mark) || !taken.insert(pin.peg).second)
                continue;
            pin.id = 0;
            pin.drawing = drawing.id;
            shared.push_back(pin);
        }
    }
    return shared;
}

} // namespace inkpeg
