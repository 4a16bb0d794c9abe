// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/DrawingDiagnosis.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "core/fit/PinConfiguration.h"

namespace inkpeg {

namespace {

constexpr std::size_t MostPlansAsked = 12;
constexpr std::size_t FewestPlans = 2;
constexpr double SameTurnRad = 18 * std::numbers::pi / 180; // film is laid along the grid by eye

FitSettings settingsOf(const Project& project, const Drawing& drawing)
{
    return {.model = drawing.model,
            .scaleDenominator = drawing.scaleDenominator,
            .toleranceMm = project.facts().pinToleranceMm};
}

/// The record that a pin of this name is fitted to: as PegsInCrs::named chooses.
const Peg* recordNamed(std::span<const Peg> pegs, const std::string& name)
{
    const Peg* found = nullptr;
    for (const Peg& peg : pegs)
        if (peg.name == name && (found == nullptr || peg.frame == PegFrame::Crs))
            found = &peg;
    return found;
}

/// The project's pegs, and how to bring one into the frame that the diagnosis is made in.
class Frames {
public:
    explicit Frames(const Project& project) : m_pegs(project.all<Peg>()), m_inCrs(project) {}

    std::span<const Peg> pegs() const { return m_pegs; }
    const SiteGrid* grid() const { return m_inCrs.siteGrid() ? &*m_inCrs.siteGrid() : nullptr; }

    /// The frame in which most of the pins' pegs are given.
    PegFrame mostOf(std::span<const Pin> pins) const
    {
        int site = 0, crs = 0;
        for (const Pin& pin : pins)
            if (const Peg* peg = recordNamed(m_pegs, pin.peg); peg != nullptr && pin.use == PinUse::Fit)
                ++(peg->frame == PegFrame::Site ? site : crs);
        return grid() != nullptr && site > crs ? PegFrame::Site : PegFrame::Crs;
    }

    /// Position and standard errors in `frame`; nothing for a peg that cannot be brought there.
    std::optional<RegisteredPeg> in(PegFrame frame, const Peg& peg) const
    {
        if (peg.frame == frame)
            return RegisteredPeg{peg.name, peg.position, peg.standardErrorEastM, peg.standardErrorNorthM};
        if (grid() == nullptr)
            return std::nullopt;
        if (frame == PegFrame::Crs) {
            const Peg over = grid()->toCrs(peg);
            return RegisteredPeg{peg.name, over.position, over.standardErrorEastM,
                                 over.standardErrorNorthM};
        }
        // Errors of surveyed pegs are round to within what a turn of the axes would change.
        return RegisteredPeg{peg.name, grid()->toSite(peg.position), peg.standardErrorEastM,
                             peg.standardErrorNorthM};
    }

private:
    std::vector<Peg> m_pegs;
    PegsInCrs m_inCrs;
};

std::vector<RegisteredPeg> registerOf(const Frames& frames, PegFrame frame)
{
    std::vector<RegisteredPeg> places;
    for (const Peg& peg : frames.pegs()) {
        const bool theOneFitted = recordNamed(frames.pegs(), peg.name) == &peg;
        if (const auto place = theOneFitted ? frames.in(frame, peg) : std::nullopt)
            places.push_back(*place);
    }
    return places;
}

/// Angle of the film's x axis on the ground at a place, anticlockwise from east.
double turnOf(const DrawingGround& ground)
{
    const GroundJacobian slope = ground.fit.transform.jacobian(
        ground.film.toFilm({ground.film.widthPx / 2, ground.film.heightPx / 2}));
    return std::atan2(slope.northByX, slope.eastByX);
}

/// Of an upright drawing the register holds levels as they are: no distances along the line, no levels drawn
/// taller than they are, none of marks that have theirs from the datum line.
bool changesWhatNoRegisterHolds(const Drawing& drawing, std::span<const Pin> pins,
                                std::span<const ControlPoint> points, const Hypothesis& hypothesis)
{
    for (std::size_t i = 0; i < points.size(); ++i) {
        const ControlPoint& put = hypothesis.remedy.pins[i];
        if (put.peg != points[i].peg)
            continue;
        const bool along = std::abs(put.ground.east - points[i].ground.east) > 1e-6;
        const bool level = std::abs(put.ground.north - points[i].ground.north) > 1e-6;
        if (along || (level && (drawing.verticalExaggeration != 1 || pins[i].onDatum)))
            return true;
    }
    return false;
}

} // namespace

std::optional<double> usualTurnRad(const Project& project, const Drawing& drawing)
{
    std::vector<Drawing> others = project.all<Drawing>();
    std::erase_if(others, [&](const Drawing& other) {
        return other.id == drawing.id || isUpright(other.kind) || other.stage < Stage::Pinned;
    });
    std::stable_partition(others.begin(), others.end(),
                          [&](const Drawing& other) { return other.trench == drawing.trench; });
    std::vector<double> turns;
    double east = 0, north = 0;
    for (const Drawing& other : others) {
        if (turns.size() == MostPlansAsked)
            break;
        const Result<DrawingGround> ground = groundOfDrawing(project, other);
        if (!ground || !pinsHold(ground->fit))
            continue;
        turns.push_back(turnOf(*ground));
        east += std::cos(turns.back());
        north += std::sin(turns.back());
    }
    if (turns.size() < FewestPlans)
        return std::nullopt;
    const double mean = std::atan2(north, east);
    const bool allAlike = std::all_of(turns.begin(), turns.end(), [&](double turn) {
        return std::abs(std::remainder(turn - mean, 2 * std::numbers::pi)) <= SameTurnRad;
    });
    return allAlike ? std::optional(mean) : std::nullopt;
}

Result<DrawingDiagnosis> diagnoseDrawing(const Project& project, const Drawing& drawing,
                                         std::span<const Pin> pins)
{
    const Result<std::vector<ControlPoint>> inCrs = controlPoints(project, drawing, pins);
    if (!inCrs)
        return inCrs.error();
    std::vector<ControlPoint> points = *inCrs;
    DiagnosisSettings settings{.fit = settingsOf(project, drawing), .pegs = {}, .expectedTurnRad = {}};
    PegFrame frame = PegFrame::Crs;
    if (isUpright(drawing.kind)) {
        settings.expectedTurnRad = 0; // levels grow upwards on the film
    } else {
        const Frames frames(project);
        frame = frames.mostOf(pins);
        settings.pegs = registerOf(frames, frame);
        settings.expectedTurnRad = usualTurnRad(project, drawing);
        if (frame == PegFrame::Site) {
            for (ControlPoint& point : points)
                if (const auto place = frames.in(frame, *recordNamed(frames.pegs(), point.peg))) {
                    point.ground = place->ground;
                    point.standardErrorEastM = place->standardErrorEastM;
                    point.standardErrorNorthM = place->standardErrorNorthM;
                }
            // Site east lies clockwise of east by the rotation of the grid.
            if (settings.expectedTurnRad)
                *settings.expectedTurnRad += frames.grid()->rotationRad();
        }
    }
    DrawingDiagnosis diagnosis{diagnosePins(points, settings), frame, {pins.begin(), pins.end()}, {}};
    for (const ControlPoint& point : points)
        diagnosis.compared.push_back(point.ground);
    if (isUpright(drawing.kind))
        std::erase_if(diagnosis.hypotheses, [&](const Hypothesis& each) {
            return changesWhatNoRegisterHolds(drawing, pins, points, each);
        });
    return diagnosis;
}

Result<DrawingDiagnosis> diagnoseDrawing(const Project& project, const Drawing& drawing)
{
    return diagnoseDrawing(project, drawing, project.ofDrawing<Pin>(drawing.id));
}

Result<ModelComparison> compareModelsFor(const Project& project, const Drawing& drawing,
                                         std::span<const Pin> pins)
{
    Result<std::vector<ControlPoint>> points = controlPoints(project, drawing, pins);
    if (!points)
        return points.error();
    // With a wrong pin among them every model fits badly, and the comparison would advise nonsense.
    const Result<DrawingDiagnosis> diagnosis = diagnoseDrawing(project, drawing, pins);
    std::vector<ControlPoint> wrong;
    if (diagnosis)
        for (const std::size_t pin : diagnosis->wrong) {
            wrong.push_back((*points)[pin]);
            (*points)[pin].use = PinUse::LeftOut;
        }
    std::vector<FilmMm> outline;
    if (const std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet)) {
        const FilmFrame& film = sheet->frame;
        std::vector<ScanPx> corners = drawing.frame;
        if (corners.size() < 3) // no part of its own: the whole sheet
            corners = {{0, film.heightPx}, {film.widthPx, film.heightPx}, {film.widthPx, 0}, {0, 0}};
        for (const ScanPx corner : corners)
            outline.push_back(film.toFilm(corner));
    }
    ModelComparison comparison = compareModels(*points, settingsOf(project, drawing), outline);
    if (!wrong.empty())
        comparison.reason += "; compared without " + pinNames(wrong) + ", which the other pins contradict";
    return comparison;
}

Result<ModelComparison> compareModelsFor(const Project& project, const Drawing& drawing)
{
    return compareModelsFor(project, drawing, project.ofDrawing<Pin>(drawing.id));
}

} // namespace inkpeg
