// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/DrawingDiagnosis.h"

#include <algorithm>
#include <utility>

namespace inkpeg {

namespace {

FitSettings settingsOf(const Project& project, const Drawing& drawing)
{
    return {.model = drawing.model,
            .scaleDenominator = drawing.scaleDenominator,
            .toleranceMm = project.facts().pinToleranceMm};
}

/// The register in the CRS; pegs that cannot be brought there could not have been pinned either.
std::vector<NamedPlace> registerOf(const Project& project)
{
    std::vector<NamedPlace> places;
    const PegsInCrs pegs(project);
    for (const Peg& peg : project.all<Peg>()) {
        const Result<Peg> inCrs = pegs.named(peg.name);
        const bool known = std::any_of(places.begin(), places.end(),
                                       [&](const NamedPlace& place) { return place.name == peg.name; });
        if (inCrs && !known)
            places.push_back(
                {inCrs->name, inCrs->position, inCrs->standardErrorEastM, inCrs->standardErrorNorthM});
    }
    return places;
}

} // namespace

Result<Diagnosis> diagnoseDrawing(const Project& project, const Drawing& drawing)
{
    const std::vector<Pin> pins = project.ofDrawing<Pin>(drawing.id);
    const Result<std::vector<ControlPoint>> points = controlPoints(project, drawing, pins);
    if (!points)
        return points.error();
    DiagnosisSettings settings{.fit = settingsOf(project, drawing), .pegs = {}, .expectedTurnRad = {}};
    if (isUpright(drawing.kind))
        settings.expectedTurnRad = 0; // levels grow upwards on the film
    else
        settings.pegs = registerOf(project);
    return diagnosePins(*points, settings);
}

Result<ModelComparison> compareModelsFor(const Project& project, const Drawing& drawing)
{
    const std::vector<Pin> pins = project.ofDrawing<Pin>(drawing.id);
    const Result<std::vector<ControlPoint>> points = controlPoints(project, drawing, pins);
    if (!points)
        return points.error();
    std::vector<FilmMm> outline;
    if (const std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet))
        for (const ScanPx corner : drawing.frame)
            outline.push_back(sheet->frame.toFilm(corner));
    return compareModels(*points, settingsOf(project, drawing), outline);
}

} // namespace inkpeg
