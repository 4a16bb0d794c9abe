// SPDX-License-Identifier: GPL-3.0-or-later
// Acts on the pins of the drawing at hand.
#include <algorithm>

#include "app/window/Session.h"
#include "app/window/Words.h"
#include "core/handover/ResidualFigures.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {
namespace {

Error noPegNamed(const QString& name)
{
    return {
        ErrorCode::NotFound,
        ("no peg is named \"" + name + "\"; choose one of the register, or add it there").toStdString()};
}

} // namespace

bool Session::changePins(const QString& what,
                         const std::function<Result<void>(std::vector<Pin>&, Editor&)>& change)
{
    const std::optional<Drawing> at = drawing();
    if (!at)
        return false;
    const QString journalled = words(pinningAct(at->number, what.toStdString()));
    return act(journalled, [&](Editor& edit) -> Result<void> {
        std::vector<Pin> pins = m_scene.drawing->pins;
        if (auto changed = change(pins, edit); !changed)
            return changed;
        Drawing staged = *at;
        staged.stage = stageByPins(*m_project, staged, pins);
        return staged.stage == at->stage ? Result<void>() : edit.put(staged);
    });
}

bool Session::placePin(ScanPx mark, const QString& peg, const std::optional<CrossMark>& cross)
{
    if (!isOpen() || !m_scene.drawing)
        return false;
    const std::string name = peg.trimmed().toStdString();
    if (!m_project->byKey<Peg>(name))
        return refuse(noPegNamed(peg.trimmed()));
    const auto taken = std::ranges::find(m_scene.drawing->pins, name, &Pin::peg);
    if (taken != m_scene.drawing->pins.end())
        return refuse(
            {ErrorCode::Conflict,
             "peg " + name + " is already pinned on this drawing; drag that pin, or remove it first"});
    return changePins(tr("%1 pinned").arg(words(name)), [&](std::vector<Pin>& pins, Editor& edit) {
        Pin pin;
        pin.drawing = m_drawing;
        pin.peg = name;
        pin.mark = onLattice(mark);
        pin.placedBy = cross ? "cross" : "hand";
        if (cross)
            pin.standardErrorPx = cross->standardErrorPx;
        auto put = edit.put(pin);
        pins.push_back(pin);
        return put;
    });
}

bool Session::movePin(std::int64_t id, ScanPx mark)
{
    return changePins(tr("a pin moved"), [&](std::vector<Pin>& pins, Editor& edit) -> Result<void> {
        for (Pin& pin : pins) {
            if (pin.id != id)
                continue;
            pin.mark = onLattice(mark);
            pin.placedBy = "hand";
            pin.standardErrorPx.reset();
            return edit.put(pin);
        }
        return Error{ErrorCode::NotFound, "that pin is gone"};
    });
}

bool Session::removePin(std::int64_t id)
{
    return changePins(tr("a pin removed"), [&](std::vector<Pin>& pins, Editor& edit) {
        std::erase_if(pins, [&](const Pin& pin) { return pin.id == id; });
        return edit.remove<Pin>(id);
    });
}

bool Session::renamePin(std::int64_t id, const QString& peg)
{
    const std::string name = peg.trimmed().toStdString();
    if (!m_project->byKey<Peg>(name))
        return refuse(noPegNamed(peg.trimmed()));
    return changePins(
        tr("a pin tied to %1").arg(words(name)), [&](std::vector<Pin>& pins, Editor& edit) -> Result<void> {
            for (const Pin& pin : pins)
                if (pin.peg == name && pin.id != id)
                    return Error{ErrorCode::Conflict, "peg " + name + " is already pinned on this drawing"};
            for (Pin& pin : pins) {
                if (pin.id != id)
                    continue;
                pin.peg = name;
                return edit.put(pin);
            }
            return Error{ErrorCode::NotFound, "that pin is gone"};
        });
}

bool Session::setPinUse(std::int64_t id, PinUse use)
{
    return changePins(use == PinUse::LeftOut ? tr("a pin left out")
                                             : tr("a pin used as %1").arg(useName(use)),
                      [&](std::vector<Pin>& pins, Editor& edit) -> Result<void> {
                          for (Pin& pin : pins) {
                              if (pin.id != id)
                                  continue;
                              pin.use = use;
                              return edit.put(pin);
                          }
                          return Error{ErrorCode::NotFound, "that pin is gone"};
                      });
}

QStringList Session::pegNames() const
{
    QStringList names;
    if (isOpen())
        for (const Peg& peg : m_project->all<Peg>())
            names << words(peg.name);
    names.removeDuplicates(); // a peg may be given in both frames
    return names;
}

} // namespace inkpeg
