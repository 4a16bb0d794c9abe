// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/DrawingFit.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace inkpeg {

namespace {

/// Two nails closer than this do not give a section line its direction.
constexpr double ShortestSectionM = 0.05;

Error about(const Drawing& drawing, Error error)
{
    error.message = "drawing " + drawing.number + ": " + error.message;
    return error;
}

/// What a pin is tied to and where it lies on the film.
struct PinnedPeg {
    Peg peg;
    FilmMm film;
    PinUse use = PinUse::Fit;
};

Result<Sheet> sheetOf(const Project& project, const Drawing& drawing)
{
    const std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet);
    if (!sheet)
        return Error{ErrorCode::NotFound,
                     "sheet \"" + drawing.sheet +
                         "\" is not in the project; tie the drawing to the sheet that carries it"};
    return *sheet;
}

Result<std::vector<PinnedPeg>> pinnedPegs(const Project& project, const FilmFrame& film,
                                          std::span<const Pin> pins)
{
    const PegsInCrs pegs(project);
    std::vector<PinnedPeg> pinned;
    for (const Pin& pin : pins) {
        Result<Peg> peg = pegs.named(pin.peg);
        if (!peg)
            return peg.error();
        pinned.push_back({std::move(peg).value(), film.toFilm(pin.mark), pin.use});
    }
    return pinned;
}

/// The line through the pegs of a section: their principal axis, through the peg furthest left on the film.
Result<SectionFrame> sectionThrough(std::span<const PinnedPeg> pinned)
{
    std::vector<PinnedPeg> used;
    std::copy_if(pinned.begin(), pinned.end(), std::back_inserter(used),
                 [](const PinnedPeg& pin) { return pin.use == PinUse::Fit; });
    if (used.size() < 2)
        return Error{ErrorCode::Unsolvable,
                     std::to_string(used.size()) +
                         " pins: a section needs 2 to know its line; pin one more nail"};
    const auto leftFirst = [](const PinnedPeg& a, const PinnedPeg& b) { return a.film.x < b.film.x; };
    const PinnedPeg left = *std::min_element(used.begin(), used.end(), leftFirst);
    const PinnedPeg right = *std::max_element(used.begin(), used.end(), leftFirst);
    double meanEast = 0, meanNorth = 0;
    for (const PinnedPeg& pin : used) {
        meanEast += (pin.peg.position.east - left.peg.position.east) / static_cast<double>(used.size());
        meanNorth += (pin.peg.position.north - left.peg.position.north) / static_cast<double>(used.size());
    }
    double eastEast = 0, eastNorth = 0, northNorth = 0;
    for (const PinnedPeg& pin : used) {
        const double east = pin.peg.position.east - left.peg.position.east - meanEast;
        const double north = pin.peg.position.north - left.peg.position.north - meanNorth;
        eastEast += east * east;
        eastNorth += east * north;
        northNorth += north * north;
    }
    if (std::sqrt(eastEast + northNorth) < ShortestSectionM)
        return Error{ErrorCode::Unsolvable, "the section's pegs lie within " +
                                                std::to_string(static_cast<int>(ShortestSectionM * 100)) +
                                                " cm of each other on the ground; pin nails at both ends"};
    const double angle = 0.5 * std::atan2(2 * eastNorth, eastEast - northNorth);
    SectionFrame frame{left.peg.position, std::cos(angle), std::sin(angle)};
    if (frame.distanceAlong(right.peg.position) < 0)
        frame = {frame.start, -frame.eastPerM, -frame.northPerM};
    return frame;
}

ControlPoint inPlan(const PinnedPeg& pin)
{
    return {.peg = pin.peg.name,
            .film = pin.film,
            .ground = pin.peg.position,
            .standardErrorEastM = pin.peg.standardErrorEastM,
            .standardErrorNorthM = pin.peg.standardErrorNorthM,
            .use = pin.use};
}

Result<ControlPoint> inSection(const PinnedPeg& pin, const SectionFrame& section)
{
    if (!pin.peg.levelM)
        return Error{ErrorCode::BadInput,
                     "pin \"" + pin.peg.name +
                         "\": the peg has no level, and a section needs one; register it"};
    const double along = std::hypot(section.eastPerM * pin.peg.standardErrorEastM,
                                    section.northPerM * pin.peg.standardErrorNorthM);
    return ControlPoint{.peg = pin.peg.name,
                        .film = pin.film,
                        .ground = {section.distanceAlong(pin.peg.position), *pin.peg.levelM},
                        .standardErrorEastM = along,
                        .standardErrorNorthM = pin.peg.standardErrorLevelM.value_or(along),
                        .use = pin.use};
}

struct Gathered {
    FilmFrame film;
    std::vector<ControlPoint> points;
    std::optional<SectionFrame> section;
};

Result<Gathered> gather(const Project& project, const Drawing& drawing, std::span<const Pin> pins)
{
    const Result<Sheet> sheet = sheetOf(project, drawing);
    if (!sheet)
        return sheet.error();
    const Result<std::vector<PinnedPeg>> pinned = pinnedPegs(project, sheet->frame, pins);
    if (!pinned)
        return pinned.error();
    Gathered gathered{.film = sheet->frame, .points = {}, .section = {}};
    if (isUpright(drawing.kind)) {
        const Result<SectionFrame> section = sectionThrough(*pinned);
        if (!section)
            return section.error();
        gathered.section = *section;
    }
    for (const PinnedPeg& pin : *pinned) {
        const Result<ControlPoint> point =
            gathered.section ? inSection(pin, *gathered.section) : Result<ControlPoint>(inPlan(pin));
        if (!point)
            return point.error();
        gathered.points.push_back(*point);
    }
    return gathered;
}

} // namespace

Result<ScanPx> DrawingGround::toScan(GroundM position) const
{
    const Result<FilmMm> onFilm = fit.transform.toFilm(position);
    if (!onFilm)
        return onFilm.error();
    return film.toScan(*onFilm);
}

bool pinsHold(const ControlFit& fit)
{
    return fit.redundancy > 0 &&
           std::all_of(fit.residuals.begin(), fit.residuals.end(), [](const PinResidual& residual) {
               return residual.use == PinUse::LeftOut || residual.withinTolerance;
           });
}

bool isUpright(DrawingKind kind)
{
    return kind != DrawingKind::Plan;
}

PegsInCrs::PegsInCrs(const Project& project)
    : m_pegs(project.all<Peg>()), m_grid(fitSiteGrid(commonPoints(m_pegs)))
{
}

Result<Peg> PegsInCrs::named(const std::string& name) const
{
    const Peg* found = nullptr;
    for (const Peg& peg : m_pegs)
        if (peg.name == name && (found == nullptr || peg.frame == PegFrame::Crs))
            found = &peg;
    if (found == nullptr)
        return Error{ErrorCode::NotFound,
                     "pin \"" + name + "\": no peg of that name; register the peg or rename the pin"};
    return at(*found);
}

Result<Peg> PegsInCrs::at(const Peg& peg) const
{
    if (peg.frame == PegFrame::Crs)
        return peg;
    if (!m_grid)
        return Error{ErrorCode::Unsolvable,
                     "peg \"" + peg.name +
                         "\" is given in the site grid, which is not related to the CRS (" +
                         m_grid.error().message + "); give two or more pegs in both frames"};
    return m_grid->toCrs(peg);
}

Result<Peg> pegInCrs(const Project& project, const Peg& peg)
{
    // The site grid is only fitted for those that need it: callers ask for every peg in turn.
    return peg.frame == PegFrame::Crs ? Result<Peg>(peg) : PegsInCrs(project).at(peg);
}

Result<std::vector<ControlPoint>> controlPoints(const Project& project, const Drawing& drawing,
                                                std::span<const Pin> pins)
{
    Result<Gathered> gathered = gather(project, drawing, pins);
    if (!gathered)
        return about(drawing, gathered.error());
    return std::move(gathered->points);
}

Result<DrawingGround> groundOfDrawing(const Project& project, const Drawing& drawing,
                                      std::span<const Pin> pins)
{
    const Result<Gathered> gathered = gather(project, drawing, pins);
    if (!gathered)
        return about(drawing, gathered.error());
    const FitSettings settings{.model = drawing.model,
                               .scaleDenominator = drawing.scaleDenominator,
                               .toleranceMm = project.facts().pinToleranceMm};
    Result<ControlFit> fit = fitControl(gathered->points, settings);
    if (!fit)
        return about(drawing, fit.error());
    return DrawingGround{std::move(fit).value(), gathered->film, gathered->section};
}

Result<DrawingGround> groundOfDrawing(const Project& project, const Drawing& drawing)
{
    return groundOfDrawing(project, drawing, project.ofDrawing<Pin>(drawing.id));
}

Result<ControlFit> fitDrawing(const Project& project, const Drawing& drawing)
{
    Result<DrawingGround> ground = groundOfDrawing(project, drawing);
    if (!ground)
        return ground.error();
    return std::move(ground->fit);
}

} // namespace inkpeg
