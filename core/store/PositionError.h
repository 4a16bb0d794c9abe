// SPDX-License-Identifier: GPL-3.0-or-later
// What is known about the error of one position taken from a drawing: the terms, and their sum.
#pragma once

#include "core/base/Units.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

/// Standard errors (one sigma, for each axis) in metres on the ground.
struct PositionError {
    double controlM = 0; ///< of the fit: its covariance, propagated to the place
    double pegM = 0;     ///< of the pegs themselves: root mean square over the pins used
    double tracingM = 0; ///< of pointing and tracing on the film
    /// Of the scan's resolution: pixel / sqrt(12), the deviation of a uniform distribution.
    double pixelM = 0;

    /// Root of the sum of squares.
    double totalM() const;
    bool operator==(const PositionError&) const = default;
};

/// Standard errors of a place in space (one sigma), in metres.
struct SpaceError {
    double eastM = 0, northM = 0, levelM = 0;
};

/// The terms at any place of one drawing; built once for a drawing, then cheap to ask.
///
/// The weights of the fit hold the pegs' errors as if each were independent, so the control term shrinks as
/// pins are added. Pegs set out from the same stations share an error that does not shrink; the peg term
/// keeps it, and where the pegs truly are independent the sum is a little too large rather than too small.
class PositionErrors {
public:
    PositionErrors(const DrawingGround& ground, const std::vector<ControlPoint>& pins,
                   double tracingErrorMm);

    PositionError at(ScanPx position) const;

    /// Of an upright drawing: along its line and up as at(), each axis with its own scale; across the line
    /// the nails' own error, since the face was taken to stand in the plane through them.
    SpaceError inSpace(ScanPx position) const;

private:
    DrawingGround m_ground;
    double m_pegM = 0, m_pegEastM = 0, m_pegNorthM = 0; ///< upright drawings: along, level as drawn
    double m_tracingErrorMm = 0;
    double m_pixelMm = 0;
};

} // namespace inkpeg
