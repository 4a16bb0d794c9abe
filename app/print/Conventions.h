// SPDX-License-Identifier: GPL-3.0-or-later
// How drawn things look on print-ready plans and sections: line weights and dashes in millimetres, and the
// words of the key. Common practice, no source; the difference never hangs on colour.
#pragma once

#include <string>

#include "app/print/PageArt.h"
#include "core/outline/Outline.h"
#include "core/records/Records.h"

namespace inkpeg {

/// What a context's number looks like and how heavy its outline is.
enum class ContextClass { Cut, Deposit, Structure, Unknown };

/// From the word of the register ("cut", "fill", "layer", "wall", ...); Unknown where it has none.
ContextClass contextClassOf(const std::string& kind);

/// Cuts in square brackets, deposits in round ones, structures bare (common practice, no source).
std::string contextLabel(const std::string& number, ContextClass contextClass);

ArtPen edgePen(EdgeKind kind, ContextClass contextClass);
ArtPen linePen(LineKind kind);
ArtPen limitPen(); ///< of a trench's limit of excavation
ArtPen datumPen();
ArtPen postPen(); ///< outline of an upright timber

std::string keyWords(EdgeKind kind);
std::string keyWords(LineKind kind);

/// The mark of a find, sample, timber or note with its middle at `at`; about 2 mm wide.
void drawPointMark(PageArt& art, PointKind kind, PageMm at);
/// The mark of a level: a triangle standing on its point.
void drawLevelMark(PageArt& art, PageMm at);

inline constexpr double MarkMm = 2.0; ///< width and height that a mark takes at most

} // namespace inkpeg
