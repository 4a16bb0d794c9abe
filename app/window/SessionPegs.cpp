// SPDX-License-Identifier: GPL-3.0-or-later
// What is known and advised about the pins of the drawing at hand, and the acts that follow the advice.
#include <algorithm>

#include "app/window/Session.h"
#include "app/window/Words.h"
#include "core/handover/ResidualFigures.h"
#include "core/store/PegProposals.h"

namespace inkpeg {

const DrawingDiagnosis* Session::diagnosis() const
{
    if (!m_scene.drawing)
        return nullptr;
    if (!m_diagnosis)
        m_diagnosis = diagnoseDrawing(*m_project, m_scene.drawing->record, m_scene.drawing->pins);
    return *m_diagnosis ? &**m_diagnosis : nullptr;
}

const ModelComparison* Session::comparison() const
{
    if (!m_scene.drawing)
        return nullptr;
    if (!m_comparison)
        m_comparison = compareModelsFor(*m_project, m_scene.drawing->record, m_scene.drawing->pins);
    return *m_comparison ? &**m_comparison : nullptr;
}

bool Session::setModel(Model model, const QString& reason)
{
    const std::optional<Drawing> at = drawing();
    const std::string why = reason.trimmed().toStdString();
    if (!at || (at->model == model && at->modelReason == why))
        return false;
    QString journalled = words(why);
    if (const ModelComparison* models = comparison(); models && models->recommended)
        journalled +=
            (why.empty() ? QString() : QString("; ")) + tr("advised: %1").arg(words(models->reason));
    return act(
        words(pinningAct(at->number, tr("fitted by %1").arg(words(modelName(model))).toStdString())),
        [&](Editor& edit) {
            Drawing changed = *at;
            changed.model = model;
            changed.modelReason = why;
            changed.stage = stageByPins(*m_project, changed, m_scene.drawing->pins);
            return edit.put(changed);
        },
        journalled);
}

bool Session::setScale(double scaleDenominator)
{
    const std::optional<Drawing> at = drawing();
    if (!at || at->scaleDenominator == scaleDenominator)
        return false;
    if (!(scaleDenominator > 0))
        return refuse({ErrorCode::BadInput, "a scale is written as the number behind 1:, e.g. 20"});
    return act(tr("put drawing %1 at %2").arg(words(at->number), scaleWords(scaleDenominator)),
               [&](Editor& edit) {
                   Drawing changed = *at;
                   changed.scaleDenominator = scaleDenominator;
                   changed.stage = stageByPins(*m_project, changed, m_scene.drawing->pins);
                   return edit.put(changed);
               });
}

bool Session::acceptCrosses(const std::vector<ProposedPin>& crosses)
{
    std::vector<Pin> made;
    for (const ProposedPin& cross : crosses)
        if (!cross.peg.empty() && m_scene.drawing)
            made.push_back(pinOf(cross, m_scene.drawing->record));
    if (made.empty())
        return refuse({ErrorCode::BadInput, "no cross to accept has a peg"});
    const QString what = made.size() == 1 ? tr("cross %1 pinned").arg(words(made.front().peg))
                                          : tr("%1 crosses pinned").arg(made.size());
    return changePins(what, [&](std::vector<Pin>& pins, Editor& edit) -> Result<void> {
        for (Pin& pin : made) {
            if (std::ranges::find(pins, pin.peg, &Pin::peg) != pins.end())
                return Error{ErrorCode::Conflict, "peg " + pin.peg + " is already pinned on this drawing"};
            if (const Result<void> put = edit.put(pin); !put)
                return put;
            pins.push_back(pin);
        }
        return {};
    });
}

bool Session::sharePins()
{
    if (!m_scene.drawing)
        return false;
    const std::vector<Pin> shared = pinsToShare(*m_project, m_scene.drawing->record, m_scene.drawing->pins);
    if (shared.empty())
        return refuse(
            {ErrorCode::NotFound,
             "no other drawing of this sheet has pins on this one's part, at its scale, that it has "
             "not itself"});
    return changePins(tr("%1 pins shared with the sheet's other drawings").arg(shared.size()),
                      [&](std::vector<Pin>& pins, Editor& edit) -> Result<void> {
                          for (Pin pin : shared) {
                              if (const Result<void> put = edit.put(pin); !put)
                                  return put;
                              pins.push_back(pin);
                          }
                          return {};
                      });
}

bool Session::takeRemedy(std::size_t hypothesis)
{
    const DrawingDiagnosis* found = diagnosis();
    if (!found || hypothesis >= found->hypotheses.size())
        return refuse({ErrorCode::NotFound, "no cause is named that a remedy could be taken for"});
    const DrawingDiagnosis kept = *found; // the act makes the session forget it
    const Drawing record = m_scene.drawing->record;
    return act(
        words(remedyAct(record, kept, hypothesis)),
        [&](Editor& edit) { return inkpeg::takeRemedy(edit, *m_project, record, kept, hypothesis); },
        words(kept.hypotheses[hypothesis].sentence));
}

QString Session::proposedPeg(ScanPx mark, std::optional<double> crossDirectionRad) const
{
    if (!isOpen() || !m_scene.drawing)
        return {};
    const BoardDrawing& at = *m_scene.drawing;
    const Result<GroundGuess> guess = GroundGuess::of(*m_project, at.record, at.pins, crossDirectionRad);
    if (!guess)
        return {}; // without a guess of the place, a proposal would be a lottery
    // More than 20 mm off on film is no proposal but a coincidence.
    const std::vector<PegProposal> near = pegsNear(*m_project, at.record, *guess, at.pins, mark, 20);
    return near.empty() ? QString() : words(near.front().peg);
}

} // namespace inkpeg
