// SPDX-License-Identifier: GPL-3.0-or-later
// Every colour of the program, read from resources/palette/palette.json. A colour never carries a meaning
// alone: shape, pattern or words say the same.
#pragma once

#include <QColor>
#include <QPalette>
#include <QString>
#include <QStringList>

namespace inkpeg {

enum class Theme { Light, Dark };

struct Palette {
    QColor desk, surface, raised, rail, rule;           ///< grounds, from the board's desk to a raised card
    QColor ink, faintInk, accent, onAccent, accentWash; ///< writing and what is chosen
    QColor good, doubtful, bad;                         ///< verdicts, always beside their words
    QColor pinFit, pinCheck, pinLeftOut, arrow;
    QColor outline, outlineSelected, tracing, snap;
    QColor peg, trench, find, neighbour;
    QColor halo; ///< behind writing that lies on film
};

/// The palette of a theme. The file is compiled in; a name missing from it stops the program at start.
const Palette& paletteOf(Theme theme);

/// Names of colours that the file lacks or spells wrongly, for tests and for whoever edits it.
QStringList faultsOfPalette(Theme theme);

/// The palette in use and its theme; chosen at start from the desktop's own, or by the person.
const Palette& palette();
Theme theme();
void setTheme(Theme theme);

/// Qt's palette and style sheet made from ours.
QPalette widgetPalette(const Palette& colours);
QString styleSheet(const Palette& colours);

} // namespace inkpeg
