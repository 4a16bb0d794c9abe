// SPDX-License-Identifier: GPL-3.0-or-later
// Finds wrong pins and names the likely cause, with the remedy ready to be taken.
//
//   const Diagnosis diagnosis = diagnosePins(pins, {.fit = settings, .pegs = register});
//   if (diagnosis.alarm)
//       show(diagnosis.hypotheses.front().sentence);
//       // "pins A3 and B3 are swapped: exchanging their pegs brings both to 0.1 mm (from 250.0 mm)"
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/fit/ControlFit.h"

namespace inkpeg {

enum class BlunderKind {
    SwappedPins,        ///< two pins are tied to each other's pegs
    EastNorthExchanged, ///< one peg's coordinates stand in each other's place
    TransposedDigits,   ///< two neighbouring digits of one coordinate are exchanged
    CoordinateSlip,     ///< one coordinate is off by 1, 5 or 10 m
    WrongPegOfLine,     ///< tied to another peg of the same grid line
    WrongPeg,           ///< tied to another peg altogether
    MirroredFilm,       ///< the film was scanned face down
    WrongScale,         ///< the stated scale is not the fitted one
    TurnedSheet,        ///< pegs are tied as if the sheet lay turned by 90, 180 or 270 degrees
    GrossError,         ///< off, and nothing above explains it
};

/// "swapped pins", "east and north exchanged", ... for screen, reports and the table of docs/blunders.md.
std::string blunderName(BlunderKind kind);

/// A surveyed peg by name, pinned or not.
struct RegisteredPeg {
    std::string name;
    GroundM ground;
    double standardErrorEastM = 0.010;
    double standardErrorNorthM = 0.010;
};

struct DiagnosisSettings {
    FitSettings fit;
    std::vector<RegisteredPeg> pegs; ///< the register; other pegs a pin could have been meant for
    /// Turn of the drawing's x axis from east, anticlockwise, when it is known how the drawing lies (film
    /// drawn along the site grid); without it a turned sheet cannot be told.
    std::optional<double> expectedTurnRad;
    bool varianceKnown = true; ///< false: standard errors are only relative, and Pope's tau decides
};

/// What to do about it: the pins as they would be. Nothing is changed until someone takes it.
struct Remedy {
    std::vector<ControlPoint> pins;
    double scaleDenominator = 20;
    bool turnFilmOver = false; ///< toggle "face down" of the sheet; `pins` are mirrored already
};

struct Hypothesis {
    BlunderKind kind = BlunderKind::GrossError;
    std::vector<std::size_t> pins; ///< places in the list given
    Remedy remedy;
    double misfitBeforeMm = 0; ///< largest residual of those pins on the film against the pins that agree
    double misfitAfterMm = 0;  ///< the same, refitted with the remedy
    double support = 0; ///< how much likelier than an error without a cause: twice the log of the ratio
    std::string sentence;
};

struct PinTest {
    std::size_t pin = 0;
    double w = 0;         ///< larger of the two residuals over their standard errors (Baarda)
    double tau = 0;       ///< the same over the estimated standard error (Pope)
    bool suspect = false; ///< past the limit of the test in force
};

struct Diagnosis {
    bool alarm = false;
    std::vector<PinTest> tests;         ///< of the plain fit, each pin used; empty when it cannot be fitted
    double limit = 0;                   ///< that the test in force holds |w| or tau against
    std::vector<std::size_t> wrong;     ///< pins that the others do not agree with
    std::vector<Hypothesis> hypotheses; ///< most likely first
    std::string summary;                ///< one sentence
};

/// Diagnosed with `settings.fit.model`, a spline with polynomial 2 from 9 pins on, else affine: a spline
/// would bend to a wrong pin. Errors: none; pins that cannot be fitted at all give a diagnosis that says
/// so.
/// Source: Baarda, A testing procedure for use in geodetic networks, 1968 (data snooping, w); Pope, The
///         statistics of residuals and the detection of outliers, NOAA TR NOS 65 NGS 1, 1976 (tau); the ranking
///         weighs each cause by its likelihood and by how many ways there were of it (MacKay, Information
///         Theory, Inference, and Learning Algorithms, 2003, ch. 28).
Diagnosis diagnosePins(std::span<const ControlPoint> pins, const DiagnosisSettings& settings);

} // namespace inkpeg
