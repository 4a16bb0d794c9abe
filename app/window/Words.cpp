// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/Words.h"

#include <QCoreApplication>
#include <QLocale>

namespace inkpeg {
namespace {

QString tr(const char* text)
{
    return QCoreApplication::translate("Words", text);
}

} // namespace

QString sentence(const QString& text)
{
    return text.isEmpty() ? text : text.left(1).toUpper() + text.mid(1);
}

QString stageWord(Stage stage)
{
    switch (stage) {
    case Stage::Listed:
        return tr("listed");
    case Stage::Scanned:
        return tr("scanned");
    case Stage::Pinned:
        return tr("pinned");
    case Stage::Traced:
        return tr("traced");
    case Stage::Checked:
        return tr("checked");
    case Stage::SignedOff:
        return tr("signed off");
    }
    return {};
}

QString drawingKindWord(DrawingKind kind)
{
    switch (kind) {
    case DrawingKind::Plan:
        return tr("plan");
    case DrawingKind::Section:
        return tr("section");
    case DrawingKind::Elevation:
        return tr("elevation");
    case DrawingKind::Profile:
        return tr("profile");
    }
    return {};
}

QString useName(PinUse use)
{
    switch (use) {
    case PinUse::Fit:
        return tr("fit");
    case PinUse::Check:
        return tr("check point");
    case PinUse::LeftOut:
        return tr("left out");
    }
    return {};
}

QString scaleWords(double scaleDenominator)
{
    return "1:" + QString::number(scaleDenominator, 'g', 6);
}

Verdict verdictOf(const ControlFit& fit)
{
    const PinResidual* worst = nullptr;
    for (const PinResidual& residual : fit.residuals)
        if (residual.use != PinUse::LeftOut && (!worst || residual.filmMm > worst->filmMm))
            worst = &residual;
    if (!worst)
        return {Verdict::Kind::Bad, tr("No pin takes part in the fit.")};
    const QString figure = tr("%1 mm on film at %2 against a tolerance of %3 mm")
                               .arg(worst->filmMm, 0, 'f', 2)
                               .arg(words(worst->peg))
                               .arg(fit.settings.toleranceMm, 0, 'f', 2);
    if (!worst->withinTolerance)
        return {Verdict::Kind::Bad,
                tr("Out of tolerance: %1. Look whether the pin sits on its mark and carries the right peg.")
                    .arg(figure)};
    if (fit.redundancy == 0)
        return {Verdict::Kind::Doubtful,
                tr("Not checked: the pins just determine the fit, so every residual is nought whatever was "
                   "mispinned. Pin one more peg.")};
    return {Verdict::Kind::Good, tr("Within tolerance: %1.").arg(figure)};
}

} // namespace inkpeg
