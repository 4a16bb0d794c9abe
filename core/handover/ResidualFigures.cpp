// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/ResidualFigures.h"

#include <algorithm>
#include <cmath>

#include "core/base/Text.h"
#include "core/fit/Consensus.h"
#include "core/fit/Quantiles.h"
#include "core/handover/FeatureLayers.h"
#include "core/handover/Geodata.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

constexpr double SheetAlpha = 0.015; ///< of all tests of a sheet together, as snoopingLimit has it

FitVerdict verdictOf(const ControlFit& fit)
{
    bool checked = fit.redundancy > 0;
    for (const PinResidual& residual : fit.residuals) {
        if (residual.use == PinUse::LeftOut)
            continue;
        if (!residual.withinTolerance)
            return FitVerdict::Out;
        checked = checked || residual.use == PinUse::Check;
    }
    return checked ? FitVerdict::Within : FitVerdict::NoSpare;
}

std::vector<ScanPx> cornersOf(const Drawing& drawing, const FilmFrame& film)
{
    if (drawing.frame.size() >= 3)
        return drawing.frame;
    return {{0, 0}, {film.widthPx, 0}, {film.widthPx, film.heightPx}, {0, film.heightPx}};
}

ScanPx middleOf(const std::vector<ScanPx>& corners)
{
    const auto [left, right] = std::minmax_element(corners.begin(), corners.end(),
                                                   [](ScanPx a, ScanPx b) { return a.column < b.column; });
    const auto [top, bottom] = std::minmax_element(corners.begin(), corners.end(),
                                                   [](ScanPx a, ScanPx b) { return a.row < b.row; });
    return {(left->column + right->column) / 2, (top->row + bottom->row) / 2};
}

void addErrors(const ProjectFacts& facts, DrawingFigures& figures)
{
    const PositionErrors errors(figures.ground, figures.points, facts.tracingErrorMm);
    const std::vector<ScanPx> corners = cornersOf(figures.drawing, figures.ground.film);
    figures.atCentre = errors.at(middleOf(corners));
    for (const ScanPx corner : corners)
        if (const PositionError error = errors.at(corner); error.totalM() > figures.atWorstCorner.totalM())
            figures.atWorstCorner = error;
}

/// The last act that speaks of pinning and of this drawing by its whole number.
std::optional<JournalEntry> lastPinned(const std::vector<JournalEntry>& journal, const std::string& number)
{
    const auto speaksOf = [&](const std::string& what) {
        const std::size_t at = what.find(number);
        if (at == std::string::npos || lowerAscii(what).find("pin") == std::string::npos)
            return false;
        const std::size_t end = at + number.size();
        const auto partOfWord = [](char c) {
            return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '-';
        };
        return (at == 0 || !partOfWord(what[at - 1])) && (end == what.size() || !partOfWord(what[end]));
    };
    const auto found = std::find_if(journal.rbegin(), journal.rend(),
                                    [&](const JournalEntry& entry) { return speaksOf(entry.what); });
    return found == journal.rend() ? std::nullopt : std::optional(*found);
}

std::optional<SiteGridFigures> siteGridFigures(const Project& project)
{
    const std::vector<Peg> pegs = project.all<Peg>();
    const bool anyInSite =
        std::any_of(pegs.begin(), pegs.end(), [](const Peg& peg) { return peg.frame == PegFrame::Site; });
    if (!anyInSite)
        return std::nullopt;
    const Result<SiteGrid> grid = fitSiteGrid(commonPoints(pegs));
    return grid ? SiteGridFigures{*grid, {}} : SiteGridFigures{{}, grid.error().message};
}

Result<DrawingFigures> figuresOf(const Project& project, const ProjectFacts& facts,
                                 const std::vector<JournalEntry>& journal, const Drawing& drawing)
{
    std::vector<Pin> pins = project.ofDrawing<Pin>(drawing.id);
    Result<DrawingGround> ground = groundOfDrawing(project, drawing, pins);
    if (!ground)
        return ground.error();
    Result<std::vector<ControlPoint>> points = controlPoints(project, drawing, pins);
    if (!points)
        return points.error();
    DrawingFigures figures{.drawing = drawing,
                           .sheet = project.byKey<Sheet>(drawing.sheet).value_or(Sheet()),
                           .ground = std::move(ground).value(),
                           .pins = std::move(pins),
                           .points = std::move(points).value(),
                           .verdict = FitVerdict::NoSpare,
                           .worstMm = 0,
                           .worstPeg = {},
                           .atCentre = {},
                           .atWorstCorner = {},
                           .check = {},
                           .lastPinned = lastPinned(journal, drawing.number),
                           .comparison = {},
                           .diagnosis = {},
                           .tests = {}};
    figures.verdict = verdictOf(figures.ground.fit);
    for (const PinResidual& residual : figures.ground.fit.residuals) {
        if (residual.use != PinUse::LeftOut && residual.filmMm >= figures.worstMm) {
            figures.worstMm = residual.filmMm;
            figures.worstPeg = residual.peg;
        }
    }
    if (CheckPointAccuracy check = accuracyOfCheckPoints(figures.ground.fit.residuals); check.points > 0)
        figures.check = std::move(check);
    Result<ModelComparison> comparison = compareModelsFor(project, drawing, figures.pins);
    if (!comparison)
        return comparison.error();
    figures.comparison = std::move(comparison).value();
    Result<DrawingDiagnosis> diagnosis = diagnoseDrawing(project, drawing, figures.pins);
    if (!diagnosis)
        return diagnosis.error();
    figures.diagnosis = std::move(diagnosis).value();
    figures.tests = pinTestsOf(figures.ground.fit);
    addErrors(facts, figures);
    return figures;
}

} // namespace

std::string fitVerdictName(FitVerdict verdict)
{
    switch (verdict) {
    case FitVerdict::Within:
        return "within tolerance";
    case FitVerdict::Out:
        return "out of tolerance";
    case FitVerdict::NoSpare:
        return "not checked: no spare pin";
    }
    return {};
}

Result<DrawingFigures> residualFigures(const Project& project, const Drawing& drawing)
{
    Result<DrawingFigures> figures = figuresOf(project, project.facts(), project.journal(), drawing);
    if (const auto trouble = project.takeReadingTrouble())
        return *trouble;
    return figures;
}

Result<ProjectFigures> residualFigures(const Project& project,
                                       const std::vector<std::string>& drawingNumbers)
{
    std::vector<Drawing> drawings;
    for (const std::string& number : drawingNumbers) {
        const std::optional<Drawing> drawing = project.byKey<Drawing>(number);
        if (const auto trouble = project.takeReadingTrouble())
            return *trouble;
        if (!drawing)
            return Error{ErrorCode::NotFound, "drawing \"" + number + "\" is not in the register"};
        drawings.push_back(*drawing);
    }
    if (drawingNumbers.empty())
        drawings = project.all<Drawing>();
    ProjectFigures figures{project.facts(), handOverTime(project), {}, {}, siteGridFigures(project)};
    const std::vector<JournalEntry> journal = project.journal();
    for (const Drawing& drawing : drawings) {
        Result<DrawingFigures> one = figuresOf(project, figures.facts, journal, drawing);
        if (one)
            figures.drawings.push_back(std::move(one).value());
        else
            figures.unfitted.push_back({drawing, one.error().message});
    }
    if (const auto trouble = project.takeReadingTrouble())
        return *trouble;
    return figures;
}

PinTests pinTestsOf(const ControlFit& fit)
{
    PinTests tests;
    tests.limitW = snoopingLimit(2 * fit.pinsUsed);
    if (fit.redundancy > 1 && fit.standardErrorOfUnitWeight > 0)
        tests.limitTau = tauQuantile(SheetAlpha / (2 * fit.pinsUsed), fit.redundancy);
    for (const PinResidual& residual : fit.residuals) {
        if (residual.use != PinUse::Fit)
            continue;
        const double w = std::max(std::abs(residual.testEast), std::abs(residual.testNorth));
        if (w >= tests.largestW) {
            tests.largestW = w;
            tests.peg = residual.peg;
        }
    }
    if (tests.limitTau)
        tests.largestTau = tests.largestW / fit.standardErrorOfUnitWeight;
    return tests;
}

std::string pinningAct(const std::string& drawingNumber, const std::string& details)
{
    return "pin drawing " + drawingNumber + ": " + details;
}

} // namespace inkpeg
