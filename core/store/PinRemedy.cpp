// SPDX-License-Identifier: GPL-3.0-or-later
// What a remedy changes in the project: said in words, and done within an act.
#include <algorithm>
#include <cmath>
#include <utility>

#include "core/base/Text.h"
#include "core/store/DrawingDiagnosis.h"

namespace inkpeg {

namespace {

constexpr double SamePlaceM = 1e-6;

/// A coordinate of a peg that a remedy puts right.
struct Correction {
    std::string peg;
    bool east = true; ///< else north, or in an upright drawing the level
    double toM = 0;
};

/// The changes of a remedy against what the diagnosis was made of.
struct Changes {
    std::vector<std::pair<std::size_t, std::string>> tied; ///< pin and its new peg
    std::vector<std::size_t> setAside;
    std::vector<Correction> corrections;
    std::optional<double> scaleDenominator;
    bool turnFilmOver = false;
};

Changes changesOf(const Drawing& drawing, const DrawingDiagnosis& diagnosis, const Hypothesis& hypothesis)
{
    Changes changes;
    if (hypothesis.kind == BlunderKind::WrongScale || hypothesis.kind == BlunderKind::MirroredFilm) {
        // Its pins are only how the scale or the side was read off: those that did not agree are set aside
        // in them, which is no part of this remedy.
        if (hypothesis.remedy.scaleDenominator != drawing.scaleDenominator)
            changes.scaleDenominator = hypothesis.remedy.scaleDenominator;
        changes.turnFilmOver = hypothesis.remedy.turnFilmOver;
        return changes;
    }
    if (hypothesis.kind == BlunderKind::GrossError)
        changes.setAside = hypothesis.pins;
    for (std::size_t i = 0; i < diagnosis.pins.size() && i < hypothesis.remedy.pins.size(); ++i) {
        const ControlPoint& put = hypothesis.remedy.pins[i];
        const Pin& pin = diagnosis.pins[i];
        if (put.peg != pin.peg) {
            changes.tied.emplace_back(i, put.peg);
        } else {
            const GroundM was = diagnosis.compared[i];
            if (std::abs(put.ground.east - was.east) > SamePlaceM)
                changes.corrections.push_back({pin.peg, true, put.ground.east});
            if (std::abs(put.ground.north - was.north) > SamePlaceM)
                changes.corrections.push_back({pin.peg, false, put.ground.north});
        }
    }
    return changes;
}

/// To the micrometre: what a sum of doubles adds behind that is in no register.
double asWritten(double metres)
{
    return std::round(metres * 1e6) / 1e6;
}

std::string axisName(const Drawing& drawing, const DrawingDiagnosis& diagnosis, bool east)
{
    const std::string frame = diagnosis.frame == PegFrame::Site ? "site " : "";
    return frame + (east ? "east" : isUpright(drawing.kind) ? "level" : "north");
}

/// The record that the fit reads: the one in the CRS where a peg is given in both frames.
Result<Peg> recordToCorrect(const Project& project, const std::string& name)
{
    std::optional<Peg> found;
    for (const Peg& peg : project.all<Peg>())
        if (peg.name == name && (!found || peg.frame == PegFrame::Crs))
            found = peg;
    if (!found)
        return Error{ErrorCode::NotFound, "peg \"" + name + "\" is no longer in the register"};
    return *found;
}

Result<void> correct(Editor& edit, const Project& project, const Drawing& drawing,
                     const DrawingDiagnosis& diagnosis, const Correction& correction)
{
    Result<Peg> peg = recordToCorrect(project, correction.peg);
    if (!peg)
        return peg.error();
    const double toM = asWritten(correction.toM);
    if (isUpright(drawing.kind)) {
        if (correction.east)
            return Error{ErrorCode::BadInput, "the distance along a section stands in no register"};
        peg->levelM = toM;
    } else if (peg->frame == diagnosis.frame) {
        (correction.east ? peg->position.east : peg->position.north) = toM;
    } else {
        const PegsInCrs pegs(project);
        if (!pegs.siteGrid())
            return pegs.siteGrid().error();
        const SiteGrid& grid = *pegs.siteGrid();
        const bool site = diagnosis.frame == PegFrame::Site;
        GroundM place = site ? grid.toSite(peg->position) : grid.toCrs(peg->position);
        (correction.east ? place.east : place.north) = correction.toM;
        place = site ? grid.toCrs(place) : grid.toSite(place);
        peg->position = {std::round(place.east * 1000) / 1000, std::round(place.north * 1000) / 1000};
    }
    return edit.put(*peg);
}

Result<void> turnOver(Editor& edit, const Project& project, const Drawing& drawing)
{
    std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet);
    if (!sheet)
        return Error{ErrorCode::NotFound, "sheet \"" + drawing.sheet + "\" is no longer in the project"};
    sheet->frame.faceDown = !sheet->frame.faceDown;
    return edit.put(*sheet);
}

/// Stages of all drawings that are not traced yet follow their pins: a peg or a sheet serves several.
Result<void> restage(Editor& edit, const Project& project)
{
    for (Drawing drawing : project.all<Drawing>()) {
        const Stage stage = stageByPins(project, drawing, project.ofDrawing<Pin>(drawing.id));
        if (stage == drawing.stage)
            continue;
        drawing.stage = stage;
        if (const Result<void> put = edit.put(drawing); !put)
            return put;
    }
    return {};
}

Result<const Hypothesis*> hypothesisAt(const DrawingDiagnosis& diagnosis, std::size_t hypothesis)
{
    if (hypothesis >= diagnosis.hypotheses.size())
        return Error{ErrorCode::BadInput, "there is no remedy " + std::to_string(hypothesis + 1) +
                                              ": the diagnosis has " +
                                              std::to_string(diagnosis.hypotheses.size())};
    return &diagnosis.hypotheses[hypothesis];
}

std::string pinsTied(const DrawingDiagnosis& diagnosis, const Changes& changes)
{
    std::string words;
    constexpr std::size_t MostNamed = 3;
    for (std::size_t i = 0; i < changes.tied.size() && i < MostNamed; ++i)
        words += (words.empty() ? "" : "; ") + std::string("tie pin ") +
                 diagnosis.pins[changes.tied[i].first].peg + " to peg " + changes.tied[i].second;
    if (changes.tied.size() > MostNamed)
        words += "; and " + std::to_string(changes.tied.size() - MostNamed) + " more";
    return words;
}

} // namespace

std::string remedyWords(const Drawing& drawing, const DrawingDiagnosis& diagnosis, std::size_t hypothesis)
{
    const Result<const Hypothesis*> chosen = hypothesisAt(diagnosis, hypothesis);
    if (!chosen)
        return chosen.error().message;
    const Changes changes = changesOf(drawing, diagnosis, **chosen);
    std::string words = pinsTied(diagnosis, changes);
    const auto add = [&](const std::string& more) { words += (words.empty() ? "" : "; ") + more; };
    for (const std::size_t pin : changes.setAside)
        add("leave pin " + diagnosis.pins[pin].peg + " out of the fit");
    for (const Correction& correction : changes.corrections)
        add("write " + axisName(drawing, diagnosis, correction.east) + " " + fixed(correction.toM, 3) +
            " for peg " + correction.peg + " in the register, which all drawings share");
    if (changes.scaleDenominator)
        add("put the drawing at 1:" + exact(*changes.scaleDenominator));
    if (changes.turnFilmOver)
        add("turn sheet " + drawing.sheet + " over, with all its drawings");
    return words.empty() ? "nothing to change here: look at the film" : words;
}

std::string remedyAct(const Drawing& drawing, const DrawingDiagnosis& diagnosis, std::size_t hypothesis)
{
    const Result<const Hypothesis*> chosen = hypothesisAt(diagnosis, hypothesis);
    return "pin drawing " + drawing.number + ": " +
           (chosen ? blunderName((*chosen)->kind) : std::string("remedy")) + ": " +
           remedyWords(drawing, diagnosis, hypothesis);
}

Result<void> takeRemedy(Editor& edit, const Project& project, const Drawing& drawing,
                        const DrawingDiagnosis& diagnosis, std::size_t hypothesis)
{
    const Result<const Hypothesis*> chosen = hypothesisAt(diagnosis, hypothesis);
    if (!chosen)
        return chosen.error();
    const std::vector<Pin> now = project.ofDrawing<Pin>(drawing.id);
    if (now != diagnosis.pins)
        return Error{ErrorCode::Conflict, "the pins of drawing " + drawing.number +
                                              " have changed since they were diagnosed; diagnose again"};
    const Changes changes = changesOf(drawing, diagnosis, **chosen);
    for (const auto& [pin, peg] : changes.tied) {
        Pin tied = now[pin];
        tied.peg = peg;
        if (const Result<void> put = edit.put(tied); !put)
            return put;
    }
    for (const std::size_t pin : changes.setAside) {
        Pin aside = now[pin];
        aside.use = PinUse::LeftOut;
        if (const Result<void> put = edit.put(aside); !put)
            return put;
    }
    for (const Correction& correction : changes.corrections)
        if (const Result<void> done = correct(edit, project, drawing, diagnosis, correction); !done)
            return done;
    if (changes.scaleDenominator) {
        Drawing scaled = drawing;
        scaled.scaleDenominator = *changes.scaleDenominator;
        if (const Result<void> put = edit.put(scaled); !put)
            return put;
    }
    if (changes.turnFilmOver)
        if (const Result<void> turned = turnOver(edit, project, drawing); !turned)
            return turned;
    return restage(edit, project);
}

} // namespace inkpeg
