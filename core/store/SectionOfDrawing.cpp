// SPDX-License-Identifier: GPL-3.0-or-later
// The line and the pins of an upright drawing, from what the project holds.
#include <algorithm>
#include <cmath>

#include "core/base/Text.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

namespace {

/// Two nails closer than this do not give a section line its direction.
constexpr double ShortestSectionM = 0.05;

constexpr char OnwardsToNail = ';', StepsToNail = '|';

Error about(const Drawing& drawing, const Error& error)
{
    return {error.code, "section " + drawing.number + ": " + error.message};
}

SectionNail nailOf(const Peg& peg)
{
    return {.name = peg.name, .position = peg.position, .levelM = peg.levelM};
}

/// The least-squares axis of the pegs in use, through their middle; its ends are named after the outermost.
struct Axis {
    GroundM middle;
    double eastPerM = 1, northPerM = 0;

    double along(GroundM place) const
    {
        return (place.east - middle.east) * eastPerM + (place.north - middle.north) * northPerM;
    }
    SectionNail footOf(const SectionNail& nail) const
    {
        SectionNail foot = nail;
        const double distanceM = along(nail.position);
        foot.position = {middle.east + distanceM * eastPerM, middle.north + distanceM * northPerM};
        return foot;
    }
};

Axis axisThrough(const std::vector<const SectionPin*>& used)
{
    const GroundM origin = used.front()->nail.position;
    const auto share = 1.0 / static_cast<double>(used.size());
    double east = 0, north = 0;
    for (const SectionPin* pin : used) {
        east += (pin->nail.position.east - origin.east) * share;
        north += (pin->nail.position.north - origin.north) * share;
    }
    const GroundM middle{origin.east + east, origin.north + north};
    double eastEast = 0, eastNorth = 0, northNorth = 0;
    for (const SectionPin* pin : used) {
        const double e = pin->nail.position.east - middle.east, n = pin->nail.position.north - middle.north;
        eastEast += e * e;
        eastNorth += e * n;
        northNorth += n * n;
    }
    const double angle = 0.5 * std::atan2(2 * eastNorth, eastEast - northNorth);
    return {middle, std::cos(angle), std::sin(angle)};
}

/// The straight line through the pins in use, from the one that lies left on the film to the one right.
/// Errors name the section, as those of SectionFrame::through do.
Result<SectionFrame> straightLine(const Drawing& drawing, const std::vector<SectionPin>& pins)
{
    std::vector<const SectionPin*> used;
    for (const SectionPin& pin : pins)
        if (pin.use == PinUse::Fit)
            used.push_back(&pin);
    if (used.size() < 2)
        return about(drawing, {ErrorCode::Unsolvable,
                               std::to_string(used.size()) +
                                   " pins: a section needs 2 to know its line; pin one more nail"});
    Axis axis = axisThrough(used);
    const auto before = [&](const SectionPin* a, const SectionPin* b) {
        return axis.along(a->nail.position) < axis.along(b->nail.position);
    };
    const SectionPin* first = *std::min_element(used.begin(), used.end(), before);
    const SectionPin* last = *std::max_element(used.begin(), used.end(), before);
    if (axis.along(last->nail.position) - axis.along(first->nail.position) < ShortestSectionM)
        return about(drawing,
                     {ErrorCode::Unsolvable,
                      "its pegs lie within " + std::to_string(static_cast<int>(ShortestSectionM * 100)) +
                          " cm of each other on the ground; pin nails at both ends"});
    if (first->film.x > last->film.x)
        std::swap(first, last);
    return SectionFrame::through(drawing.number, {axis.footOf(first->nail), axis.footOf(last->nail)},
                                 drawing.datumM);
}

/// The nail's errors seen along the line and up.
void setErrors(const SectionFrame& frame, const Peg& peg, SectionNail& nail)
{
    const std::size_t leg = frame.footOf(nail.position).leg;
    const GroundM a = frame.nails()[leg].position, b = frame.nails()[leg + 1].position;
    const double length = distance(a, b);
    nail.standardErrorM = std::hypot((b.east - a.east) / length * peg.standardErrorEastM,
                                     (b.north - a.north) / length * peg.standardErrorNorthM);
    nail.standardErrorLevelM = peg.standardErrorLevelM;
}

} // namespace

std::vector<LineStop> sectionLineStops(const std::string& line)
{
    std::vector<LineStop> stops;
    bool step = false;
    for (std::size_t from = 0; from <= line.size() && !trimmed(line).empty();) {
        const std::size_t to =
            std::min(line.find_first_of({OnwardsToNail, StepsToNail}, from), line.size());
        stops.push_back({std::string(trimmed(std::string_view(line).substr(from, to - from))), step});
        step = to < line.size() && line[to] == StepsToNail;
        from = to + 1;
    }
    return stops;
}

std::string sectionLineText(const std::vector<LineStop>& stops)
{
    std::string text;
    for (const LineStop& stop : stops)
        text += (text.empty() ? "" : stop.afterStep ? " | " : "; ") + stop.nail;
    return text;
}

std::vector<LineStop> turnedLine(std::vector<LineStop> stops)
{
    std::reverse(stops.begin(), stops.end());
    for (std::size_t i = stops.size(); i-- > 1;)
        stops[i].afterStep = stops[i - 1].afterStep;
    if (!stops.empty())
        stops.front().afterStep = false;
    return stops;
}

Result<SectionFrame> storedLine(const PegsInCrs& pegs, const Drawing& drawing)
{
    std::vector<SectionNail> nails;
    for (const LineStop& stop : sectionLineStops(drawing.sectionLine)) {
        const Result<Peg> peg = pegs.named(stop.nail);
        if (!peg)
            return about(drawing, {peg.error().code, "its line: " + peg.error().message});
        nails.push_back(nailOf(*peg));
        nails.back().afterStep = stop.afterStep;
    }
    return SectionFrame::through(drawing.number, std::move(nails), drawing.datumM);
}

Result<PinnedSection> sectionOf(const Project& project, const Drawing& drawing, std::span<const Pin> pins)
{
    const std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet);
    if (!sheet)
        return about(drawing,
                     {ErrorCode::NotFound,
                      "sheet \"" + drawing.sheet +
                          "\" is not in the project; tie the drawing to the sheet that carries it"});
    const PegsInCrs pegs(project);
    std::vector<Peg> pegOf;
    std::vector<SectionPin> sectionPins;
    for (const Pin& pin : pins) {
        const Result<Peg> peg = pegs.named(pin.peg);
        if (!peg)
            return about(drawing, peg.error());
        pegOf.push_back(*peg);
        sectionPins.push_back({.nail = nailOf(*peg),
                               .film = sheet->frame.toFilm(pin.mark),
                               .onDatumLine = pin.onDatum,
                               .datumM = pin.datumM,
                               .use = pin.use});
    }
    Result<SectionFrame> frame =
        drawing.sectionLine.empty() ? straightLine(drawing, sectionPins) : storedLine(pegs, drawing);
    if (!frame)
        return frame.error();
    for (std::size_t i = 0; i < sectionPins.size(); ++i)
        setErrors(*frame, pegOf[i], sectionPins[i].nail);
    SectionFitSettings settings;
    settings.fit = {.model = drawing.model,
                    .scaleDenominator = drawing.scaleDenominator,
                    .toleranceMm = project.facts().pinToleranceMm};
    settings.verticalExaggeration = drawing.verticalExaggeration;
    if (drawing.sectionLine.empty()) {
        // No way was claimed for the line: where levels tell that it would be a mirror image, it runs the
        // other way.
        const Result<HandReport> hand = checkHand(*frame, sectionPins, settings);
        if (!hand)
            return hand.error();
        if (hand->hand == SectionHand::Reversed)
            frame = frame->turned();
    }
    return PinnedSection{std::move(frame).value(), std::move(sectionPins), settings, sheet->frame};
}

} // namespace inkpeg
