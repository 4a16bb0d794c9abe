// SPDX-License-Identifier: GPL-3.0-or-later
// The core's values in the words of the screen.
#pragma once

#include <QString>

#include "core/fit/ControlFit.h"
#include "core/records/Records.h"

namespace inkpeg {

inline QString words(const std::string& text)
{
    return QString::fromStdString(text);
}

/// With its first letter in upper case.
QString sentence(const QString& text);

QString stageWord(Stage stage);            ///< "pinned"
QString drawingKindWord(DrawingKind kind); ///< "plan"
QString useName(PinUse use);               ///< "fit", "check point", "left out"

/// "1:20"
QString scaleWords(double scaleDenominator);

/// Whether a fit is good enough, in a sentence that also says what to do when it is not.
struct Verdict {
    enum class Kind { Good, Doubtful, Bad } kind = Kind::Good;
    QString text;
};
Verdict verdictOf(const ControlFit& fit);

} // namespace inkpeg
