// SPDX-License-Identifier: GPL-3.0-or-later
// The vertical sheet a section was drawn in: a line through nails on the ground, straight or cranked, with
// its levels.
//
//   const Result<SectionFrame> frame = SectionFrame::through("S-02", {nailA, bend, nailB}, 41.50);
//   const Result<SectionFit> fit = fitSection(*frame, pins, {.fit = {.scaleDenominator = 10}});
//   const SpacePoint place = frame->toSpace(fit->toSection({120.4, 88.1}));
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/base/Units.h"
#include "core/fit/ControlFit.h"

namespace inkpeg {

/// A place on the drawn face, in metres: distance along the line from the first nail, and level.
struct SectionPoint {
    double alongM = 0, levelM = 0;
    bool operator==(const SectionPoint&) const = default;
};

/// A place in space, in metres.
struct SpacePoint {
    double eastM = 0, northM = 0, levelM = 0;
    bool operator==(const SpacePoint&) const = default;
};

/// A surveyed nail. Errors are one sigma, in metres.
struct SectionNail {
    std::string name;
    GroundM position;
    std::optional<double> levelM = {};
    double standardErrorM = 0.010;                  ///< along the line
    std::optional<double> standardErrorLevelM = {}; ///< as along the line if not known
    /// The line steps sideways to this nail from the one before it, and nothing was drawn of the step: on
    /// the drawing both are one place.
    bool afterStep = false;
};

/// Where a place on the ground lies against the line.
struct SectionFoot {
    double alongM = 0;  ///< of the nearest point of the line; the end legs reach on without end
    double offsetM = 0; ///< from the line, to the left of the way from A to B positive
    std::size_t leg = 0;
};

/// An interval of the line, in metres along it.
struct DrawnInterval {
    double fromM = 0, toM = 0;
};

/// What of a drawn line lies between two steps.
struct SectionStretch {
    std::size_t piece = 0; ///< of the section: 0 reaches to the first step
    std::vector<SectionPoint> line;
};

class SectionFrame {
public:
    /// Through two nails or more, in the order in which the line is walked from A to B. Levels of the nails
    /// are not asked for here, but the datum is.
    /// Errors: BadInput naming the section: fewer than two nails, two nails in one place, a line that
    ///         crosses or turns back on itself, a piece between steps with a single nail, no datum, a datum
    ///         that is in feet or far from the nails' levels.
    static Result<SectionFrame> through(const std::string& name, std::vector<SectionNail> nails,
                                        std::optional<double> datumM);

    const std::string& name() const { return m_name; }
    const std::vector<SectionNail>& nails() const { return m_nails; }
    double datumM() const { return m_datumM; }
    double lengthM() const { return m_alongM.back(); }
    double alongOfNailM(std::size_t nail) const { return m_alongM[nail]; } ///< distance to a nail or bend

    /// True if the leg from this nail to the next is a step of which nothing was drawn.
    bool isStep(std::size_t leg) const { return m_nails[leg + 1].afterStep; }
    /// The distances along the line of its steps: there it goes on elsewhere on the ground.
    std::vector<double> stepsM() const;

    /// At a step: its nearer end, seen from A.
    SpacePoint toSpace(SectionPoint p) const;
    SectionFoot footOf(GroundM place) const;
    SectionPoint toSection(const SpacePoint& p) const
    {
        return {footOf({p.eastM, p.northM}).alongM, p.levelM};
    }

    /// A line or ring in space; a vertex is added wherever it passes a bend, so that each piece lies in its
    /// plane. At a step it goes across from nail to nail.
    std::vector<SpacePoint> toSpace(std::span<const SectionPoint> line, bool closed) const;

    /// The same for what lies between two steps: piece 0 reaches to the first of them, the last from the
    /// last. A place at a step, or past it by the rounding of a cut, then stands in the piece's own plane.
    std::vector<SpacePoint> toSpace(std::span<const SectionPoint> line, bool closed,
                                    std::size_t piece) const;

    /// A drawn line parted at the steps it passes, in its own order: of the step itself nothing was drawn.
    std::vector<SectionStretch> stretchesOf(std::span<const SectionPoint> line) const;

    /// The way the face looks, in radians clockwise from grid north. Whoever reads the drawing from A on
    /// the left to B on the right looks square to the line and left of the way from A to B, steps left out;
    /// the face looks back at them.
    double facingRad() const;
    std::string facingName() const; ///< one of sixteen points: "N", "NNE", ...

    /// The same line walked from B to A.
    SectionFrame turned() const;

private:
    SectionFrame() = default;
    /// The leg that a distance lies on, of those from `first` up to `last`.
    std::size_t legAt(double alongM, std::size_t first, std::size_t last) const;
    SpacePoint onLeg(std::size_t leg, SectionPoint p) const;
    std::vector<SpacePoint> between(std::span<const SectionPoint> line, bool closed, std::size_t firstLeg,
                                    std::size_t lastLeg) const;
    std::string m_name;
    std::vector<SectionNail> m_nails;
    std::vector<double> m_alongM; ///< of each nail
    double m_datumM = 0;
};

/// The part of the line that a ring or line covers.
DrawnInterval intervalOf(std::span<const SectionPoint> line);

enum class FacingVerdict { Agrees, Reversed, AtOdds };

/// Holds the facing of the record ("N", "NE", "NNE", "north-east", degrees) against the order of the nails:
/// agrees within 45 degrees, reversed beyond 135 (the nails' order should be turned), at odds between.
/// Errors: BadInput (not a compass point).
Result<FacingVerdict> checkFacing(const SectionFrame& frame, const std::string& recordedFacing);

/// A level as written: "41.50", "41.50 m".
/// Errors: BadInput: empty, no number, or in feet (says what it is in metres).
Result<double> parseDatum(const std::string& text, const std::string& section);

} // namespace inkpeg
