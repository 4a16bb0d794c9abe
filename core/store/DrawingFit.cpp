// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/DrawingFit.h"

#include <algorithm>
#include <cmath>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

Error about(const Drawing& drawing, Error error)
{
    // What concerns a section's line names it already.
    if (!error.message.starts_with("section " + drawing.number))
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

ControlPoint inPlan(const PinnedPeg& pin)
{
    return {.peg = pin.peg.name,
            .film = pin.film,
            .ground = pin.peg.position,
            .standardErrorEastM = pin.peg.standardErrorEastM,
            .standardErrorNorthM = pin.peg.standardErrorNorthM,
            .use = pin.use};
}

struct Gathered {
    FilmFrame film;
    std::vector<ControlPoint> points;
    std::optional<SectionFrame> section;
};

Result<Gathered> gatherSection(const Project& project, const Drawing& drawing, std::span<const Pin> pins)
{
    Result<PinnedSection> pinned = sectionOf(project, drawing, pins);
    if (!pinned)
        return pinned.error();
    Result<std::vector<ControlPoint>> points =
        sectionControl(pinned->frame, pinned->pins, pinned->settings);
    if (!points)
        return points.error();
    const Result<HandReport> hand = checkHand(pinned->frame, pinned->pins, pinned->settings);
    if (!hand)
        return hand.error();
    if (hand->hand == SectionHand::Reversed)
        return Error{ErrorCode::Conflict, hand->message};
    return Gathered{pinned->film, std::move(points).value(), std::move(pinned->frame)};
}

Result<Gathered> gather(const Project& project, const Drawing& drawing, std::span<const Pin> pins)
{
    if (isUpright(drawing.kind))
        return gatherSection(project, drawing, pins);
    const Result<Sheet> sheet = sheetOf(project, drawing);
    if (!sheet)
        return sheet.error();
    const Result<std::vector<PinnedPeg>> pinned = pinnedPegs(project, sheet->frame, pins);
    if (!pinned)
        return pinned.error();
    Gathered gathered{.film = sheet->frame, .points = {}, .section = {}};
    for (const PinnedPeg& pin : *pinned)
        gathered.points.push_back(inPlan(pin));
    return gathered;
}

} // namespace

double DrawingGround::drawnLevel(double levelM) const
{
    return section ? section->datumM() + (levelM - section->datumM()) * verticalExaggeration : levelM;
}

double DrawingGround::trueLevel(double drawnM) const
{
    return section && verticalExaggeration != 1
               ? section->datumM() + (drawnM - section->datumM()) / verticalExaggeration
               : drawnM;
}

GroundM DrawingGround::toGround(ScanPx position) const
{
    const GroundM drawn = fit.transform.toGround(film.toFilm(position));
    return section ? GroundM{drawn.east, trueLevel(drawn.north)} : drawn;
}

SpacePoint DrawingGround::toSpace(ScanPx position) const
{
    const GroundM place = toGround(position);
    return section->toSpace(SectionPoint{place.east, place.north});
}

Result<ScanPx> DrawingGround::toScan(GroundM position) const
{
    const Result<FilmMm> onFilm =
        fit.transform.toFilm(section ? GroundM{position.east, drawnLevel(position.north)} : position);
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

Stage stageByPins(const Project& project, const Drawing& drawing, std::span<const Pin> pins)
{
    if (drawing.stage > Stage::Pinned)
        return drawing.stage;
    const Result<DrawingGround> ground = groundOfDrawing(project, drawing, pins);
    if (ground && pinsHold(ground->fit))
        return Stage::Pinned;
    const std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet);
    return sheet && !sheet->scanFile.empty() ? Stage::Scanned : Stage::Listed;
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
    return DrawingGround{std::move(fit).value(), gathered->film, gathered->section,
                         isUpright(drawing.kind) ? drawing.verticalExaggeration : 1.0};
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
