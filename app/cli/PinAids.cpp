// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/PinAids.h"

#include <cmath>

#include "core/base/Text.h"
#include "core/film/Crosses.h"
#include "core/film/Scan.h"
#include "core/store/DrawingDiagnosis.h"
#include "core/store/PegProposals.h"

namespace inkpeg {

namespace {

constexpr double CentreRadiusMm = 2.5;

Result<void> centre(const Call& call, const Project& project, const Drawing& drawing,
                    std::vector<Pin>& pins)
{
    const std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet);
    if (!sheet || sheet->scanFile.empty())
        return Error{ErrorCode::NotFound, "drawing " + drawing.number +
                                              " has no scan to centre its marks on; give its sheet one"};
    const Result<Scan> scan = Scan::open(scanPath(project, *sheet));
    if (!scan)
        return scan.error();
    const double dpi = std::sqrt(sheet->frame.dpiX * sheet->frame.dpiY);
    for (Pin& pin : pins) {
        const Result<CrossMark> cross =
            centreOnCross(*scan, pin.mark, CentreRadiusMm * dpi / MillimetresPerInch, dpi);
        if (!cross) {
            call.say("pin " + pin.peg + " stays where it is: " + cross.error().message);
            continue;
        }
        if (cross->doubtful)
            call.say("pin " + pin.peg + ": " + cross->doubt);
        pin.mark = onLattice(cross->centre);
        pin.placedBy = "cross";
        pin.standardErrorPx = cross->standardErrorPx;
    }
    return {};
}

} // namespace

std::vector<OptionWords> pinAidOptions()
{
    return {{"centre", "", "moves each mark onto the drawn cross it lies at"},
            {"share", "", "takes over pins of the sheet's other drawings that lie on this one's part"},
            {"crosses", "WORD",
             "finds the other grid crosses from two pinned neighbours: show lists them, sure pins those "
             "without doubt, all pins the doubtful too"},
            {"remedy", "N", "takes the remedy of likely cause N"}};
}

Result<void> checkPinAids(const Call& call)
{
    for (const OptionWords& option : pinAidOptions())
        if (call.has(option.name) && !call.has("drawing"))
            return Error{ErrorCode::BadInput,
                         "--" + option.name + " works on one drawing; say which: --drawing NUMBER"};
    const std::string crosses = call.value("crosses", "show");
    if (crosses != "show" && crosses != "sure" && crosses != "all")
        return Error{ErrorCode::BadInput, "--crosses \"" + crosses + "\" is none of show, sure, all"};
    const std::optional<long long> remedy =
        call.has("remedy") ? parseWhole(call.value("remedy")) : std::optional<long long>(1);
    if (!remedy || *remedy < 1)
        return Error{ErrorCode::BadInput, "--remedy \"" + call.value("remedy") +
                                              "\" is not the number of a cause, 1 for the likeliest"};
    return {};
}

bool aidsChangePins(const Call& call)
{
    return call.has("centre") || call.has("share") ||
           (call.has("crosses") && call.value("crosses") != "show");
}

Result<void> aidPins(const Call& call, const Project& project, const Drawing& drawing,
                     std::vector<Pin>& pins, std::optional<GridProposal>& shown)
{
    if (call.has("centre"))
        if (const Result<void> done = centre(call, project, drawing, pins); !done)
            return done;
    if (call.has("share"))
        for (const Pin& pin : pinsToShare(project, drawing, pins))
            pins.push_back(pin);
    if (!call.has("crosses"))
        return {};
    Result<GridProposal> grid = proposeGrid(project, drawing, pins, call.progress());
    if (!grid)
        return grid.error();
    if (call.value("crosses") == "show") {
        shown = std::move(grid).value();
        return {};
    }
    for (const ProposedPin& proposed : grid->pins) {
        if (proposed.doubtful)
            call.say("cross at column " + fixed(proposed.cross.centre.column, 0) + ", row " +
                     fixed(proposed.cross.centre.row, 0) +
                     (proposed.peg.empty() ? "" : ", " + proposed.peg) + " is doubtful: " + proposed.doubt);
        if (!proposed.peg.empty() && (!proposed.doubtful || call.value("crosses") == "all"))
            pins.push_back(pinOf(proposed, drawing));
    }
    return {};
}

Result<void> takeRemedyAsked(const Call& call, Project& project, const Drawing& drawing)
{
    const Result<DrawingDiagnosis> diagnosis = diagnoseDrawing(project, drawing);
    if (!diagnosis)
        return diagnosis.error();
    const auto number = static_cast<std::size_t>(parseWhole(call.value("remedy")).value() - 1);
    const Result<Change> change = project.act(
        remedyAct(drawing, *diagnosis, number),
        [&](Editor& edit) { return takeRemedy(edit, project, drawing, *diagnosis, number); },
        call.value("why"));
    if (!change)
        return change.error();
    call.say(remedyWords(drawing, *diagnosis, number));
    return {};
}

} // namespace inkpeg
