// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/SectionTurn.h"

#include <algorithm>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

void addRemedies(const Drawing& drawing, SectionReading& reading)
{
    const bool backwards = reading.hand.hand == SectionHand::Reversed;
    const bool facingReversed = reading.facing == FacingVerdict::Reversed;
    using enum SectionRemedy;
    if (backwards && facingReversed)
        reading.remedies = {TurnLine}; // both say the same: the line runs the wrong way
    else if (backwards && reading.facing == FacingVerdict::Agrees)
        reading.remedies = {FilmFaceDown, TurnLine}; // the line is right, so the film must be mirrored
    else if (backwards)
        reading.remedies = {TurnLine, FilmFaceDown};
    else if (facingReversed)
        reading.remedies = {FilmFaceDown, CorrectFacing};
    else if (reading.facing == FacingVerdict::AtOdds)
        reading.remedies = {CorrectFacing};
    if (drawing.sectionLine.empty())
        std::erase(reading.remedies, TurnLine); // it claims no way
}

Result<void> turnLine(Editor& edit, Drawing& drawing)
{
    drawing.sectionLine = sectionLineText(turnedLine(sectionLineStops(drawing.sectionLine)));
    return edit.put(drawing);
}

Result<void> mirrorSheet(const Project& project, Editor& edit, Drawing& drawing)
{
    std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet);
    if (!sheet)
        return Error{ErrorCode::NotFound, "section " + drawing.number + ": it lies on no sheet"};
    sheet->frame.faceDown = !sheet->frame.faceDown;
    if (const Result<void> put = edit.put(*sheet); !put)
        return put;
    if (drawing.sectionLine.empty())
        return {};
    const Result<SectionReading> now = readSection(project, drawing);
    return now && now->hand.hand == SectionHand::Reversed ? turnLine(edit, drawing) : Result<void>();
}

} // namespace

std::string remedyInWords(SectionRemedy remedy, const Drawing& drawing, const SectionFrame& frame)
{
    switch (remedy) {
    case SectionRemedy::TurnLine:
        return "turn the line round, to run from " + frame.nails().back().name + " to " +
               frame.nails().front().name;
    case SectionRemedy::FilmFaceDown:
        return "sheet " + drawing.sheet + " was scanned with its other face down";
    case SectionRemedy::CorrectFacing:
        return "it faces " + frame.facingName() + ", and the record is wrong";
    }
    return {};
}

Result<SectionReading> readSection(const Project& project, const Drawing& drawing)
{
    const std::vector<Pin> pins = project.ofDrawing<Pin>(drawing.id);
    Result<PinnedSection> section = sectionOf(project, drawing, pins);
    if (!section)
        return section.error();
    Result<HandReport> hand = checkHand(section->frame, section->pins, section->settings);
    if (!hand)
        return hand.error();
    SectionReading reading{std::move(section->frame), std::move(hand).value(), {}, {}, {}};
    if (!trimmed(drawing.facing).empty()) {
        const Result<FacingVerdict> facing = checkFacing(reading.frame, drawing.facing);
        if (!facing)
            return facing.error();
        reading.facing = *facing;
    }
    addRemedies(drawing, reading);
    reading.message = reading.hand.message;
    if (reading.facing && *reading.facing != FacingVerdict::Agrees)
        reading.message +=
            "; its line faces " + reading.frame.facingName() + ", the record says " + drawing.facing;
    if (!reading.facing)
        reading.message += "; no facing is recorded, so a film scanned face down would not show";
    return reading;
}

Result<Change> turnSection(Project& project, const Drawing& given, SectionRemedy remedy,
                           const std::string& why)
{
    Drawing drawing = given;
    if (drawing.stage == Stage::SignedOff)
        return Error{ErrorCode::Conflict,
                     "section " + drawing.number + ": it is signed off; take the sign-off back first"};
    if (remedy == SectionRemedy::TurnLine && drawing.sectionLine.empty())
        return Error{ErrorCode::Conflict,
                     "section " + drawing.number +
                         ": it has no line of its own to turn; give its pegs from A to B"};
    const Result<SectionReading> reading = readSection(project, drawing);
    if (!reading)
        return reading.error();
    return project.act(
        "section " + drawing.number + ": " + remedyInWords(remedy, drawing, reading->frame),
        [&](Editor& edit) -> Result<void> {
            switch (remedy) {
            case SectionRemedy::TurnLine:
                return turnLine(edit, drawing);
            case SectionRemedy::FilmFaceDown:
                return mirrorSheet(project, edit, drawing);
            case SectionRemedy::CorrectFacing:
                drawing.facing = reading->frame.facingName();
                return edit.put(drawing);
            }
            return {};
        },
        why);
}

Result<Change> setSectionLine(Project& project, Drawing drawing, const std::vector<LineStop>& stops,
                              double verticalExaggeration, const std::string& why)
{
    const auto bad = [&](const std::string& what) {
        return Error{ErrorCode::BadInput, "section " + drawing.number + ": " + what};
    };
    if (!isUpright(drawing.kind))
        return bad("it is a plan; only sections, elevations and profiles have a line");
    if (!(verticalExaggeration > 0))
        return bad("vertical exaggeration " + exact(verticalExaggeration) + " is not above 0");
    for (const LineStop& stop : stops)
        if (stop.nail.find_first_of(";|") != std::string::npos)
            return bad("a peg whose name holds ; or | cannot stand in its line; rename the peg");
    drawing.sectionLine = sectionLineText(stops);
    drawing.verticalExaggeration = verticalExaggeration;
    if (!stops.empty())
        if (const auto frame = storedLine(PegsInCrs(project), drawing); !frame)
            return frame.error();
    return project.act(
        "section " + drawing.number + ": line " +
            (stops.empty() ? std::string("straight through its pins") : drawing.sectionLine) +
            (verticalExaggeration != 1 ? ", drawn " + exact(verticalExaggeration) + " times taller" : ""),
        [&](Editor& edit) { return edit.put(drawing); }, why);
}

} // namespace inkpeg
