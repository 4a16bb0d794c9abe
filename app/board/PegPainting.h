// SPDX-License-Identifier: GPL-3.0-or-later
// What is drawn on the board only while pegging: proposed crosses, the error ellipse, the frames of a sheet.
#pragma once

#include <vector>

#include "app/board/BoardPainting.h"

namespace inkpeg {

/// A cross that was found and could become a pin.
struct ProposedMark {
    ScanPx mark;
    QString peg; ///< empty: no peg stands there
    bool doubtful = false;
    QString doubt;
};

/// Dashed crosses in a lozenge, doubtful ones with a query; the one at hand is heavier.
void paintProposals(QPainter& painter, const BoardPicture& picture,
                    const std::vector<ProposedMark>& proposals, int atHand);

/// The region that holds the true place with 95 %, at the scale of the residual arrows, with its half axes
/// in millimetres on the ground. Nothing without a fit.
void paintErrorEllipse(QPainter& painter, const BoardPicture& picture, ScanPx at);

/// The parts of the sheet that its drawings have, each with its number; that of the drawing at hand heavier.
void paintSheetParts(QPainter& painter, const BoardPicture& picture);

/// A frame being drawn out.
void paintDrawnFrame(QPainter& painter, const BoardPicture& picture, const QRectF& widget);

} // namespace inkpeg
