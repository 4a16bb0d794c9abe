// SPDX-License-Identifier: GPL-3.0-or-later
// Which peg a mark on the film is likely to be, from what is pinned already.
//
//   const Result<GroundGuess> guess = GroundGuess::of(project, drawing, pins, cross.directionRad);
//   if (guess) names = pegsNear(project, drawing, *guess, pins, mark);   // nearest first
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

/// Where the marks of a drawing lie on the ground, as far as its pins tell so far. Of an upright drawing in
/// its own plane: distance along the line, level.
class GroundGuess {
public:
    /// From the drawing's fit; where that asks for more pins, from a similarity through two; a plan with one
    /// pin is laid by the stated scale and `crossDirectionRad`, the direction of the lines of a drawn cross
    /// (on screen, clockwise from the row: CrossMark), which are taken to be those of the site grid, or of
    /// the CRS where there is none, as turned least.
    /// Errors: as groundOfDrawing; Unsolvable (no pins, or one without a cross).
    static Result<GroundGuess> of(const Project& project, const Drawing& drawing, std::span<const Pin> pins,
                                  std::optional<double> crossDirectionRad = {});

    GroundM at(ScanPx mark) const;
    Result<ScanPx> markOf(GroundM place) const;
    /// True if laid by a single pin.
    bool byOnePin() const { return !m_ground.has_value(); }
    const std::optional<DrawingGround>& ground() const { return m_ground; }

private:
    /// A similarity of the film given outright.
    struct Laid {
        FilmFrame film;
        FilmMm at;
        GroundM place;
        double cosine = 1, sine = 0; ///< of the turn, times metres a millimetre
    };
    std::optional<DrawingGround> m_ground;
    Laid m_laid;
};

struct PegProposal {
    std::string peg;
    double awayMm = 0; ///< on the film, at the stated scale
};

/// Pegs that are not pinned yet within `mostMm` of a mark, the nearest first; those without a place in the
/// drawing's plane are passed over.
std::vector<PegProposal> pegsNear(const Project& project, const Drawing& drawing, const GroundGuess& guess,
                                  std::span<const Pin> pins, ScanPx mark, double mostMm = 20);

/// A peg that no pin has yet, and where its mark should be.
struct PegToPin {
    std::string peg;
    ScanPx mark;
};

/// Pegs that are not pinned yet and should have a mark on the drawing's part of the sheet: those named like
/// the pinned ones first, of these those amid the pins, each part in reading order, from the top down, from
/// left to right.
std::vector<PegToPin> pegsToPin(const Project& project, const Drawing& drawing, const GroundGuess& guess,
                                std::span<const Pin> pins);

/// Whether a place lies on the drawing's part of its sheet.
bool liesOnDrawing(const Drawing& drawing, const FilmFrame& film, ScanPx mark);

/// Pins of the other drawings of the same sheet that this one has not, as pins of this one. Only marks on
/// this drawing's own part of the sheet, and only from drawings of its kind and scale: a mark that lies
/// outside belongs to another drawing's place on the ground.
std::vector<Pin> pinsToShare(const Project& project, const Drawing& drawing, std::span<const Pin> pins);

} // namespace inkpeg
