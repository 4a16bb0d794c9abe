// SPDX-License-Identifier: GPL-3.0-or-later
// Checks of drawings: what must be written on them, their scans, their fits.
#include <algorithm>
#include <cmath>

#include "core/base/Text.h"
#include "core/checks/CheckFunctions.h"
#include "core/checks/Evidence.h"
#include "core/checks/PlaneGeometry.h"

namespace inkpeg {

namespace {

/// Smallest scales allowed. Source: Dutch Archaeology Quality Standard (KNA), specification OS04,
/// explanatory notes, pp. 151-156: level plans at least 1:50, sections at least 1:20.
constexpr double LargestPlanDenominator = 50;
constexpr double LargestSectionDenominator = 20;

/// How far an outline may lie beyond the pins, as a share of their longest distance (common practice, no
/// source). A section hangs from pins along its datum line, so that its reach is across them.
constexpr double ReachBeyondPlanPins = 0.25;
constexpr double ReachBeyondSectionPins = 1.0;

std::string joined(const std::vector<std::string>& words)
{
    std::string all;
    for (const std::string& word : words)
        all += (all.empty() ? "" : ", ") + word;
    return all;
}

bool isIsoDate(const std::string& text)
{
    if (text.size() != 10 || text[4] != '-' || text[7] != '-')
        return false;
    const auto month = parseWhole(text.substr(5, 2)), day = parseWhole(text.substr(8, 2));
    return parseWhole(text.substr(0, 4)) && month && day && *month >= 1 && *month <= 12 && *day >= 1 &&
           *day <= 31;
}

GroundM onFilm(const Sheet& sheet, ScanPx position)
{
    const FilmMm film = sheet.frame.toFilm(position);
    return {film.x, film.y};
}

/// Where the pins that take part in the fit lie on the film, and their longest distance from each other.
struct PinHull {
    RingOnGround hull;
    double reachMm = 0;
};

PinHull pinHull(const Evidence& evidence, const Drawing& drawing, const Sheet& sheet)
{
    std::vector<GroundM> marks;
    for (const std::size_t i : evidence.pinsOn(drawing.id))
        if (evidence.records.pins[i].use == PinUse::Fit)
            marks.push_back(onFilm(sheet, evidence.records.pins[i].mark));
    PinHull pins{convexHull(std::move(marks)), 0};
    for (const GroundM a : pins.hull)
        for (const GroundM b : pins.hull)
            pins.reachMm = std::max(pins.reachMm, distance(a, b));
    return pins;
}

struct Furthest {
    double beyondMm = 0;
    ScanPx at;
};

Furthest furthestBeyond(const Outline& outline, const Sheet& sheet, const PinHull& pins)
{
    Furthest furthest;
    for (const Part& part : outline.parts)
        for (const ScanPx vertex : part.outer.vertices) {
            const double beyondMm = distanceBeyond(onFilm(sheet, vertex), pins.hull);
            if (beyondMm > furthest.beyondMm)
                furthest = {beyondMm, vertex};
        }
    return furthest;
}

} // namespace

void checkDrawingFields(Evidence& evidence, Report& report)
{
    for (const Drawing& drawing : evidence.records.drawings) {
        std::vector<std::string> missing;
        if (trimmed(drawing.number).empty())
            missing.push_back("its number");
        if (!isIsoDate(drawing.drawnOn))
            missing.push_back(drawing.drawnOn.empty()
                                  ? "its date"
                                  : "a date as 2026-05-31 (it says \"" + drawing.drawnOn + "\")");
        if (!(drawing.scaleDenominator > 0) || !std::isfinite(drawing.scaleDenominator))
            missing.push_back("its scale");
        if (trimmed(drawing.drawnBy).empty())
            missing.push_back("who drew it");
        if (!missing.empty())
            report.about(drawing, "drawing " + drawing.number + " lacks " + joined(missing),
                         "Ask who drew it and write it on the film and in the register.");
    }
}

void checkSectionFields(Evidence& evidence, Report& report)
{
    for (const Drawing& drawing : evidence.records.drawings) {
        if (!showsLevels(drawing.kind))
            continue;
        std::vector<std::string> missing;
        if (trimmed(drawing.facing).empty())
            missing.push_back("the way it faces");
        if (!drawing.datumM)
            missing.push_back("the level of its datum line");
        if (!missing.empty())
            report.about(drawing, "section " + drawing.number + " lacks " + joined(missing),
                         "Read it off the film or level it in while the section stands.");
    }
}

void checkDrawingScales(Evidence& evidence, Report& report)
{
    for (const Drawing& drawing : evidence.records.drawings) {
        const bool upright = showsLevels(drawing.kind);
        const double largest = upright ? LargestSectionDenominator : LargestPlanDenominator;
        if (drawing.scaleDenominator <= largest)
            continue;
        report.about(drawing,
                     std::string(upright ? "section " : "plan ") + drawing.number +
                         " is drawn at 1:" + exact(drawing.scaleDenominator) +
                         "; at least 1:" + exact(largest) + " is asked for",
                     "Redraw it larger while it can be seen, or give the reason.");
    }
}

void checkScansMissing(Evidence& evidence, Report& report)
{
    for (const Drawing& drawing : evidence.records.drawings) {
        const Sheet* sheet = evidence.sheet(drawing.sheet);
        if (!sheet || sheet->scanFile.empty()) {
            report.about(drawing,
                         drawing.sheet.empty() ? "drawing " + drawing.number + " names no sheet"
                         : sheet ? "sheet " + drawing.sheet + " with drawing " + drawing.number +
                                       " is not scanned"
                                 : "drawing " + drawing.number + " names sheet \"" + drawing.sheet +
                                       "\", which is not registered",
                         "Scan the sheet and tie the drawing to it.");
            continue;
        }
        const auto scan = evidence.records.scans.find(sheet->number);
        if (scan != evidence.records.scans.end() && !scan->second.found)
            report.about(drawing,
                         "the scan " + sheet->scanFile + " of sheet " + sheet->number + " is not there",
                         "Put the file back in its place, or scan the sheet again.");
    }
}

void checkScansChanged(Evidence& evidence, Report& report)
{
    for (const Sheet& sheet : evidence.records.sheets) {
        const auto scan = evidence.records.scans.find(sheet.number);
        if (scan == evidence.records.scans.end() || scan->second.sha256.empty() ||
            sheet.scanSha256.empty() || scan->second.sha256 == sheet.scanSha256)
            continue;
        Matter& matter =
            report.add("sheet", sheet.number,
                       "the scan " + sheet.scanFile + " of sheet " + sheet.number +
                           " is no longer the file that was pinned (its SHA-256 differs)",
                       "Put the first scan back, or look at every pin and outline on it again.");
        for (const Drawing& drawing : evidence.records.drawings)
            if (drawing.sheet == sheet.number) {
                matter.drawing = drawing.number;
                matter.trench = drawing.trench;
                break;
            }
    }
}

void checkDrawingsNotFitted(Evidence& evidence, Report& report)
{
    for (const Drawing& drawing : evidence.records.drawings) {
        const std::span<const std::size_t> pins = evidence.pinsOn(drawing.id);
        const DrawingPlace* place = evidence.place(drawing.id);
        if ((place && place->fit) || (pins.empty() && drawing.stage < Stage::Pinned))
            continue;
        Matter& matter =
            report.about(drawing,
                         pins.empty() ? "drawing " + drawing.number + " is past pinning but has no pins"
                                      : "drawing " + drawing.number + " has pins but no fit: " +
                                            (place && !place->whyNot.empty() ? place->whyNot
                                                                             : "its pins were not fitted"),
                         "Pin more marks, or put right the pegs they are tied to.");
        if (!pins.empty())
            matter.scan = evidence.records.pins[pins.front()].mark;
    }
}

void checkPinTolerance(Evidence& evidence, Report& report)
{
    for (const Drawing& drawing : evidence.records.drawings) {
        const DrawingPlace* place = evidence.place(drawing.id);
        if (!place || !place->fit)
            continue;
        const PinResidual* worst = nullptr;
        int outside = 0;
        for (const PinResidual& residual : place->fit->residuals) {
            if (residual.use == PinUse::LeftOut || residual.withinTolerance)
                continue;
            ++outside;
            if (!worst || residual.filmMm > worst->filmMm)
                worst = &residual;
        }
        if (!worst)
            continue;
        Matter& matter = report.about(
            drawing,
            "drawing " + drawing.number + ": pin " + worst->peg + " is " + fixed(worst->filmMm, 2) +
                " mm off on the film (" + fixed(std::hypot(worst->eastM, worst->northM) * 1000, 0) +
                " mm on the ground); " + fixed(place->fit->settings.toleranceMm, 2) + " mm is allowed" +
                (outside > 1 ? "; " + std::to_string(outside) + " pins are outside" : ""),
            "Look for swapped pins or a wrong peg; measure again what remains.");
        for (const std::size_t i : evidence.pinsOn(drawing.id))
            if (evidence.records.pins[i].peg == worst->peg)
                matter.scan = evidence.records.pins[i].mark;
    }
}

void checkSparePins(Evidence& evidence, Report& report)
{
    for (const Drawing& drawing : evidence.records.drawings) {
        const DrawingPlace* place = evidence.place(drawing.id);
        if (place && place->fit && place->fit->redundancy < 1)
            report.about(drawing,
                         "drawing " + drawing.number + " has " + std::to_string(place->fit->pinsUsed) +
                             " pins, just enough for its fit: a blunder in one of them cannot be seen",
                         "Pin at least one more mark.");
    }
}

void checkOutlinesBeyondPins(Evidence& evidence, Report& report)
{
    for (const Drawing& drawing : evidence.records.drawings) {
        const DrawingPlace* place = evidence.place(drawing.id);
        const Sheet* sheet = evidence.sheet(drawing.sheet);
        if (!place || !place->fit || !sheet)
            continue;
        const PinHull pins = pinHull(evidence, drawing, *sheet);
        const double allowedMm =
            pins.reachMm * (showsLevels(drawing.kind) ? ReachBeyondSectionPins : ReachBeyondPlanPins);
        for (const std::size_t i : evidence.outlinesOn(drawing.id)) {
            const Outline& outline = evidence.records.outlines[i];
            const Furthest furthest = furthestBeyond(outline, *sheet, pins);
            if (furthest.beyondMm <= allowedMm)
                continue;
            Matter& matter =
                report.add("outline", drawing.number + " / " + outline.context,
                           "the outline of " + outline.context + " on drawing " + drawing.number +
                               " runs " + fixed(furthest.beyondMm, 0) +
                               " mm on the film beyond the pins, where the fit is extrapolated",
                           "Pin a mark on that side of the drawing.");
            matter.trench = drawing.trench;
            matter.drawing = drawing.number;
            matter.person = outline.tracedBy;
            matter.scan = furthest.at;
        }
    }
}

} // namespace inkpeg
