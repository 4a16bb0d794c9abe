// SPDX-License-Identifier: GPL-3.0-or-later
// Ties a section drawing to its frame: the plan's fits and tests, in the plane of distance along and level.
#pragma once

#include "core/section/SectionFrame.h"

namespace inkpeg {

/// A nail, or a mark on the datum line, with its mark on the film.
/// Its place on the ground is carried onto the line; its level is its own, or the datum's for a mark on the
/// datum line.
struct SectionPin {
    SectionNail nail;
    FilmMm film;
    bool onDatumLine = false;
    std::optional<double> datumM = {}; ///< of a piece of the section that was drawn with another datum
    PinUse use = PinUse::Fit;
};

struct SectionFitSettings {
    FitSettings fit;
    double verticalExaggeration = 1; ///< how many times taller than wide it was drawn
    /// A nail further from the line than this is refused (common practice, no source).
    double farFromLineM = 0.25;
};

/// How a drawing lies against its line.
enum class SectionHand {
    AsWalked, ///< A on the left
    Reversed, ///< A on the right: drawn from the other side, or the film scanned face down
};

struct HandReport {
    SectionHand hand = SectionHand::AsWalked;
    bool fromLevels = false; ///< told by pins off one line; otherwise by the film being upright
    double rmseAsWalkedMm = 0, rmseReversedMm = 0; ///< of the best similarity either way, on the film
    std::string message;                           ///< for people; offers the turn where one is needed
};

/// Tells whether the drawing reads from A to B. Pins that lie well off one line on the film tell by
/// themselves, however the film was turned; pins on one line tell only if the film stands upright, within
/// 90 degrees. Errors: as fitSection; Unsolvable (fewer than two pins, all in one place).
Result<HandReport> checkHand(const SectionFrame& frame, std::span<const SectionPin> pins,
                             const SectionFitSettings& settings);

/// The pins as the fit sees them: east = distance along, north = datum + (level - datum) * exaggeration.
/// Shape: in the order of `pins`. Errors: BadInput, as fitSection.
Result<std::vector<ControlPoint>> sectionControl(const SectionFrame& frame,
                                                 std::span<const SectionPin> pins,
                                                 const SectionFitSettings& settings);

struct SectionFit {
    ControlFit fit; ///< east = distance along, north = datum + (level - datum) * exaggeration
    double verticalExaggeration = 1;
    double datumM = 0;
    double measuredExaggeration = 1; ///< height over width of the fitted scales at the middle of the pins

    SectionPoint toSection(FilmMm film) const;
    Result<FilmMm> toFilm(SectionPoint place) const;
    /// east = along, north = level; from the control alone.
    GroundCovariance covarianceAt(FilmMm film) const;
};

/// Errors: BadInput: a nail without a level that is no mark on the datum line; a nail far from the line;
///         exaggeration not positive. Conflict: the drawing is reversed (its message offers the turn).
///         Unsolvable: as fitControl.
Result<SectionFit> fitSection(const SectionFrame& frame, std::span<const SectionPin> pins,
                              const SectionFitSettings& settings);

} // namespace inkpeg
